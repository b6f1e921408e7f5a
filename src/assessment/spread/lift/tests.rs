//! Few draws, and a load that is followed no further than it can get hotter, against every draw through the whole course of
//! the detailed model, on invented units and loads.

use super::*;
use crate::assessment::basis::Basis;
use crate::assessment::case::{Case, HotSpotMoisture, Request, Resolution, Sampling, StartFrom};
use crate::assessment::evaluation::Evaluation;
use crate::assessment::spread::pairs::Inceptions;
use crate::assessment::spread::propagation::by_lags;
use crate::loading::load::Proposal;
use crate::rules::limits::LimitSet;
use crate::thermal::schedule::AmbientLine;
use crate::unit::Condition;
use crate::unit::defaults::Catalogue;
use crate::unit::validate::read_unit;

/// Numbers in (0, 1), one after another.
struct Dice<'a>(std::slice::Iter<'a, f64>);

impl Dice<'_> {
    fn share(&mut self) -> f64 {
        *self.0.next().unwrap()
    }

    fn between(&mut self, low: f64, high: f64) -> f64 {
        low + (high - low) * self.share()
    }

    fn one_of<T: Copy>(&mut self, all: &[T]) -> T {
        #[allow(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            clippy::cast_precision_loss,
            reason = "a few"
        )]
        let place = (self.share() * all.len() as f64) as usize;
        all[place]
    }
}

/// Units and loads looked at, and so often others.
const CASES: usize = 200;
const SEEDS: [u32; 4] = [30, 31, 32, 33];

/// Numbers that make a case.
const NUMBERS: u32 = 16;

/// Draws of each: their own noise is in both sides alike.
const DRAWS_EACH: u32 = 128;

/// How much more comfortable the 5 % point by few draws may be, K.
const COMFORT_K: f64 = 0.3;

/// A course that stops on the way takes other steps than a whole one; each is off by less than half of this, K.
const SAME_K: f64 = 0.1;

/// Errors of a forecast are looked up so often where every draw goes through the detailed model, min.
const LOOKED_UP_MIN: f64 = 5.0;

/// An invented unit: heat-run figures and constants all over what is usual, cooling in one stage or two.
fn profile(dice: &mut Dice<'_>) -> String {
    let (top_k, gradient_k) = (dice.between(38.0, 58.0), dice.between(12.0, 30.0));
    let (ratio, natural_pu) = (dice.between(3.0, 10.0), dice.between(0.5, 0.75));
    let (natural_k, natural_gradient_k) =
        (dice.between(40.0, 55.0), gradient_k * dice.between(0.5, 0.8));
    let (percent, start_c) = (dice.between(1.0, 3.5), dice.between(50.0, 70.0));
    let class = dice.one_of(&["ONAN", "ONAF", "ONAF", "OFAF", "ODAF"]);
    let set = match class {
        "ONAN" => "onan",
        "ONAF" => "onaf",
        "OFAF" => "of",
        _ => "od",
    };
    let stages = if class == "ONAF" {
        format!(
            "cooling_stages:\n  - {{ name: ONAN, rating_pu: {natural_pu}, constants: onan, \
             top_oil_rise_k: {natural_k}, hot_spot_gradient_k: {natural_gradient_k} }}\n  - {{ name: ONAF, \
             rating_pu: 1.0, start_top_oil_c: {start_c}, stop_top_oil_c: {} }}\n",
            start_c - 10.0
        )
    } else {
        format!("cooling_stages:\n  - {{ name: {class}, rating_pu: 1.0, constants: {set} }}\n")
    };
    format!(
        "unit: test\nsize_class: medium\nrated: {{ mva: 40, cooling: {class} }}\npaper: kraft\nliquid: mineral\n\
         thermal: {{ constants: {set}, top_oil_rise_k: {top_k}, hot_spot_gradient_k: {gradient_k}, loss_ratio: \
         {ratio}, heat_run: 1990-01-01 }}\n{stages}oil: {{ preservation: conservator, altitude_m: 200, \
         head_above_hot_spot_m: 1.5 }}\ngas: {{ sampled: 2026-09-03, total_percent: 5 }}\nmoisture:\n  - {{ method: \
         dielectric-response, percent: {percent}, std: 0.3, date: 2026-10-02 }}\n\
         paper_condition: {{ dp: 900, date: 2026-10-01 }}\n"
    )
}

fn case(dice: &mut Dice<'_>) -> Case {
    let catalogue = Catalogue::embedded();
    let unit = read_unit("test", &profile(dice), &catalogue).unwrap();
    let minutes = dice.one_of(&[15.0, 30.0, 60.0, 240.0, 480.0]);
    let (load_pu, preload_pu) = (dice.between(1.0, 1.5), dice.share());
    let loading = Proposal::constant(load_pu, minutes).unwrap().followed_by(None, 0.7).unwrap();
    let set = "iec-long-time-emergency";
    let stages = unit.thermal.as_ref().unwrap().stages.len();
    Case {
        request: Request {
            loading,
            start: StartFrom::Preload(preload_pu),
            preload_from_pu: preload_pu,
            preload_varies: false,
            ambient: AmbientLine::constant(dice.between(-5.0, 35.0)),
            forecast_until_min: None,
            top_oil_c: None,
            stage: if dice.share() < 0.5 { Some(stages - 1) } else { None },
            cooling_lost_at_min: None,
            condition: Condition::default(),
            hot_spot: HotSpotMoisture::Bulk,
            dried_to_percent: 1.0,
            load_error: unit.spread.load_percent.clone(),
            ambient_error: unit.spread.ambient_k.clone(),
            sampling: Sampling::default(),
            in_service: crate::loading::current::InService::default(),
            resolution: Resolution::Minutes,
        },
        limits: LimitSet::named(set, unit.size_class, minutes, &catalogue).unwrap(),
        unit,
        local: None,
        as_of: None,
        inputs_sha256: String::new(),
        water_as_percent: None,
    }
}

