//! What is refused before a question is looked at.

pub(super) mod headers;
pub(super) mod hosts;
pub(super) mod limits;
pub(super) mod log;
pub(super) mod origin;
pub(super) mod token;
pub(super) mod work;
