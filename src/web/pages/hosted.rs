//! A report shown by the server: the same content, with its look from a file, as the policy asks, and a way to the
//! other pages above it.

use crate::web::frame::Frame;
use askama::Template;

/// What stands above every page.
#[derive(Template)]
#[template(path = "parts/bar.html")]
struct Bar<'a> {
    frame: &'a Frame,
}

const LOOK: &str = "<link rel=\"icon\" href=\"data:,\">\n<link rel=\"stylesheet\" href=\"/house.css\">\n\
                    <link rel=\"stylesheet\" href=\"/page.css\">";

/// The report in the frame of the server.
pub(in crate::web) fn in_frame(report: &str, frame: &Frame) -> String {
    let bar = Bar { frame }.render().unwrap_or_default();
    let looked = match (report.find("<style>"), report.find("</style>")) {
        (Some(from), Some(to)) if from < to => {
            format!("{}{LOOK}{}", &report[..from], &report[to + "</style>".len()..])
        }
        _ => report.to_owned(),
    };
    looked.replacen("<body>", &format!("<body>\n{bar}"), 1)
}
