use crate::web::app::App;
use crate::web::ask::{Flags, Refusal};
pub(in crate::web) fn list(_app: &App) -> Result<String, Refusal> {
    Err(Refusal::internal())
}
pub(in crate::web) fn one(_app: &App, _id: &str) -> Result<String, Refusal> {
    Err(Refusal::internal())
}
pub(in crate::web) fn written(_app: &App, _sent: &Flags) -> Result<String, Refusal> {
    Err(Refusal::internal())
}
pub(in crate::web) fn as_json(_app: &App) -> Result<String, Refusal> {
    Err(Refusal::internal())
}
