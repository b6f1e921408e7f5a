//! Three windings: the load loss of each, from those of the pairs.

use super::Thermal;
use super::facility_file::WindingFile;
use super::gradient::Stated;
use super::profile::UnitFile;
use super::validate::{Refuse, value};
use super::windings_file::{PairLossFile, WindingLossesFile};
use crate::input::InputError;

/// A winding may carry the rated power of the unit if its own differs by less, pu: digits of a double.
const SAME: f64 = 1.0e-9;

/// The load loss of the heat run may be above that of all windings at their ratings by so much: figures are rounded.
/// Our choice.
const ROUNDED: f64 = 1.02;

/// The gradient of the unit may be below that of a winding by so much, K: digits of a product. Our choice.
const GRADIENT_ROUNDED_K: f64 = 0.05;

/// The gradient of the unit may be above those of all windings by so much, K: reports round to a kelvin. Our choice.
const GRADIENT_AGREES_K: f64 = 0.5;

/// Three windings with the load loss of each.
#[derive(Debug, Clone, PartialEq)]
pub struct ThreeWindings {
    /// Their names, in the order of the profile.
    pub names: [String; 3],
    /// Rated power of each, MVA.
    pub rated_mva: [f64; 3],
    /// Load loss of each at its own rating, kW: its part of the star. It can be negative.
    pub loss_kw: [f64; 3],
    /// Load loss that the top-oil rise holds for, kW.
    pub rises_at_kw: f64,
}

impl ThreeWindings {
    /// The place of a winding by its name.
    pub fn place_of(&self, name: &str) -> Option<usize> {
        self.names.iter().position(|own| own == name)
    }
}

/// The losses of the three windings, and the gradients of all windings held against that of the unit.
///
/// # Errors
/// [`InputError`] for losses that are not those of three pairs of three windings, that contradict each other, and for
/// a gradient of the unit that is not the greatest of its windings.
pub(super) fn three_windings(
    refuse: &Refuse<'_>,
    file: &UnitFile,
    thermal: Option<&Thermal>,
) -> Result<Option<ThreeWindings>, InputError> {
    let windings = file.windings.as_deref().unwrap_or_default();
    gradients(refuse, file, windings, thermal)?;
    let Some(losses) = &file.winding_losses else { return Ok(None) };
    let key = "winding_losses";
    let [one, two, three] = windings else {
        let found = format!("{} under windings", counted(windings.len()));
        return Err(refuse.whole(key, found, "three windings, each with its rated power"));
    };
    let names = [one, two, three].map(|winding| winding.name.0.clone());
    let unit_mva = file.rated.mva.value;
    let mva = |winding: &WindingFile| value(winding.mva.as_ref()).unwrap_or(unit_mva);
    let rated_mva = [one, two, three].map(mva);
    if !rated_mva.iter().any(|mva| carries_all(*mva, unit_mva)) {
        let accepted = format!("a winding with the {unit_mva} MVA of the unit");
        return Err(refuse.at(one.name.1, "windings.mva", "three lower ratings", accepted));
    }
    let star_kw = star(pairs(refuse, &names, losses, unit_mva)?);
    let pu = rated_mva.map(|mva| mva / unit_mva);
    let rises_at_kw = rises_at(refuse, losses, &star_kw, &pu)?;
    let own = |at: usize| star_kw[at] * pu[at] * pu[at];
    Ok(Some(ThreeWindings { names, rated_mva, loss_kw: [own(0), own(1), own(2)], rises_at_kw }))
}

fn counted(windings: usize) -> String {
    if windings == 0 { "none".to_owned() } else { format!("{windings} of them") }
}

fn carries_all(mva: f64, unit_mva: f64) -> bool {
    (mva / unit_mva - 1.0).abs() <= SAME
}

/// The pairs by the places of their windings; the third winding gives the place of the pair.
const PAIRS: [(usize, usize); 3] = [(1, 2), (0, 2), (0, 1)];

