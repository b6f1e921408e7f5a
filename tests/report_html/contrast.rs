//! Contrasts of the palette, computed from the style sheet, by day and in the dark (WCAG 2.2 AA, the formula of its
//! definitions of contrast ratio and relative luminance).

use std::collections::BTreeMap;
use std::fs;

/// Text on its ground: 4.5:1.
const TEXTS: [(&str, &str); 15] = [
    ("ink", "ground"),
    ("ink", "sheet"),
    ("soft", "ground"),
    ("soft", "sheet"),
    ("link", "ground"),
    ("link", "sheet"),
    ("ink", "band"),
    ("ink", "danger-ground"),
    ("on-red", "red"),
    ("on-yellow", "yellow"),
    ("sheet", "ink"),
    ("ink", "shade-5"),
    ("soft", "shade-5"),
    ("soft", "shade-1"),
    ("danger", "sheet"),
];

/// Shapes and edges on their ground: 3:1.
const SHAPES: [(&str, &str); 8] = [
    ("red", "sheet"),
    ("red", "ground"),
    ("green", "sheet"),
    ("line", "sheet"),
    ("line", "ground"),
    ("danger", "band"),
    ("ink", "sheet"),
    ("on-yellow", "yellow"),
];

/// Colours by name, of one scheme.
type Palette = BTreeMap<String, [f64; 3]>;

/// The schemes of the style sheet: day, dark.
fn palettes() -> [Palette; 2] {
    let css = fs::read_to_string("templates/house.css").unwrap();
    let mut blocks =
        css.split(":root {").skip(1).map(|rest| palette(rest.split('}').next().unwrap()));
    [blocks.next().unwrap(), blocks.next().unwrap()]
}

fn palette(block: &str) -> Palette {
    let declared =
        block.split(';').filter_map(|declared| declared.trim().strip_prefix("--")?.split_once(':'));
    let colours = declared.filter_map(|(name, value)| {
        let digits = value.trim().strip_prefix('#').filter(|digits| digits.len() == 6)?;
        let part = |at: usize| f64::from(u8::from_str_radix(&digits[at..at + 2], 16).unwrap());
        Some((name.trim().to_owned(), [part(0), part(2), part(4)]))
    });
    colours.collect()
}

fn luminance(colour: [f64; 3]) -> f64 {
    let part = |value: f64| {
        let share = value / 255.0;
        if share <= 0.04045 { share / 12.92 } else { ((share + 0.055) / 1.055).powf(2.4) }
    };
    0.2126 * part(colour[0]) + 0.7152 * part(colour[1]) + 0.0722 * part(colour[2])
}

fn ratio(palette: &Palette, (a, b): (&str, &str)) -> f64 {
    let [a, b] =
        [a, b].map(|name| luminance(*palette.get(name).unwrap_or_else(|| panic!("no --{name}"))));
    (a.max(b) + 0.05) / (a.min(b) + 0.05)
}

#[test]
fn black_on_white_is_twenty_one_to_one() {
    let palette = palette("--a: #000000; --b: #ffffff");
    assert!(
        (ratio(&palette, ("a", "b")) - 21.0).abs() < 1.0e-9,
        "the greatest ratio there is, by definition"
    );
}

#[test]
fn everything_in_the_palette_can_be_read() {
    for (scheme, palette) in ["day", "dark"].iter().zip(palettes()) {
        let held = TEXTS.map(|pair| (pair, 4.5)).into_iter().chain(SHAPES.map(|pair| (pair, 3.0)));
        for (pair, least) in held {
            let found = ratio(&palette, pair);
            assert!(found >= least, "{scheme}: {pair:?} {found:.2}, needs {least}");
        }
    }
}
