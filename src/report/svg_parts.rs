//! The few shapes that the picture is made of, on one page that grows downward.
//!
//! The `svg` crate writes and escapes. It does not drop what no XML may hold; that is done here.

use super::view::near;
use super::wetness_plot::Kind;
use svg::node::element::{
    Circle, Definitions, Description, Group, Line, Path, Pattern, Polygon, Polyline, Rectangle,
    Text, Title,
};
use svg::{Document, Node};

/// Width of the page, px.
pub(super) const WIDTH: f64 = 960.0;

/// Text and lines.
const BLACK: &str = "#000000";

/// What does not count: 7:1 on white.
const GREY: &str = "#595959";

/// Lines of the grid, which say nothing by themselves.
const GRID: &str = "#d0d0d0";

/// Danger, IEC 60073: 8:1 on white and on its ground.
const RED: &str = "#9b0000";

/// The ground of danger.
const PALE_RED: &str = "#fdecec";

/// Between the 5 and the 95 % point.
const BAND: &str = "#d9dcdf";

/// A place: px from the left, and down from where the page has got to.
type Place = (f64, f64);

/// Which end of a text stands at its place.
#[derive(Debug, Clone, Copy)]
pub(super) enum Anchor {
    Start,
    Middle,
    End,
}

impl Anchor {
    fn name(self) -> &'static str {
        match self {
            Self::Start => "start",
            Self::Middle => "middle",
            Self::End => "end",
        }
    }
}

/// A page of drawing.
pub(super) struct Page {
    /// What tells its hatch from that of other pictures in the same document.
    name: &'static str,
    width: f64,
    shapes: Group,
    top: f64,
}

impl Page {
    pub(super) fn new(name: &'static str) -> Self {
        Self::wide(name, WIDTH)
    }

    /// A page of another width, px.
    pub(super) fn wide(name: &'static str, width: f64) -> Self {
        Self { name, width, shapes: Group::new(), top: 0.0 }
    }

    /// Goes further down the page.
    pub(super) fn down(&mut self, by: f64) {
        self.top += by;
    }

    /// The page as text, with its height, its ground and what it is called.
    pub(super) fn finished(self, title: &str, description: &str) -> String {
        let height = px(self.top);
        let hatch = Pattern::new()
            .set("id", format!("danger-{}", self.name))
            .set("width", 8)
            .set("height", 8)
            .set("patternUnits", "userSpaceOnUse")
            .add(filled(Rectangle::new().set("width", 8).set("height", 8), PALE_RED))
            .add(stroked(Path::new().set("d", "M0 8 L8 0"), RED, 0.6));
        let ground = Rectangle::new().set("width", px(self.width)).set("height", height.clone());
        let document = Document::new()
            .set("width", px(self.width))
            .set("height", height.clone())
            .set("viewBox", format!("0 0 {} {height}", px(self.width)))
            .set("role", "img")
            .set("font-family", "Helvetica, Arial, sans-serif")
            .add(Title::new(legal(title)))
            .add(Description::new().add(svg::node::Text::new(legal(description))))
            .add(Definitions::new().add(hatch))
            .add(filled(ground, "#ffffff"))
            .add(self.shapes);
        format!("{document}\n")
    }

    pub(super) fn text(&mut self, at: Place, size: u32, anchor: Anchor, content: &str) {
        let text = self.written(at, size, anchor, content);
        self.shapes.append(text);
    }

    pub(super) fn bold(&mut self, at: Place, size: u32, content: &str) {
        let text = self.written(at, size, Anchor::Start, content).set("font-weight", "bold");
        self.shapes.append(text);
    }

    /// A text centred at its place, of a class that programs can find.
    pub(super) fn class_text(&mut self, class: &'static str, at: Place, size: u32, content: &str) {
        let text = self.written(at, size, Anchor::Middle, content).set("class", class);
        self.shapes.append(text);
    }

    fn written(&self, (x, y): Place, size: u32, anchor: Anchor, content: &str) -> Text {
        Text::new(legal(content))
            .set("x", px(x))
            .set("y", px(self.top + y))
            .set("font-size", size)
            .set("text-anchor", anchor.name())
            .set("fill", BLACK)
    }

    pub(super) fn line(&mut self, from: Place, to: Place, width: f64) {
        let line = stroked(self.between(from, to), BLACK, width);
        self.shapes.append(line);
    }

    /// A line of the grid.
    pub(super) fn thin_line(&mut self, from: Place, to: Place) {
        let line = stroked(self.between(from, to), GRID, 1.0);
        self.shapes.append(line);
    }

    /// A line through several places; `dashes` as in `stroke-dasharray`.
    pub(super) fn through(&mut self, places: &[Place], width: f64, dashes: &'static str) {
        let place = |(x, y): &Place| format!("{},{}", px(*x), px(self.top + y));
        let points = places.iter().map(place).collect::<Vec<_>>().join(" ");
        let line = stroked(Polyline::new().set("points", points), BLACK, width);
        let line = line.set("fill", "none").set("stroke-linejoin", "round");
        self.shapes.append(line.set("stroke-dasharray", dashes));
    }

    /// What lies between two lines through the same number of places, from the 5 to the 95 % point.
    pub(super) fn band(&mut self, lower: &[Place], upper: &[Place]) {
        let place = |(x, y): &Place| format!("{},{}", px(*x), px(self.top + y));
        let around = lower.iter().chain(upper.iter().rev()).map(place).collect::<Vec<_>>();
        let band = Polygon::new().set("points", around.join(" ")).set("class", "band");
        self.shapes.append(filled(band, BAND));
    }

    /// A black bar.
    pub(super) fn bar(&mut self, from: Place, to: Place) {
        let bar = Rectangle::new()
            .set("x", px(from.0))
            .set("y", px(self.top + from.1))
            .set("width", px(to.0 - from.0))
            .set("height", px(to.1 - from.1));
        self.shapes.append(filled(bar, BLACK));
    }