/// What a case shows: how much more comfortable few draws are, K, and whether the detailed model decides.
struct Shown {
    comfort_k: f64,
    governs: bool,
}

/// The hottest hot spot of a draw in its whole course, °C; held against what is found where it is followed as far as it can get
/// hotter.
fn whole_c(imposed: &Imposed<'_>, member: &Member) -> f64 {
    let run = |load: &LoadSteps, ambient: &AmbientLine, cooling: &Cooling| {
        let plan = Plan { cooling, load, ambient, breakpoints: imposed.followed.minutes() };
        member.form.run(&plan, member.start.state, member.start.stage).hot_spot.value_c
    };
    let (whole_c, followed_c) = (imposed.with(member, run).unwrap(), imposed.hottest_c(member));
    assert!((whole_c - followed_c).abs() < SAME_K, "whole {whole_c} °C, followed {followed_c} °C");
    whole_c
}

fn shown(case: &Case) -> Shown {
    let basis = Basis::of(case);
    let plant = basis.plant.as_ref().unwrap();
    let load = &case.request.loading.load;
    let evaluation = Evaluation::of(case, &basis, load, None);
    let inputs = Inputs::of(case, &evaluation.facts).unwrap();
    let until_min = plant.until_min(case);
    let columns = inputs.columns();
    let all = columns + OWN_INPUTS;
    let points = Points::new(7, 2, DRAWS_EACH / 2, u32::try_from(all).unwrap()).unwrap();
    let rows = points.rows(0..points.draws());
    let values: Vec<_> = rows.chunks(all).map(|row| inputs.values(&row[..columns])).collect();
    let own: Vec<_> = rows.chunks(all).map(|row| own(&inputs, &row[columns..])).collect();
    // The start that counts; draws of others are hotter here and cooler there.
    let which = plant.run(case, load).which();
    let drawn = Drawn::from_values(case, plant, (&inputs, &values), which);
    let lags_c = by_lags(case, plant, &inputs, &drawn, load, until_min);
    // As close as the lag forms look errors up.
    let minutes = (1..).map(|step| f64::from(step) * LOOKED_UP_MIN);
    let minutes = minutes.take_while(|minute| *minute < until_min);
    let imposed = Imposed::of((case, plant), &inputs, (load, until_min), minutes);
    let detailed = members((case, plant), (&inputs, &values), &own, which);
    let full: Vec<f64> = detailed
        .iter()
        .zip(&lags_c)
        .enumerate()
        .map(|(draw, (member, lags_c))| {
            whole_c(&imposed, member).max(*lags_c) + drawn.model_k(draw)
        })
        .collect();
    let detailed_c = plant.detailed_c(case, which, (load, until_min));
    let few = Few::of((case, plant), which, (&inputs, 1));
    let lift = few.lift((case, plant), &inputs, (load, until_min), (detailed_c, Taken::All));
    let lifted = |(draw, lags_c): (usize, &f64)| lift.hot_c(*lags_c, drawn.model_k(draw));
    let lifted: Vec<f64> = lags_c.iter().enumerate().map(lifted).collect();
    let inceptions = Inceptions::of(
        &Drawn::inceptions_c(
            case,
            &inputs,
            &Points::new(3, 2, 256, u32::try_from(columns).unwrap()).unwrap(),
        ),
        2,
    );
    let p05_k = |hot_c: &[f64]| inceptions.margin_k(hot_c, 0.05);
    let above = full.iter().zip(&lags_c).filter(|(full, lags)| full > lags).count();
    Shown { comfort_k: p05_k(&lifted) - p05_k(&full), governs: 2 * above > full.len() }
}

#[test]
fn few_draws_are_no_more_comfortable_than_every_draw_through_the_detailed_model() {
    for seed in SEEDS {
        let points = Points::new(seed, 2, 128, NUMBERS).unwrap();
        let numbers = points.rows(0..CASES);
        let mut governs = 0;
        let each = numbers.chunks(NUMBERS as usize).take(CASES).map(|row| {
            let found = shown(&case(&mut Dice(row.iter())));
            governs += usize::from(found.governs);
            found.comfort_k
        });
        let mut comforts: Vec<f64> = each.collect();
        comforts.sort_by(f64::total_cmp);
        let worst_k = comforts[CASES - 1];
        assert!(governs >= 40, "the detailed model decides in {governs} of {CASES}");
        let median_k = comforts[CASES / 2];
        assert!(worst_k <= COMFORT_K, "{seed}: {worst_k} K more comfortable; median {median_k}");
    }
}
