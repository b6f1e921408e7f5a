//! The names and values of a query or a form, strictly: nothing that was sent is dropped or read as something else.

use super::ask::Refusal;
use crate::input::shown;

/// The names and values.
///
/// # Errors
/// [`Refusal`] for the first name or value whose bytes are not UTF-8: a reader would put other letters in their place.
pub(super) fn pairs_of(sent: &[u8]) -> Result<Vec<(String, String)>, Refusal> {
    let parts = sent.split(|byte| *byte == b'&').filter(|part| !part.is_empty());
    for part in parts {
        let mut halves = part.splitn(2, |byte| *byte == b'=').map(unescaped);
        let name = halves.next().unwrap_or_default();
        let whole = std::str::from_utf8(&name).is_ok();
        if !whole || halves.any(|value| std::str::from_utf8(&value).is_err()) {
            let name = shown(&String::from_utf8_lossy(&name));
            return Err(Refusal::bad(&name, "bytes that are not UTF-8", "text in UTF-8"));
        }
    }
    Ok(form_urlencoded::parse(sent).into_owned().collect())
}

/// Refuses a query beside a body: only one of them would be looked at.
///
/// # Errors
/// [`Refusal`] with the first name of the query.
pub(super) fn none_beside(query: Option<&str>) -> Result<(), Refusal> {
    let Some(query) = query.filter(|query| !query.is_empty()) else { return Ok(()) };
    let first = pairs_of(query.as_bytes())?.into_iter().next();
    let (name, value) = first.unwrap_or_else(|| (query.to_owned(), String::new()));
    let found = format!("{} in the address, beside what is sent", shown(&value));
    Err(Refusal::bad(
        &shown(&name),
        found,
        "all of it in what is sent, nothing behind a ? in the address",
    ))
}

/// The bytes behind percent signs.
fn unescaped(text: &[u8]) -> Vec<u8> {
    let digit = |at: usize| {
        let digit = text.get(at).and_then(|byte| char::from(*byte).to_digit(16))?;
        u8::try_from(digit).ok()
    };
    let (mut at, mut bytes) = (0, Vec::with_capacity(text.len()));
    while let Some(byte) = text.get(at) {
        if let (b'%', Some(high), Some(low)) = (byte, digit(at + 1), digit(at + 2)) {
            bytes.push(16 * high + low);
            at += 3;
        } else {
            bytes.push(*byte);
            at += 1;
        }
    }
    bytes
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn letters_of_any_language_pass_and_other_bytes_are_refused_by_name() {
        let read = pairs_of("a=M%C3%BCller&b=\u{fc}+%&c".as_bytes()).unwrap();
        let wanted = [("a", "M\u{fc}ller"), ("b", "\u{fc} %"), ("c", "")];
        assert_eq!(read, wanted.map(|(name, value)| (name.to_owned(), value.to_owned())));
        for sent in [&b"x=1&by=M%FCller"[..], b"x=1&by=M\xfcller"] {
            assert_eq!(pairs_of(sent).unwrap_err().key.as_deref(), Some("by"));
        }
        assert!(pairs_of(b"%FF=1").is_err());
        // Even the sign that stands for such bytes may be sent as itself.
        assert_eq!(pairs_of(b"a=%EF%BF%BD").unwrap()[0].1, "\u{fffd}");
    }
}
