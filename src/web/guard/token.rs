//! The token without which nothing is answered, where one is asked for. As a password of the browser's own dialog,
//! or as a bearer token of a program.

use super::hosts::single;
use crate::cli::files;
use crate::cli::serve::ServeArguments;
use crate::input::InputError;
use crate::web::reply::plain;
use axum::extract::{Request, State};
use axum::http::{HeaderValue, StatusCode, header};
use axum::middleware::Next;
use axum::response::{IntoResponse, Response};
use base64::Engine;
use base64::engine::general_purpose::STANDARD;
use sha2::{Digest, Sha256};
use std::path::Path;
use subtle::ConstantTimeEq;

/// Fewest characters of a token.
const LEAST: usize = 32;

/// Largest file of a token, bytes.
const MOST: u64 = 4096;

/// The hash of a token, so that two of any lengths are compared in the same time.
#[derive(Debug, Clone)]
pub(in crate::web) struct Token([u8; 32]);

impl Token {
    /// The token of the file, if one is named; an address that others can reach needs one.
    ///
    /// # Errors
    /// [`InputError`] if the file is refused, or missing where it is needed.
    pub(in crate::web) fn of(arguments: &ServeArguments) -> Result<Option<Self>, InputError> {
        match &arguments.token_file {
            Some(path) => Self::read(path).map(Some),
            None if arguments.listen.ip().is_loopback() => Ok(None),
            None => {
                let found = format!("{}, which others can reach", arguments.listen);
                let accepted = "an address of this machine for itself, or --token-file with it";
                Err(InputError::new("--listen", found, accepted))
            }
        }
    }

    fn read(path: &Path) -> Result<Self, InputError> {
        let place = path.display().to_string();
        let refused = |found: String| {
            let accepted =
                format!("one line of {LEAST} characters or more, readable by its owner alone");
            InputError::new(&place, found, accepted).at_key("--token-file")
        };
        only_the_owners(path).map_err(&refused)?;
        let text = files::read(path, MOST)?;
        let token = text.trim_end_matches(['\r', '\n']);
        let plain = token.chars().all(|letter| letter.is_ascii_graphic());
        if !plain || token.len() < LEAST {
            return Err(refused(format!("{} characters, or some that are not plain", token.len())));
        }
        Ok(Self::hashed(token))
    }

    fn hashed(token: &str) -> Self {
        Self(Sha256::digest(token.as_bytes()).into())
    }

    /// Whether this is the token; takes as long whatever is sent.
    fn is(&self, sent: &str) -> bool {
        Self::hashed(sent).0.ct_eq(&self.0).into()
    }
}

/// A token that others can read is none.
#[cfg(unix)]
fn only_the_owners(path: &Path) -> Result<(), String> {
    use std::os::unix::fs::PermissionsExt;
    const OTHERS: u32 = 0o077;
    match path.metadata() {
        Ok(metadata) if metadata.permissions().mode() & OTHERS == 0 => Ok(()),
        Ok(_) => Err("a file that others than its owner can read or write".to_owned()),
        Err(error) => Err(error.to_string()),
    }
}

#[cfg(not(unix))]
fn only_the_owners(_path: &Path) -> Result<(), String> {
    Ok(())
}

/// Refuses whoever does not send the token.
pub(in crate::web) async fn guard(
    State(token): State<Option<Token>>,
    request: Request,
    next: Next,
) -> Response {
    let sent = single(request.headers(), &header::AUTHORIZATION).and_then(sent);
    let allowed = token.as_ref().is_none_or(|token| sent.is_some_and(|sent| token.is(&sent)));
    if allowed {
        return next.run(request).await;
    }
    let mut reply =
        plain(StatusCode::UNAUTHORIZED, "the token is missing or wrong").into_response();
    let asks = HeaderValue::from_static("Basic realm=\"bubblemargin\", charset=\"UTF-8\"");
    reply.headers_mut().insert(header::WWW_AUTHENTICATE, asks);
    reply
}

/// What is sent as a bearer token, or as the password of any name.
fn sent(header: &str) -> Option<String> {
    let (scheme, rest) = header.split_once(' ')?;
    if scheme.eq_ignore_ascii_case("bearer") {
        return Some(rest.trim().to_owned());
    }
    if !scheme.eq_ignore_ascii_case("basic") {
        return None;
    }
    let decoded = STANDARD.decode(rest.trim()).ok()?;
    let (_, password) = std::str::from_utf8(&decoded).ok()?.split_once(':')?;
    Some(password.to_owned())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_token_is_taken_from_a_program_and_from_a_browser() {
        let token = Token::hashed("0123456789abcdef0123456789abcdef");
        let allowed = |header: &str| sent(header).is_some_and(|sent| token.is(&sent));
        assert!(allowed("Bearer 0123456789abcdef0123456789abcdef"));
        let basic = STANDARD.encode("anyone:0123456789abcdef0123456789abcdef");
        assert!(allowed(&format!("Basic {basic}")));
        for wrong in ["", "Bearer", "Bearer ", "Bearer 0123456789abcdef", "Basic !", "Digest x"] {
            assert!(!allowed(wrong), "{wrong}");
        }
    }
}
