//! Water in the oil through an overload and the cool-down after it: how wet it becomes, how near
//! saturation it comes while it cools, and when it is as it was.

use super::exchange::{Exchange, Masses};
use super::oil_over::{OilOver, oil_over};
use super::solubility::Solubility;
use crate::quantities::{Celsius, MoisturePercent, WaterPpm};

/// The oil is as it was when it holds no more than this share above what it held. Our choice.
const WETTER_SHARE: f64 = 0.10;
/// … and is no hotter than it was by more than this, K. Our choice.
const HOTTER_K: f64 = 3.0;

/// The paper and the oil that may exchange water.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Setting {
    /// Water in the insulation before.
    pub water: MoisturePercent,
    /// Solubility of water in the oil.
    pub solubility: Solubility,
    /// Masses and thickness; `None`: only a bound can be given.
    pub masses: Option<Masses>,
}

impl Setting {
    /// Oil and insulation at rest at a top oil; `None` without masses, or above 150 °C.
    pub fn at_rest(&self, top_oil_c: f64) -> Option<Exchange> {
        let oil = Celsius::new(top_oil_c).ok()?;
        Exchange::at_rest(self.masses?, self.water, oil, self.solubility)
    }

    /// Oil that is in equilibrium with the insulation as wet as before.
    fn equilibrium(&self, top_oil_c: f64) -> Option<OilOver> {
        oil_over(self.water, Celsius::new(top_oil_c).ok()?, self.solubility).ok()
    }

    /// Relative saturation; `None` outside 0 to 150 °C.
    pub fn saturation(&self, ppm: f64, oil_c: f64) -> Option<f64> {
        let (water, oil) = (WaterPpm::new(ppm).ok()?, Celsius::new(oil_c).ok()?);
        Some(self.solubility.relative(water, oil).ok()?.value())
    }

    fn saturates_below_c(&self, ppm: f64) -> Option<f64> {
        self.solubility.saturation_temperature_c(WaterPpm::new(ppm).ok()?)
    }
}

/// The oil at minute 0.
#[derive(Debug, Clone, PartialEq)]
pub enum Start {
    /// Followed up to then, or at rest.
    Followed(Exchange),
    /// It cannot be followed; this is the hottest that it has been before, °C, as far as is known.
    Bound(f64),
}

impl Start {
    fn exchange(&self) -> Option<&Exchange> {
        match self {
            Self::Followed(exchange) => Some(exchange),
            Self::Bound(_) => None,
        }
    }
}

/// Top oil at one moment.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Moment {
    /// Time, min.
    pub minute: f64,
    /// The hottest model's, °C: it drives water out of the insulation.
    pub hotter_c: f64,
    /// The cooler form's, °C: there the oil is nearer saturation.
    pub cooler_c: f64,
}

/// The oil at one moment.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct OilState {
    /// Time, min.
    pub minute: f64,
    /// Top oil of the hottest model, °C.
    pub top_oil_c: f64,
    /// Water in the oil, ppm.
    pub ppm: f64,
    /// Relative saturation at the cooler form's top oil; `None` outside the range of the solubility.
    pub saturation: Option<f64>,
}

/// The oil through an overload and the cool-down.
#[derive(Debug, Clone, PartialEq)]
pub struct CoolDown {
    /// The course, from minute 0 on.
    pub course: Vec<OilState>,
    /// When the oil is wettest.
    pub wettest: OilState,
    /// When it is nearest to saturation; `None` if that can nowhere be given.
    pub nearest_saturation: Option<OilState>,
    /// Whether it becomes colder than the solubility is known for, where it may be nearer still.
    pub colder_than_known: bool,
    /// Temperature below which the wettest oil gives off free water, °C.
    pub saturates_below_c: Option<f64>,
    /// The same for the oil at the end of the course, °C.
    pub saturates_below_at_end_c: Option<f64>,
    /// Minutes from the end of the overload until the oil is as it was; `None`: not within the course, or
    /// not known.
    pub wait_min: Option<f64>,
    /// Last minute of the course.
    pub horizon_min: f64,
    /// Whether nothing was followed over time, so that water in the oil is only the most it can be.
    pub bound_only: bool,
    /// Whether the paper is wetter than the isotherm covers, so that the oil was taken up to saturation.
    pub beyond_isotherm: bool,
}

