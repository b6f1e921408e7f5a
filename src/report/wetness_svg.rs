//! The picture of the moisture evidence as SVG, for print and reports.
//!
//! Black on white. The one colour is the red of danger, where the paper would bubble at the hot
//! spot of the question, and it says so in words too. Shapes tell the kinds apart.

use super::svg_parts::{Anchor, Page};
use super::view::{near, wrapped};
use super::wetness_plot::{Bar, Kind, Plot};
use super::wetness_text::{headline, told, undecided_because};
use super::wetness_words::{degrees, in_three_lines};
use crate::assessment::moisture_answer::MoistureAnswer;
use crate::assessment::wetness::Wetness;

/// The plot's left and right edge, px.
const LEFT: f64 = 230.0;
const RIGHT: f64 = 870.0;

/// Height of a row, px.
const ROW: f64 = 36.0;

/// Left edge of the text, px.
const MARGIN: f64 = 40.0;

/// Characters of a line of text: what fits at its size.
const CHARACTERS: usize = 110;

/// Characters of a line of somebody else's text: what fits if all of them are wide.
const WIDE_CHARACTERS: usize = 66;

/// The picture.
pub fn rendered(answer: &MoistureAnswer) -> String {
    let mut page = Page::new("evidence");
    heading(&mut page, answer);
    if let Some(plot) = Plot::of(&answer.moisture, answer.decided) {
        Drawing { plot: &plot, page: &mut page }.draw();
    } else {
        page.text((MARGIN, 16.0), 14, Anchor::Start, "No witness has a figure to draw.");
        page.down(48.0);
    }
    let rows = told(answer);
    for (label, words) in &rows {
        paragraph(&mut page, Some(label), words);
    }
    page.down(12.0);
    let aid = "A calculation aid; local rules decide.";
    let tool = &answer.tool;
    let hash = answer.inputs_sha256.get(..16).unwrap_or("");
    paragraph(&mut page, None, aid);
    paragraph(&mut page, None, &format!("{} {}, inputs sha256 {hash}", tool.name, tool.version));
    let title = format!("{}: water in paper", answer.unit);
    page.finished(&title, &headline(answer).join(", "))
}

fn heading(page: &mut Page, answer: &MoistureAnswer) {
    let day = answer.as_of.as_ref().map_or_else(String::new, |day| format!(", judged for {day}"));
    page.down(44.0);
    page.bold((MARGIN, 0.0), 22, &format!("{}: water in paper{day}", answer.unit));
    page.down(24.0);
    for line in answer.site.iter().flat_map(|site| wrapped(site, WIDE_CHARACTERS)) {
        page.text((MARGIN, 0.0), 14, Anchor::Start, &line);
        page.down(20.0);
    }
    page.down(10.0);
    page.bold((MARGIN, 0.0), 18, &headline(answer).join("  \u{b7}  "));
    page.down(22.0);
    for reason in undecided_because(answer) {
        paragraph(page, None, &reason);
    }
}

/// The drawing alone, for a report that says the rest in text; `None` where no witness has a figure.
pub(super) fn drawing(unit: &str, moisture: &Wetness, decided: bool) -> Option<String> {
    let plot = Plot::of(moisture, decided)?;
    let mut page = Page::new("evidence");
    page.down(12.0);
    Drawing { plot: &plot, page: &mut page }.draw();
    let words = in_three_lines(moisture);
    let words = words.iter().map(|(label, words)| format!("{label}: {words}"));
    let words = words.collect::<Vec<_>>().join(". ");
    Some(page.finished(&format!("{unit}: water in paper"), &words))
}

/// Wrapped text, with a bold label before it.
fn paragraph(page: &mut Page, label: Option<&str>, words: &str) {
    let indent = if label.is_some() { 90.0 } else { 0.0 };
    if let Some(label) = label {
        page.bold((MARGIN, 0.0), 14, label);
    }
    for line in wrapped(words, if label.is_some() { CHARACTERS - 10 } else { CHARACTERS }) {
        page.text((MARGIN + indent, 0.0), 14, Anchor::Start, &line);
        page.down(20.0);
    }
}

/// The picture while it is drawn; heights are from the page's present one.
struct Drawing<'a> {
    plot: &'a Plot,
    page: &'a mut Page,
}

/// From the top of the drawing to the upper axis, px.
const HEAD: f64 = 62.0;

