//! The answer of `moisture` as text.

use crate::assessment::moisture_answer::MoistureAnswer;

/// The whole answer. Styles are ANSI; strip them where colour is not wanted.
pub fn rendered(answer: &MoistureAnswer) -> String {
    format!("{answer:#?}")
}