/// Follows the oil through moments in order, the first being minute 0, with the overload ending at `end_min`.
/// The course ends when the oil is as it was, but not before `until_min`, or with the last moment.
///
/// Between two moments all is as hot as at the later one. Oil that cannot be followed holds what it would
/// hold in equilibrium at its hottest so far: the most that it could take up.
///
/// # Source       [`Exchange::after`]; when oil is "as it was" is `project-choice`.
/// # Valid        Oil up to 150 °C.
/// # Departures   As it was: no more than 10 % above the least of what it held at minute 0, what it would
/// hold in equilibrium then, and what it comes to hold under the load that follows, so that neither an
/// earlier overload nor a start that was taken hot shortens the wait; and no more than 3 K hotter than
/// the cooler of both.
/// # Checked      Tests of this file; not checked against published numbers.
///
/// `None` without moments, and outside the range above.
pub fn follow(
    setting: &Setting,
    start: &Start,
    moments: &[Moment],
    end_min: f64,
    until_min: f64,
) -> Option<CoolDown> {
    let first = moments.first()?;
    let mut bound = setting.equilibrium(first.hotter_c)?;
    let at_rest_ppm = bound.ppm;
    if let Start::Bound(before_c) = start {
        bound = wetter_oil(bound, setting.equilibrium(*before_c)?);
    }
    let bound_only = start.exchange().is_none();
    let settles_c = moments.last()?.hotter_c;
    let settled_ppm = setting.equilibrium(settles_c)?.ppm.min(at_rest_ppm);
    let kept_ppm = start.exchange().map_or(settled_ppm, |start| start.ppm().min(settled_ppm));
    let kept_c = first.hotter_c.min(settles_c);
    let mut exchange = start.exchange().cloned();
    let (mut course, mut wait_min) = (Vec::<OilState>::new(), None);
    for moment in moments {
        if moment.minute > until_min && (wait_min.is_some() || bound_only) {
            break;
        }
        if let (Some(oil), Some(last)) = (&exchange, course.last()) {
            exchange = Some(oil.after((moment.minute - last.minute) * 60.0, moment.hotter_c)?);
        }
        bound = wetter_oil(bound, setting.equilibrium(moment.hotter_c)?);
        let ppm = exchange.as_ref().map_or(bound.ppm, Exchange::ppm);
        course.push(OilState {
            minute: moment.minute,
            top_oil_c: moment.hotter_c,
            ppm,
            saturation: setting.saturation(ppm, moment.cooler_c),
        });
        let as_it_was = ppm <= (1.0 + WETTER_SHARE) * kept_ppm
            && moment.hotter_c <= kept_c + HOTTER_K
            && moment.minute > end_min;
        if as_it_was && !bound_only && wait_min.is_none() {
            wait_min = Some(moment.minute - end_min);
        }
    }
    let beyond_isotherm =
        exchange.as_ref().map_or(bound.beyond_isotherm, Exchange::beyond_isotherm);
    let wait_min = wait_min.filter(|_| !beyond_isotherm);
    summed_up(setting, course, Outcome { wait_min, bound_only, beyond_isotherm })
}

fn wetter_oil(one: OilOver, other: OilOver) -> OilOver {
    if other.ppm > one.ppm { other } else { one }
}

/// What was found on the way.
#[derive(Debug, Clone, Copy)]
struct Outcome {
    wait_min: Option<f64>,
    bound_only: bool,
    beyond_isotherm: bool,
}