impl Drawing<'_> {
    fn draw(mut self) {
        self.danger();
        self.axes();
        self.counting();
        for (index, bar) in self.plot.bars.iter().enumerate() {
            self.row(row_y(index), bar);
        }
        self.page.down(self.bottom() + 52.0);
        self.legend();
        self.page.down(38.0);
    }

    fn bottom(&self) -> f64 {
        row_y(self.plot.bars.len()) - ROW / 2.0 + 8.0
    }

    fn x(&self, percent: f64) -> f64 {
        LEFT + self.plot.share(percent) * (RIGHT - LEFT)
    }

    /// Where the paper bubbles below the hot spot of the question.
    fn danger(&mut self) {
        if let Some((percent, _)) = self.plot.at_hot_spot {
            let (x, bottom) = (self.x(percent), self.bottom());
            self.page.danger_ground((x, HEAD), (RIGHT, bottom));
        }
    }

    fn axes(&mut self) {
        let bottom = self.bottom();
        for tick in &self.plot.ticks {
            let x = self.x(tick.percent);
            self.page.thin_line((x, HEAD), (x, bottom));
            self.page.line((x, HEAD - 5.0), (x, HEAD), 1.0);
            self.page.line((x, bottom), (x, bottom + 5.0), 1.0);
            self.page.class_text("inception", (x, HEAD - 10.0), 13, &tick.inception);
            self.page.class_text("water", (x, bottom + 20.0), 13, &tick.water);
        }
        self.page.line((LEFT, HEAD), (RIGHT, HEAD), 1.0);
        self.page.line((LEFT, bottom), (RIGHT, bottom), 1.0);
        self.page.text((MARGIN, HEAD - 10.0), 13, Anchor::Start, "bubbles at, °C");
        self.page.text((MARGIN, bottom + 20.0), 13, Anchor::Start, "water in paper, %");
    }

    fn counting(&mut self) {
        let Some((percent, words)) = &self.plot.counting else {
            return;
        };
        let (x, bottom) = (self.x(*percent), self.bottom());
        let beyond = self.plot.beyond(*percent);
        if !beyond {
            self.page.counting_line((x, HEAD - 46.0), (x, bottom));
        }
        let (at, anchor) = if self.plot.share(*percent) > 0.5 {
            (x - 8.0, Anchor::End)
        } else {
            (x + 8.0, Anchor::Start)
        };
        let words = if beyond { format!("{words}  >") } else { words.clone() };
        self.page.text((at, HEAD - 36.0), 15, anchor, &words);
    }

    fn row(&mut self, y: f64, bar: &Bar) {
        self.page.text((MARGIN, y + 5.0), 15, Anchor::Start, &bar.label);
        let value = bar.reach.map(|reach| format!("{} %", near(reach[1], 2)));
        let value = value.unwrap_or_else(|| "-".to_owned());
        self.page.text((RIGHT + 14.0, y + 5.0), 15, Anchor::Start, &value);
        let Some([lower, value, upper]) = bar.reach else {
            return;
        };
        let beyond = self.plot.beyond(upper);
        self.page.interval(bar.kind, (self.x(lower), self.x(upper)), y, beyond);
        if !self.plot.beyond(value) {
            self.page.glyph(bar.kind, (self.x(value), y));
        }
    }

    fn legend(&mut self) {
        let kinds: Vec<Kind> = self.plot.kinds().collect();
        let mut x = MARGIN;
        for kind in kinds {
            self.page.interval(kind, (x, x + 44.0), 0.0, false);
            self.page.glyph(kind, (x + 22.0, 0.0));
            self.page.text((x + 54.0, 5.0), 13, Anchor::Start, kind.in_words());
            x += 190.0;
        }
        self.page.down(26.0);
        let words = "as new paper holds it; bars to 95 % bounds; dashed: assessed moisture";
        self.page.text((MARGIN, 5.0), 13, Anchor::Start, words);
        if let Some((_, hot_spot_c)) = self.plot.at_hot_spot {
            let x = MARGIN + 3.0 * 190.0;
            let words = format!("bubbles at {} °C or below", degrees(hot_spot_c));
            self.page.danger_ground((x, -9.0), (x + 44.0, 9.0));
            self.page.text((x + 54.0, 5.0), 13, Anchor::Start, &words);
        }
    }
}

#[allow(clippy::cast_precision_loss, reason = "a few rows")]
fn row_y(index: usize) -> f64 {
    HEAD + 26.0 + index as f64 * ROW
}
