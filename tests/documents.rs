//! What the documents say must be so: sources exist, the README shows the real output.

#![allow(clippy::unwrap_used, reason = "a failed unwrap is a failed test")]

use bubblemargin::rules::catalogue::EXPLANATIONS;
use bubblemargin::unit::sources;
use std::collections::BTreeSet;
use std::fs;
use std::path::Path;

fn ids() -> BTreeSet<String> {
    let all = sources::embedded();
    let ids: BTreeSet<String> = all.iter().map(|source| source.id.clone()).collect();
    assert_eq!(ids.len(), all.len(), "every id once");
    assert!(ids.len() > 5);
    ids
}

/// Every file below a folder with this ending, as text.
fn texts(folder: &Path, ending: &str) -> Vec<(String, String)> {
    let mut found = Vec::new();
    for entry in fs::read_dir(folder).unwrap() {
        let path = entry.unwrap().path();
        if path.is_dir() {
            found.extend(texts(&path, ending));
        } else if path.extension().is_some_and(|own| own == ending) {
            found.push((path.display().to_string(), fs::read_to_string(&path).unwrap()));
        }
    }
    found
}

#[test]
fn every_finding_names_a_source_in_the_bibliography() {
    let ids = ids();
    for explanation in EXPLANATIONS {
        assert!(ids.contains(explanation.source), "{}: {}", explanation.code, explanation.source);
    }
}

#[test]
fn every_profile_names_a_source_in_the_bibliography() {
    let ids = ids();
    for folder in ["profiles/cooling", "profiles/limits"] {
        for (file, text) in texts(Path::new(folder), "yaml") {
            let line = text.lines().find(|line| line.starts_with("source")).unwrap();
            let named = line.split_once(':').unwrap().1.trim().trim_matches(['[', ']']);
            for id in named.split(", ") {
                assert!(ids.contains(id), "{file}: {id}");
            }
        }
    }
}

#[test]
fn every_usual_uncertainty_names_a_source_and_a_reason() {
    let (ids, usual) = (ids(), fs::read_to_string("profiles/uncertainty/usual.yaml").unwrap());
    let named = |key: &str| -> Vec<String> {
        let values = usual.lines().filter_map(|line| line.trim().strip_prefix(key));
        values.map(|value| value.trim().to_owned()).collect()
    };
    let (sources, reasons) = (named("source:"), named("reason:"));
    assert!(sources.len() == 20 && reasons.len() == 20, "one for each entry");
    for id in sources {
        assert!(ids.contains(&id), "{id}");
    }
}

/// A correlation's doc comment has all five headings, and its sources are in the bibliography.
#[test]
fn every_correlation_has_its_five_headings() {
    let ids = ids();
    let mut correlations = 0;
    for (file, text) in texts(Path::new("src"), "rs") {
        for (number, line) in text.lines().enumerate() {
            let Some(source) = line.trim_start().strip_prefix("/// # Source") else { continue };
            correlations += 1;
            for quoted in source.split('`').skip(1).step_by(2).filter(|quoted| quoted.contains('-'))
            {
                assert!(ids.contains(quoted), "{file}:{}: {quoted}", number + 1);
            }
            let rest: Vec<&str> = text
                .lines()
                .skip(number)
                .take_while(|line| line.trim_start().starts_with("///"))
                .collect();
            for heading in ["# Valid", "# Departures", "# Checked"] {
                assert!(
                    rest.iter().any(|line| line.contains(heading)),
                    "{file}:{}: {heading}",
                    number + 1
                );
            }
        }
    }
    assert!(correlations >= 12, "{correlations} correlations found");
}

/// Every command of the README that is followed by an output prints what begins so; of the reasons, which
/// stand further down, an excerpt is shown.
#[test]
fn the_readme_shows_the_real_output() {
    let readme = fs::read_to_string("README.md").unwrap();
    let commands: Vec<&str> =
        readme.lines().filter_map(|line| line.strip_prefix("cargo run -qr -- ")).collect();
    let outputs = readme.split("```text\n").skip(1);
    let shown: Vec<&str> = outputs.map(|rest| rest.split("\n```").next().unwrap()).collect();
    assert_eq!((commands.len(), shown.len()), (6, 6), "a command for each output");
    for (command, shown) in commands.iter().zip(shown) {
        let output = assert_cmd::Command::cargo_bin("bubblemargin")
            .unwrap()
            .args(command.split_whitespace())
            .env("NO_COLOR", "1")
            .output()
            .unwrap();
        let real = String::from_utf8(output.stdout).unwrap();
        assert!(shown.lines().count() > 15);
        let excerpt = command.contains("--why") && real.contains(shown);
        assert!(excerpt || real.starts_with(shown), "not what `{command}` prints:\n{real}");
    }
}

#[test]
fn the_readme_names_only_tests_that_exist() {
    let readme = fs::read_to_string("README.md").unwrap();
    let named = readme.split('`').filter(|quoted| quoted.starts_with("tests/"));
    let mut count = 0;
    for path in named {
        assert!(Path::new(path).exists(), "{path}");
        count += 1;
    }
    assert!(count >= 6, "{count} tests named");
}

#[test]
fn demo_data_says_that_it_is_invented() {
    for ending in ["yaml", "csv"] {
        for (file, text) in texts(Path::new("demo-data"), ending) {
            assert!(text.lines().next().unwrap().to_lowercase().contains("invented"), "{file}");
        }
    }
}
