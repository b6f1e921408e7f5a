//! What the cooling that a name states needs running: by its classes of four letters, such as ONAF or ODWF.

use super::Auxiliaries;

/// What the neediest class in a name needs running, such as fans for ONAF or ONAN/ONAF; nothing where it has none.
pub(super) fn needs(name: &str) -> Auxiliaries {
    let words = name.split(|letter: char| !letter.is_ascii_alphanumeric());
    words.map(of_class).max().unwrap_or(Auxiliaries::None)
}

/// The second letter moves the liquid, the fourth what is outside: air, or water, which needs a pump.
fn of_class(word: &str) -> Auxiliaries {
    match word.to_ascii_uppercase().as_bytes() {
        [b'O' | b'K' | b'L', b'F' | b'D', b'A' | b'W', b'N' | b'F']
        | [b'O' | b'K' | b'L', b'N', b'W', b'F'] => Auxiliaries::Pumps,
        [b'O' | b'K' | b'L', b'N', b'A', b'F'] => Auxiliaries::Fans,
        _ => Auxiliaries::None,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_a_class_needs_running() {
        for (name, found) in [
            ("ONAN", Auxiliaries::None),
            ("KNAN", Auxiliaries::None),
            ("ONAF", Auxiliaries::Fans),
            ("lnaf", Auxiliaries::Fans),
            ("ONAF 2", Auxiliaries::Fans),
            ("ONAN/ONAF", Auxiliaries::Fans),
            ("OFAN", Auxiliaries::Pumps),
            ("KDAF", Auxiliaries::Pumps),
            ("ODWF", Auxiliaries::Pumps),
            ("ONWF", Auxiliaries::Pumps),
            ("ONAN/ONAF/OFAF", Auxiliaries::Pumps),
            // Four letters that are no class.
            ("DOWN", Auxiliaries::None),
            ("natural", Auxiliaries::None),
        ] {
            assert_eq!(needs(name), found, "{name}");
        }
    }
}
