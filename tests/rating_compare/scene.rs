//! The Fellmoor units with few ratings and without draws.

use super::demo::demo;
use bubblemargin::assessment::Tool;
use bubblemargin::rating::compare::Comparison;
use bubblemargin::rating::compare::old::OldRatings;
use bubblemargin::rating::inputs::{Given, InputPart, files, parts, rejoin};
use bubblemargin::rating::question::{Ambient, Question};
use bubblemargin::rating::table::cells;
use bubblemargin::rating::{Asked, Cell, METHODOLOGY, NOTICE, Paper, RatedUnit, Ratings};
use bubblemargin::unit::Unit;
use bubblemargin::unit::defaults::Catalogue;
use bubblemargin::unit::validate::read_unit_with;

pub(crate) const T1: &str = include_str!("../../demo-data/units/fellmoor-t1.yaml");
pub(crate) const T2: &str = include_str!("../../demo-data/units/fellmoor-t2.yaml");
pub(crate) const PROBE: &str = include_str!("../../demo-data/units/fellmoor-t2-probe.csv");

/// What ratings are computed from.
#[derive(Debug, Clone)]
pub(crate) struct Inputs {
    pub(crate) unit: String,
    pub(crate) files: Vec<(String, String)>,
    pub(crate) flags: &'static str,
}

impl Inputs {
    pub(crate) fn of(unit: &str) -> Self {
        let probe = ("fellmoor-t2-probe.csv".to_owned(), PROBE.to_owned());
        Self { unit: unit.to_owned(), files: vec![probe], flags: "none" }
    }

    pub(crate) fn parts(&self) -> Vec<InputPart> {
        let catalogue = Catalogue::embedded();
        let (unit, files, flags) = (self.unit.as_str(), self.files.as_slice(), self.flags);
        parts(&Given { unit, files, rules: None, catalogue: &catalogue, flags, as_of: None })
    }

    /// The profile with some words in place of others.
    pub(crate) fn with(mut self, was: &str, is: &str) -> Self {
        let other = self.unit.replace(was, is);
        assert_ne!(other, self.unit, "{was}");
        self.unit = other;
        self
    }
}

/// The unit of inputs, or why there is none.
pub(crate) fn unit_of(parts: &[InputPart]) -> Result<Unit, String> {
    let text = rejoin(parts).ok_or("no text of the profile")?;
    let found: Vec<(&str, &str)> = files(parts).collect();
    read_unit_with("unit", &text, &Catalogue::embedded(), &mut |name| {
        let own = found.iter().find(|(own, _)| *own == name);
        let refused = || bubblemargin::input::InputError::new(name, "no such file", "a file");
        own.map(|(_, text)| (name.to_owned(), (*text).to_owned())).ok_or_else(refused)
    })
    .map_err(|error| error.to_string())
}

/// Four ratings of inputs: an hour and for ever, at two ambients.
pub(crate) fn rated(parts: &[InputPart]) -> Result<Vec<Cell>, String> {
    let mut template = demo(0).map_err(|error| error.to_string())?;
    template.unit = unit_of(parts)?;
    Ok(cells(&Question {
        sets: vec![template.limits.clone()],
        template,
        durations_min: vec![Some(60.0), None],
        ambients: [20.0, 30.0].map(Ambient::constant).to_vec(),
        preloads_pu: vec![0.7],
    }))
}

/// The answer for inputs.
pub(crate) fn ratings(inputs: &Inputs) -> Ratings {
    let parts = inputs.parts();
    Ratings {
        tool: Tool::this(),
        methodology: METHODOLOGY,
        date: "2026-10-20".to_owned(),
        inputs_sha256: "0123456789abcdef".repeat(4),
        notice: NOTICE,
        assumptions: Vec::new(),
        cautions: Vec::new(),
        unit: RatedUnit {
            name: unit_of(&parts).unwrap().name,
            site: None,
            mva: 40.0,
            windings: Vec::new(),
        },
        asked: Asked {
            durations_min: vec![Some(60.0), None],
            ambients_c: vec![20.0, 30.0],
            preloads_pu: vec![0.7],
            limits: Vec::new(),
            local_rules: None,
            cooling: None,
            required_margin_k: 10.0,
            draws: 0,
            seed: 0,
            voltage_pu: None,
            voltage_std_percent: 0.0,
            tap: None,
            windings: None,
            as_of: None,
        },
        paper: Paper {
            counting_moisture_percent: None,
            best_moisture_percent: None,
            gas_percent: None,
            inception_c: None,
            inception_best_c: None,
        },
        cells: rated(&parts).unwrap(),
        inputs: parts,
        protection: Vec::new(),
        water: None,
        capability: None,
        seasons: None,
        changes: None,
    }
}

/// An answer as it is read back later.
pub(crate) fn read_back(ratings: &Ratings) -> OldRatings {
    let json = serde_json::to_string_pretty(ratings).unwrap();
    OldRatings::read("old.json", &json, &ratings.unit.name).unwrap()
}

/// What changed between two sets of inputs.
pub(crate) fn compared(old: &Inputs, new: &Inputs) -> Comparison {
    let (old, new) = (ratings(old), ratings(new));
    bubblemargin::rating::compare::compare(&read_back(&old), &new, &rated)
}
