//! What every export of ratings carries beside its figures: method, version, inputs, day, what was assumed, and
//! that it rates the transformer only.

use crate::rating::Ratings;
use quick_xml::escape::escape;

/// A line for each.
fn lines(ratings: &Ratings) -> Vec<String> {
    let identity = format!(
        "{}, {} {}, inputs sha256 {}, evidence judged for {}",
        ratings.methodology,
        ratings.tool.name,
        ratings.tool.version,
        ratings.inputs_sha256,
        ratings.date
    );
    let assumed = ratings.assumptions.iter().map(|one| format!("assumed: {one}"));
    std::iter::once(identity).chain(assumed).chain([ratings.notice.to_owned()]).collect()
}

/// A table of the ratings with these lines before its header, as comments.
pub fn before_csv(ratings: &Ratings, csv: &str) -> String {
    let comments: Vec<String> = lines(ratings).iter().map(|line| format!("# {line}")).collect();
    format!("{}\n{csv}", comments.join("\n"))
}

/// A picture of the ratings with these lines as its metadata.
pub fn in_svg(ratings: &Ratings, svg: &str) -> String {
    let text = lines(ratings).join("\n");
    let metadata = format!("<metadata>{}</metadata>\n</svg>", escape(text.as_str()));
    match svg.rsplit_once("</svg>") {
        Some((drawing, rest)) => format!("{drawing}{metadata}{rest}"),
        None => svg.to_owned(),
    }
}
