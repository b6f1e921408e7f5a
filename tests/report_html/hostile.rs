//! What a profile says is text and stays text.

use crate::made::{made, scratch};
use std::fs;

#[test]
fn names_and_notes_cannot_become_part_of_the_page() {
    let folder = scratch("hostile");
    let profile = fs::read_to_string("demo-data/units/fellmoor-t1.yaml").unwrap();
    let attack = "</title></svg><script>alert(1)</script>\\\" onload=x";
    let site = profile.lines().find(|line| line.starts_with("site:")).unwrap();
    let hostile = profile.replace(site, &format!("site: \"{attack}\""));
    let path = folder.join("hostile.yaml");
    fs::write(&path, hostile).unwrap();
    let unit = path.display();
    for question in [
        format!("check {unit} --load 1.1 --for 2h --preload 0.6 --ambient 20"),
        format!("moisture {unit}"),
        format!("rate {unit} --draws 0"),
    ] {
        let report = made(&question);
        assert!(!report.contains("<script"), "{question}");
        assert!(
            report.contains("&#60;script&#62;") || report.contains("&lt;script&gt;"),
            "{question}"
        );
    }
}