    /// A triangle that points up at a place.
    pub(super) fn pointer(&mut self, (x, y): Place) {
        let shape = format!("M{} {} l7 13 h-14 z", px(x), px(self.top + y));
        self.shapes.append(filled(Path::new().set("d", shape), BLACK));
    }

    /// A line of danger, never to be crossed.
    pub(super) fn danger_line(&mut self, from: Place, to: Place, width: f64) {
        let line = stroked(self.between(from, to), RED, width);
        self.shapes.append(line);
    }

    /// A disc, or a ring on white.
    pub(super) fn disc(&mut self, (x, y): Place, radius: f64, is_ring: bool) {
        let disc = Circle::new().set("cx", px(x)).set("cy", px(self.top + y)).set("r", px(radius));
        let disc = filled(disc, if is_ring { "#ffffff" } else { BLACK });
        self.shapes.append(stroked(disc, BLACK, if is_ring { 1.8 } else { 0.0 }));
    }

    /// A text that stays readable over lines: once as a white edge, and once more over it.
    pub(super) fn text_over(&mut self, at: Place, size: u32, anchor: Anchor, content: &str) {
        let edge = stroked(self.written(at, size, anchor, content), "#ffffff", 4.0);
        self.shapes.append(edge.set("stroke-linejoin", "round"));
        self.text(at, size, anchor, content);
    }

    /// The line of the moisture that counts.
    pub(super) fn counting_line(&mut self, from: Place, to: Place) {
        let line = stroked(self.between(from, to), BLACK, 2.0).set("stroke-dasharray", "8 4");
        self.shapes.append(line);
    }

    fn between(&self, from: Place, to: Place) -> Line {
        Line::new()
            .set("x1", px(from.0))
            .set("y1", px(self.top + from.1))
            .set("x2", px(to.0))
            .set("y2", px(self.top + to.1))
    }

    /// The hatched ground of danger.
    pub(super) fn danger_ground(&mut self, from: Place, to: Place) {
        let ground = Rectangle::new()
            .set("x", px(from.0))
            .set("y", px(self.top + from.1))
            .set("width", px(to.0 - from.0))
            .set("height", px(to.1 - from.1));
        self.shapes.append(filled(ground, &format!("url(#danger-{})", self.name)));
        let edge = stroked(self.between(from, (from.0, to.1)), RED, 1.0);
        self.shapes.append(edge);
    }

    /// The interval of a row, with ends, or an arrow where it goes on beyond the axis.
    pub(super) fn interval(&mut self, kind: Kind, (from, to): (f64, f64), y: f64, beyond: bool) {
        let (colour, width, dashes) = match kind {
            Kind::Counts => (BLACK, 1.8, "none"),
            Kind::WetSide => (BLACK, 1.8, "7 4"),
            Kind::NotCounted => (GREY, 1.8, "2 4"),
            Kind::Combined => (BLACK, 4.0, "none"),
        };
        let bar = stroked(self.between((from, y), (to, y)), colour, width);
        self.shapes.append(bar.set("stroke-dasharray", dashes));
        let lower = self.between((from, y - 6.0), (from, y + 6.0));
        self.shapes.append(stroked(lower, colour, 1.8));
        if beyond {
            let tip = format!("M{} {} l-9 -6 v12 z", px(to), px(self.top + y));
            self.shapes.append(filled(Path::new().set("d", tip), colour));
        } else {
            let upper = self.between((to, y - 6.0), (to, y + 6.0));
            self.shapes.append(stroked(upper, colour, 1.8));
        }
    }

    /// What stands at the value of a row: disc, triangle towards the wet side, cross or diamond.
    pub(super) fn glyph(&mut self, kind: Kind, (x, y): Place) {
        let (x, y) = (px(x), px(self.top + y));
        let path = |shape: &str| Path::new().set("d", format!("M{x} {y} {shape}"));
        match kind {
            Kind::Counts => {
                let disc = Circle::new().set("cx", x).set("cy", y).set("r", 6);
                self.shapes.append(filled(disc, BLACK));
            }
            Kind::WetSide => self.shapes.append(filled(path("m8 0 l-14 -8 v16 z"), BLACK)),
            Kind::NotCounted => {
                let cross = path("m-6 -6 l12 12 m0 -12 l-12 12");
                self.shapes.append(stroked(cross, GREY, 2.5));
            }
            Kind::Combined => {
                let diamond = filled(path("m0 -10 l10 10 l-10 10 l-10 -10 z"), "#ffffff");
                self.shapes.append(stroked(diamond, BLACK, 2.5));
            }
        }
    }
}

fn filled<N: Node>(mut shape: N, colour: &str) -> N {
    shape.assign("fill", colour);
    shape
}

fn stroked<N: Node>(mut shape: N, colour: &str, width: f64) -> N {
    shape.assign("stroke", colour);
    shape.assign("stroke-width", near(width, 1));
    shape
}

/// A length as written.
fn px(length: f64) -> String {
    near(length, 1)
}

/// Text without the characters that no XML document may hold.
fn legal(text: &str) -> String {
    let illegal = |c: char| c.is_control() || matches!(c, '\u{fffe}' | '\u{ffff}');
    text.replace(illegal, "\u{fffd}")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_no_xml_may_hold_is_replaced_and_the_rest_escaped() {
        let mut page = Page::new("test");
        page.text((0.0, 0.0), 12, Anchor::Start, "a\u{1}<b>&\"\u{ffff}");
        let written = page.finished("", "");
        assert!(written.contains("a\u{fffd}&lt;b&gt;&amp;\"\u{fffd}"), "{written}");
    }
}
