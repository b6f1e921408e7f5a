//! Ratings held against earlier ones: which changed, and which input caused it.

#![allow(clippy::unwrap_used, reason = "a failed unwrap is a failed test")]

#[path = "rating_compare/causes.rs"]
mod causes;
#[path = "../benches/demo/case.rs"]
#[allow(dead_code, reason = "shared with the benches")]
mod demo;
#[path = "rating_compare/refused.rs"]
mod refused;
#[path = "rating_compare/scene.rs"]
mod scene;
#[path = "rating_compare/shown.rs"]
mod shown;

use bubblemargin::rating::inputs::{self, InputPart};
use bubblemargin::unit::defaults::Catalogue;
use scene::{Inputs, T1, T2, unit_of};

#[test]
fn sections_rejoin_to_the_same_unit() {
    for text in [T1, T2] {
        let inputs = Inputs::of(text);
        let parts = inputs.parts();
        let rejoined = inputs::rejoin(&parts).unwrap();
        assert_ne!(rejoined, text, "the comment at its head is no section");
        let same = Inputs::of(&rejoined);
        // Lines moved up by the comment that is gone, so that what is compared must not name any.
        let plain = |inputs: &Inputs| format!("{:?}", unit_of(&inputs.parts()).unwrap());
        assert_eq!(plain(&inputs), plain(&same));
        let names = |parts: &[InputPart]| -> Vec<String> {
            parts.iter().map(|part| part.name.clone()).collect()
        };
        let sections: Vec<String> =
            names(&parts).into_iter().filter(|name| name.starts_with("unit.")).collect();
        let keys = text.lines().filter(|line| line.starts_with(|c: char| c.is_ascii_lowercase()));
        let keys: Vec<String> =
            keys.map(|line| format!("unit.{}", line.split_once(':').unwrap().0)).collect();
        assert_eq!(sections, keys, "a section for each key, in their order");
    }
}

#[test]
fn comments_and_line_ends_make_no_difference() {
    let other =
        T2.replace("thermal:\n", "\n# Heat run of the maker.\nthermal:\n").replace('\n', "\r\n");
    assert_ne!(other, T2);
    assert_eq!(Inputs::of(&other).parts(), Inputs::of(T2).parts());
}

#[test]
fn a_profile_that_is_not_cut_into_keys_is_one_part() {
    for text in
        ["{ unit: x, size_class: medium }\n", "unit: x\nunit: y\n", "\"unit\": x\npaper: kraft\n"]
    {
        let parts = Inputs::of(text).parts();
        let of_unit: Vec<&InputPart> = parts.iter().filter(|part| part.is_of_unit()).collect();
        assert_eq!((of_unit.len(), of_unit[0].name.as_str()), (1, "unit"), "{text}");
        assert_eq!(inputs::rejoin(&parts).as_deref(), Some(text));
    }
}

#[test]
fn long_texts_and_profile_files_are_kept_as_hashes() {
    let mut inputs = Inputs::of(T2);
    inputs.files[0].1.push_str(&"#".repeat(inputs::MOST_TEXT));
    let parts = inputs.parts();
    let part = |name: &str| parts.iter().find(|part| part.name == name).unwrap();
    assert!(part("file.fellmoor-t2-probe.csv").text.is_none());
    assert!(inputs::files(&parts).next().is_none());
    for (path, _) in Catalogue::embedded().files() {
        let part = part(&format!("profiles.{path}"));
        assert!(part.text.is_none() && part.sha256.len() == 64);
    }
    inputs.unit += "note: ";
    inputs.unit += &"x".repeat(inputs::MOST_TEXT);
    assert_eq!(inputs::rejoin(&inputs.parts()), None, "a section is lacking");
}
