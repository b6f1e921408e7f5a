//! Every unit under one contingency.

use super::hosted;
use crate::web::api;
use crate::web::app::App;
use crate::web::ask::{Flags, Refusal};
use crate::web::frame::{Frame, Here};

/// The contingency where none is stated: twice the recent peak for four hours where loads are known, else 1.3 pu.
const WITH_LOADS: [(&str, &str); 2] = [("times-peak", "2"), ("for", "4h")];
const WITHOUT_LOADS: [(&str, &str); 4] =
    [("load", "1.3"), ("for", "4h"), ("preload", "0.7"), ("ambient", "30")];

/// The page of the fleet.
///
/// # Errors
/// [`Refusal`] if the contingency is not accepted.
pub(in crate::web) fn page(app: &App, pairs: &Flags) -> Result<String, Refusal> {
    let usual: &[(&str, &str)] = if app.loads.is_some() { &WITH_LOADS } else { &WITHOUT_LOADS };
    let asked: Vec<(String, String)> = if pairs.is_empty() {
        usual.iter().map(|(name, value)| ((*name).to_owned(), (*value).to_owned())).collect()
    } else {
        pairs.to_vec()
    };
    let report = api::fleet_in(app, &asked, "html")?;
    Ok(hosted::in_frame(&report, &Frame::of(app, None, Here::Fleet)))
}