fn summed_up(setting: &Setting, course: Vec<OilState>, outcome: Outcome) -> Option<CoolDown> {
    let wetter = |known: OilState, next: OilState| if next.ppm > known.ppm { next } else { known };
    let nearer = |known: OilState, next: OilState| {
        if next.saturation > known.saturation { next } else { known }
    };
    let wettest = course.iter().copied().reduce(wetter)?;
    let last = course.last()?;
    // A spike inside a schedule cools down before the schedule ends: all of the course is looked at.
    let after = || course.iter();
    let cold = |state: &OilState| state.saturation.is_none();
    Some(CoolDown {
        wettest,
        nearest_saturation: after().filter(|state| !cold(state)).copied().reduce(nearer),
        colder_than_known: after().any(cold),
        saturates_below_c: setting.saturates_below_c(wettest.ppm),
        saturates_below_at_end_c: setting.saturates_below_c(last.ppm),
        wait_min: outcome.wait_min,
        horizon_min: last.minute,
        bound_only: outcome.bound_only,
        beyond_isotherm: outcome.beyond_isotherm,
        course,
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn setting(percent: f64) -> Setting {
        Setting {
            water: MoisturePercent::new(percent).unwrap(),
            solubility: Solubility::MINERAL,
            masses: Some(Masses { oil_kg: 18_500.0, paper_kg: 2300.0, thickness_mm: 3.0 }),
        }
    }

    /// Two hours at a temperature, then back to another, from 55 °C.
    fn moments(hot_c: f64, after_c: f64, step_min: f64) -> Vec<Moment> {
        let mut all = Vec::new();
        let mut minute = 0.0;
        while minute < 4320.0 {
            let oil_c = match minute {
                m if m <= 0.0 => 55.0,
                m if m <= 120.0 => hot_c,
                _ => after_c,
            };
            all.push(Moment { minute, hotter_c: oil_c, cooler_c: oil_c });
            minute += step_min;
        }
        all
    }

    fn followed(setting: &Setting, moments: &[Moment]) -> CoolDown {
        let start = setting.at_rest(55.0).map_or(Start::Bound(55.0), Start::Followed);
        follow(setting, &start, moments, 120.0, 1560.0).unwrap()
    }

    #[test]
    fn the_oil_is_nearest_to_saturation_while_it_cools() {
        let cool_down = followed(&setting(2.5), &moments(85.0, 55.0, 10.0));
        let at_minute_0 = cool_down.course[0].saturation.unwrap();
        let nearest = cool_down.nearest_saturation.unwrap();
        assert!(nearest.minute > 120.0 && nearest.minute < 600.0, "{nearest:?}");
        assert!(nearest.saturation.unwrap() > 1.3 * at_minute_0);
        assert!((110.0..=130.0).contains(&cool_down.wettest.minute));
        assert!(cool_down.saturates_below_c > cool_down.saturates_below_at_end_c);
        let wait_min = cool_down.wait_min.unwrap();
        assert!(wait_min > 60.0 && cool_down.horizon_min >= 1560.0, "{wait_min}");
    }

    #[test]
    fn wetter_paper_is_never_milder() {
        let mut before: Option<CoolDown> = None;
        for tenth in 1..70 {
            let next = followed(&setting(f64::from(tenth) * 0.1), &moments(80.0, 50.0, 20.0));
            if let Some(before) = before {
                assert!(next.wettest.ppm >= before.wettest.ppm * 0.999, "{tenth}");
                let saturation = |of: &CoolDown| of.nearest_saturation.unwrap().saturation.unwrap();
                assert!(saturation(&next) >= 0.999 * saturation(&before), "{tenth}");
            }
            before = Some(next);
        }
    }

    #[test]
    fn without_masses_there_is_a_bound_and_no_wait() {
        let known = followed(&setting(2.5), &moments(85.0, 55.0, 10.0));
        let unknown = Setting { masses: None, ..setting(2.5) };
        let bound = followed(&unknown, &moments(85.0, 55.0, 10.0));
        assert!(bound.bound_only && bound.wait_min.is_none());
        assert!(bound.wettest.ppm >= known.wettest.ppm);
        assert!(bound.course.windows(2).all(|pair| pair[1].ppm >= pair[0].ppm));
        for (bound, known) in bound.course.iter().zip(&known.course) {
            assert!(bound.ppm >= known.ppm * (1.0 - 1.0e-3), "{bound:?} {known:?}");
        }
    }

    #[test]
    fn a_hotter_load_afterwards_leaves_the_wait_open() {
        assert!(followed(&setting(2.0), &moments(85.0, 65.0, 10.0)).wait_min.is_none());
    }

    #[test]
    fn cold_oil_is_said_to_be_unknown() {
        let cold = followed(&setting(2.0), &moments(85.0, -5.0, 10.0));
        assert!(cold.colder_than_known);
        let (dry, hot) = (setting(2.0), moments(151.0, 55.0, 10.0));
        assert!(follow(&dry, &Start::Bound(55.0), &hot, 120.0, 1560.0).is_none());
    }
}
