//! Ratings written down by hand.

use bubblemargin::assessment::Tool;
use bubblemargin::rating::{
    Asked, Cell, Governs, Limiting, METHODOLOGY, NOTICE, Paper, RatedUnit, Ratings, SetUsed,
    Winding,
};

/// A rating of the limit set `normal` from 0.65 pu at 27 °C.
pub(crate) fn cell(duration_min: Option<f64>, load_pu: Option<f64>) -> Cell {
    let governs = Governs {
        what: Limiting::HotSpot,
        code: Some("thermal-hot-spot"),
        words: "hot spot 120.4 °C, limit 120 °C".to_owned(),
    };
    let (limits, preload_pu, ambient_c) = ("normal".to_owned(), 0.65, 27.0);
    Cell {
        limits,
        preload_pu,
        ambient_c,
        from_min: None,
        duration_min,
        load_pu,
        governs,
        held_by: None,
        allowance_k: None,
        facility: None,
    }
}

/// Loads that fall with the duration.
pub(crate) fn falling() -> Vec<Cell> {
    [(Some(15.0), 1.5), (Some(30.0), 1.5), (Some(240.0), 1.2), (None, 1.0)]
        .map(|(minutes, load)| cell(minutes, Some(load)))
        .into()
}

fn asked() -> Asked {
    let limits = ["normal", "emergency"].map(|name| SetUsed {
        name: name.to_owned(),
        title: format!("The {name} limits <of the guide>"),
        source: "iec-60076-7-2018".to_owned(),
    });
    Asked {
        durations_min: vec![Some(15.0), Some(30.0), Some(240.0), None],
        ambients_c: vec![27.0],
        preloads_pu: vec![0.65],
        limits: limits.into(),
        local_rules: None,
        cooling: None,
        required_margin_k: 10.0,
        draws: 0,
        voltage_pu: None,
        voltage_std_percent: 0.0,
        tap: None,
        windings: None,
        seed: 0,
        as_of: None,
    }
}

/// Ratings of a unit of 132/33 kV and 40 MVA.
pub(crate) fn ratings(name: &str, cells: Vec<Cell>) -> Ratings {
    let winding = |name: &str, kv, rated_a| Winding { name: name.to_owned(), kv, rated_a };
    Ratings {
        tool: Tool::this(),
        methodology: METHODOLOGY,
        date: "2026-10-20".to_owned(),
        inputs_sha256: "0123456789abcdef".repeat(4),
        notice: NOTICE,
        assumptions: vec!["Ambient held constant".to_owned()],
        cautions: Vec::new(),
        unit: RatedUnit {
            name: name.to_owned(),
            site: Some("Fellmoor (invented)".to_owned()),
            mva: 40.0,
            windings: vec![winding("LV", 33.0, 699.82), winding("HV", 132.0, 174.95)],
        },
        asked: asked(),
        paper: Paper {
            counting_moisture_percent: Some(2.0),
            best_moisture_percent: Some(1.6),
            gas_percent: Some(6.0),
            inception_c: Some(150.0),
            inception_best_c: Some(158.0),
        },
        cells,
        protection: Vec::new(),
        inputs: Vec::new(),
        water: None,
        capability: None,
        seasons: None,
        changes: None,
    }
}