/// The loss of each pair at the rated power of the unit, kW; a pair stands at the place of the winding outside it.
fn pairs(
    refuse: &Refuse<'_>,
    names: &[String; 3],
    losses: &WindingLossesFile,
    unit_mva: f64,
) -> Result<[f64; 3], InputError> {
    let key = "winding_losses.pairs";
    let mut found: [Option<f64>; 3] = [None; 3];
    for pair in &losses.pairs {
        let outside = outside(refuse, names, pair)?;
        let scaled = unit_mva / pair.mva.value;
        let kw = pair.kw.value * scaled * scaled;
        if found[outside].replace(kw).is_some() {
            let words = format!("{} to {} twice", pair.from.0, pair.to.0);
            return Err(refuse.at(pair.from.1, key, words, "each pair once"));
        }
    }
    let missing = || {
        let words = PAIRS.map(|(one, other)| format!("{} to {}", names[one], names[other]));
        let found = format!("{} pairs", losses.pairs.len());
        refuse.whole(key, found, format!("three pairs: {}", words.join(", ")))
    };
    let [Some(one), Some(two), Some(three)] = found else { return Err(missing()) };
    Ok([one, two, three])
}

/// The place of the winding that is not in a pair.
fn outside(
    refuse: &Refuse<'_>,
    names: &[String; 3],
    pair: &PairLossFile,
) -> Result<usize, InputError> {
    let place = |name: &crate::input::text::Name| {
        names.iter().position(|own| *own == name.0).ok_or_else(|| {
            let accepted = format!("the name of a winding: {}", names.join(", "));
            refuse.at(name.1, "winding_losses.pairs", &name.0, accepted)
        })
    };
    let (one, other) = (place(&pair.from)?, place(&pair.to)?);
    if one == other {
        let found = format!("{} to itself", pair.from.0);
        return Err(refuse.at(pair.from.1, "winding_losses.pairs", found, "two windings"));
    }
    // The places add up to three.
    Ok(3 - one - other)
}

/// The loss of each winding from those of the three pairs.
///
/// ```text
/// P1 = (P12 + P13 - P23) / 2, and so on        all at one power, kW
/// ```
/// # Source       `common-practice`: the star of the three pair losses.
/// # Valid        Losses at one power and one temperature. One of the three can come out negative.
/// # Departures   Stray losses that a third winding's leakage field makes elsewhere are not in any pair.
/// # Checked      Not checked against published numbers; see the tests of this file.
fn star(pair_kw: [f64; 3]) -> [f64; 3] {
    let half: f64 = pair_kw.iter().sum::<f64>() / 2.0;
    pair_kw.map(|opposite| half - opposite)
}

/// The load loss that the top-oil rise holds for, kW.
fn rises_at(
    refuse: &Refuse<'_>,
    losses: &WindingLossesFile,
    star_kw: &[f64; 3],
    pu: &[f64; 3],
) -> Result<f64, InputError> {
    let least_kw = least(star_kw, pu);
    if !(least_kw > 0.0) {
        let accepted = "losses of pairs that leave a loss at the rated power";
        let found = format!("{least_kw:.1} kW in all windings together");
        return Err(refuse.whole("winding_losses.pairs", found, accepted));
    }
    let Some(stated) = &losses.rises_at_kw else { return Ok(least_kw) };
    let most_kw: f64 = star_kw.iter().zip(pu).map(|(kw, pu)| kw.max(0.0) * pu * pu).sum();
    if stated.value >= least_kw / ROUNDED && stated.value <= most_kw * ROUNDED {
        return Ok(stated.value);
    }
    let accepted = format!(
        "from {least_kw:.1} kW, the least at the rated power, to {most_kw:.1} kW with all windings at their ratings"
    );
    let found = format!("{} kW", stated.value);
    Err(refuse.at(stated.line, "winding_losses.rises_at_kw", found, accepted))
}

/// The least load loss with which the rated power can pass, kW.
///
/// ```text
/// min over windings i with the unit's rating, and x:  P_i + P_j·x² + P_k·(1 - x)²        x ≤ s_j, 1 - x ≤ s_k
/// ```
/// P loss of a winding at the rated power of the unit, s its rating over that power. Where the other two cannot take
/// all of it, both are at their ratings.
///
/// # Source       `project-choice`: nobody says which load the heat run was made with, and a lower loss makes every
///   load weigh more.
/// # Valid        Three windings, one of them with the rated power of the unit; powers in phase.
/// # Departures   A heat run of three windings is made at the loads with the greatest loss (IEC 60076-2, from memory):
///   that would be less strict, and whoever has its loss states it.
/// # Checked      Not checked against published numbers; see the tests of this file.
fn least(star_kw: &[f64; 3], pu: &[f64; 3]) -> f64 {
    let from = |(feed, (one, other)): (usize, (usize, usize))| {
        let loss =
            |x: f64, rest: f64| star_kw[feed] + star_kw[one] * x * x + star_kw[other] * rest * rest;
        let (lowest, highest) = (1.0 - pu[other], pu[one].min(1.0));
        if !(lowest <= highest) {
            return loss(pu[one], pu[other]);
        }
        let lowest = lowest.max(0.0);
        let flat = star_kw[other] / (star_kw[one] + star_kw[other]);
        let inside = if flat.is_finite() { flat.clamp(lowest, highest) } else { lowest };
        [lowest, inside, highest]
            .into_iter()
            .map(|x| loss(x, 1.0 - x))
            .fold(f64::INFINITY, f64::min)
    };
    let feeds = PAIRS.into_iter().enumerate().filter(|(feed, _)| (pu[*feed] - 1.0).abs() <= SAME);
    feeds.map(from).fold(f64::INFINITY, f64::min)
}

/// The gradient of the unit is that of its hottest winding: what is stated of windings is held against it.
fn gradients(
    refuse: &Refuse<'_>,
    file: &UnitFile,
    windings: &[WindingFile],
    thermal: Option<&Thermal>,
) -> Result<(), InputError> {
    let gradient = |winding| Stated::of_winding(winding).gradient(refuse, file.size_class);
    let mut stated: Vec<(&WindingFile, f64)> = Vec::new();
    for winding in windings {
        stated.extend(gradient(winding)?.map(|found| (winding, found.hot_spot_k)));
    }
    let greatest = stated.iter().max_by(|one, other| one.1.total_cmp(&other.1));
    let (Some((winding, greatest_k)), Some(thermal)) = (greatest, thermal) else { return Ok(()) };
    let rated = &thermal.stages[thermal.rated_stage].stage;
    let unit_k = rated.nameplate.hot_spot_gradient_k;
    let too_low = rated.gradient_typical || !(unit_k >= greatest_k - GRADIENT_ROUNDED_K);
    let too_high = stated.len() == windings.len() && unit_k > greatest_k + GRADIENT_AGREES_K;
    if !too_low && !too_high {
        return Ok(());
    }
    let own = if rated.gradient_typical { "none".to_owned() } else { format!("{unit_k:.1} K") };
    let found = format!("{own} for the unit, and {greatest_k:.1} K for {}", winding.name.0);
    let accepted = format!(
        "the greatest gradient of the windings under thermal: hot_spot_gradient_k {greatest_k:.1}"
    );
    Err(refuse.at(winding.name.1, "windings", found, accepted))
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_relative_eq;

    #[test]
    fn a_pair_loses_what_its_two_windings_lose() {
        // Opposite the first, second and third winding.
        let pair_kw = [426.0, 473.0, 200.0];
        let star_kw = star(pair_kw);
        for (outside, (one, other)) in PAIRS.into_iter().enumerate() {
            assert_relative_eq!(star_kw[one] + star_kw[other], pair_kw[outside], epsilon = 1.0e-9);
        }
        assert_relative_eq!(star_kw[0], 123.5);
    }

    #[test]
    fn two_secondaries_of_half_the_rating_can_only_share_it() {
        let star_kw = [60.0, 160.0, 200.0];
        assert_relative_eq!(least(&star_kw, &[1.0, 0.5, 0.5]), 60.0 + 40.0 + 50.0);
        // What they cannot take together is not passed.
        assert_relative_eq!(least(&star_kw, &[1.0, 0.5, 0.25]), 60.0 + 40.0 + 12.5);
    }

    #[test]
    fn the_least_loss_is_below_that_of_any_way_through() {
        let (star_kw, pu) = ([123.5, 76.5, 349.5], [1.0, 1.0, 0.325]);
        // Either of the two large windings may feed the other and the small one.
        let ways = (0..=1000).map(|at| f64::from(at) / 1000.0).filter(|x| 1.0 - x <= pu[2]);
        let through = |feed: usize, x: f64| {
            star_kw[feed] + star_kw[1 - feed] * x * x + star_kw[2] * (1.0 - x).powi(2)
        };
        let tried = ways.map(|x| through(0, x).min(through(1, x))).fold(f64::INFINITY, f64::min);
        let least_kw = least(&star_kw, &pu);
        // A thousandth of a way is off by no more than its square.
        assert!(least_kw <= tried + 1.0e-9 && least_kw > tried - 1.0e-3, "{least_kw} {tried}");
    }
}
