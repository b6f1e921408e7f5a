//! All blocks of a profile together: what belongs to the unit, what to each stage, and the keys beside them completed.

use super::super::profile::{StageFile, ThermalFile, UnitFile};
use super::super::validate::Refuse;
use super::super::{Liquid, natural};
use super::Printed;
use super::constants::constants;
use super::figures::{Figure, Figures, Key};
use super::file::HeatRunFile;
use super::losses::{self, PrintedLosses};
use super::masses::{self, PrintedMasses};
use super::of_unit::{OF_STAGE, OF_UNIT, conductor, date, liquid};
use super::rises::{Beside, rises};
use crate::input::InputError;
use crate::input::number::Number;
use crate::input::text::Date;
use crate::thermal::detailed::Conductor;

/// The thermal keys of a profile with what follows from its blocks.
#[derive(Debug)]
pub(in super::super) struct Completed {
    /// Those of the unit.
    pub(in super::super) own: ThermalFile,
    /// Those of the stages; of a unit whose stages are not stated, the rated one alone.
    pub(in super::super) stages: Vec<StageFile>,
    /// What is printed of the rated stage.
    pub(in super::super) rated: Printed,
    /// Date of the heat run of the rated stage.
    pub(in super::super) date: Option<Date>,
    /// The liquid that it was made with.
    pub(in super::super) liquid: Option<Liquid>,
}

/// Holds the blocks together and completes the keys beside them.
///
/// # Errors
/// [`InputError`] for figures that contradict each other.
pub(in super::super) fn completed(
    refuse: &Refuse<'_>,
    file: &UnitFile,
    own: &ThermalFile,
    stages: Option<&[StageFile]>,
) -> Result<Completed, InputError> {
    let alone = Number::stated(1.0, file.rated.cooling.1)
        .map(|rating_pu| natural::bare(&file.rated.cooling, rating_pu));
    let stages = stages.map_or_else(|| alone.into_iter().collect(), <[StageFile]>::to_vec);
    let rated = stages.iter().position(|stage| stage.name.0 == file.rated.cooling.0);
    let report = own.heat_run.as_ref().and_then(HeatRunFile::report);
    let of_rated = rated.and_then(|rated| stages[rated].heat_run.as_deref());
    let conductor = conductor(refuse, report, &stages)?;
    let mut all = All { refuse, file, own: own.clone(), rated, conductor, factor_taken: false };
    let unit =
        Figures::of(report, OF_UNIT).joined_whole(refuse, &Figures::of(of_rated, OF_STAGE))?;
    let mut completed = Completed {
        own: own.clone(),
        rated: Printed::default(),
        date: date(refuse, own.heat_run.as_ref(), of_rated)?,
        liquid: liquid(refuse, own, report, of_rated, &stages)?,
        stages,
    };
    all.complete(&unit, &mut completed)?;
    // A factor that is now one of its stages is no figure of the unit without an average gradient.
    if all.factor_taken && all.own.average_gradient_k.is_none() {
        all.own.hot_spot_factor = None;
    }
    completed.own = all.own;
    Ok(completed)
}

struct All<'a> {
    refuse: &'a Refuse<'a>,
    file: &'a UnitFile,
    own: ThermalFile,
    rated: Option<usize>,
    conductor: Option<Conductor>,
    /// Whether a stage has taken the unit's hot-spot factor for its own average gradient.
    factor_taken: bool,
}

/// What every stage has that states nothing else.
struct Shared {
    figures: Figures,
    losses: PrintedLosses,
    masses: PrintedMasses,
}

impl All<'_> {
    fn complete(&mut self, unit: &Figures, completed: &mut Completed) -> Result<(), InputError> {
        let stages = &mut completed.stages;
        let shared = self.shared(unit, stages)?;
        // The rated stage first: its hot-spot factor is also that of other stages, which have the same winding.
        let mut order: Vec<usize> = (0..stages.len()).collect();
        order.sort_by_key(|index| Some(*index) != self.rated);
        for index in order {
            let is_rated = Some(index) == self.rated;
            let stage = &mut stages[index];
            let of_stage = Figures::of(stage.heat_run.as_deref(), OF_STAGE);
            let figures = if is_rated { *unit } else { of_stage };
            let figures = figures.or(&shared.figures, &Key::SHARED);
            stage.printed = self.stage(stage, &figures, is_rated, &shared)?;
            if is_rated {
                completed.rated = stage.printed;
            }
        }
        Ok(())
    }

    /// Figures of the unit from whichever block has them; of the load losses those of the block with most of its parts.
    fn shared(&mut self, unit: &Figures, stages: &[StageFile]) -> Result<Shared, InputError> {
        let (refuse, rated_mva) = (self.refuse, self.file.rated.mva.value);
        let mut figures = *unit;
        let mut losses = losses::losses(refuse, unit, rated_mva, true)?;
        for (index, stage) in stages.iter().enumerate() {
            if Some(index) == self.rated {
                continue;
            }
            let other = Figures::of(stage.heat_run.as_deref(), OF_STAGE);
            figures = figures.joined(refuse, &other, &Key::OF_UNIT)?;
            let own = losses::losses(refuse, &other, rated_mva, false)?;
            losses::same(refuse, &other, &own, &losses)?;
            let no_load_kw = losses.no_load_kw.or(own.no_load_kw);
            if other.count(&Key::LOAD_LOSSES) > figures.count(&Key::LOAD_LOSSES) {
                figures =
                    figures.with(&other, &Key::LOAD_LOSSES).with(&other, &Key::OF_LOAD_LOSSES);
                losses = own;
            }
            figures = figures.or(&other, &[Key::NoLoad]);
            losses.no_load_kw = no_load_kw;
        }
        let metal = self.conductor.unwrap_or(Conductor::Copper);
        let own = self.own.loss_ratio;
        self.own.loss_ratio = losses::ratio(refuse, &figures, &losses, metal, own)?;
        let oil = self.file.oil.as_ref().and_then(|oil| oil.mass_kg.as_ref());
        let masses = masses::masses(refuse, &figures, Figure::beside(oil, "oil"))?;
        if let Some(of_unit) = self.guaranteed() {
            let name = Key::Guaranteed.name();
            if let Some(own) = unit.at(Key::Guaranteed) {
                own.agrees(refuse, name, &of_unit, ("average_winding_rise_k", 0.0))?;
            }
        }
        Ok(Shared { figures, losses, masses })
    }

    /// The guarantee on the rating plate.
    fn guaranteed(&self) -> Option<Figure> {
        Figure::beside(self.file.rated.average_winding_rise_k.as_ref(), "rated")
    }

    /// Completes the keys of one stage; what is known of it then.
    fn stage(
        &mut self,
        stage: &mut StageFile,
        figures: &Figures,
        is_rated: bool,
        shared: &Shared,
    ) -> Result<Printed, InputError> {
        let (found, of_rises) = rises(self.refuse, figures, self.beside(stage, is_rated))?;
        self.put(stage, found, is_rated);
        let tau = if is_rated {
            constants(self.refuse, figures, &mut self.own)?
        } else {
            figures.at(Key::WindingTau)
        };
        let printed = Printed {
            ambient_c: figures.value(Key::Ambient),
            guaranteed_winding_rise_k: figures
                .value(Key::Guaranteed)
                .or(self.guaranteed().map(|own| own.value)),
            losses: shared.losses.at_current(stage.rating_pu.value),
            masses: shared.masses,
            conductor: self.conductor,
            winding_time_constant_min: tau.map(|tau| tau.value),
            hot_spot_height_pu: figures.value(Key::Height),
            hot_spot_eddy_pu: figures.value(Key::HotSpotEddy),
            oil_exponent: figures.value(Key::OilExponent),
            winding_exponent: figures.value(Key::WindingExponent),
            ..of_rises
        };
        let forced = self.forced(stage, is_rated);
        masses::check_time_constant(self.refuse, &printed, tau, forced)?;
        Ok(printed)
    }

    /// The keys that count for a stage: its own, and the unit's where it is the rated one and states none.
    fn beside(&self, stage: &StageFile, is_rated: bool) -> Beside {
        let own = &self.own;
        let of_stage = !is_rated || states_gradient(stage);
        let (product, average) = if of_stage {
            (stage.hot_spot_gradient_k, stage.average_gradient_k)
        } else {
            (own.hot_spot_gradient_k, own.average_gradient_k)
        };
        // One figure needs no factor, and a stage with one alone does not take the unit's.
        let takes_it = !of_stage || product.is_none() || average.is_some();
        let of_unit = own.hot_spot_factor.filter(|_| takes_it);
        let oil_of_stage = !is_rated || stage.top_oil_rise_k.is_some();
        let place = |of_stage| if of_stage { "cooling_stages" } else { "thermal" };
        Beside {
            oil_place: place(oil_of_stage),
            top_oil: if oil_of_stage { stage.top_oil_rise_k } else { own.top_oil_rise_k },
            place: place(of_stage),
            product,
            average,
            factor: if of_stage { stage.hot_spot_factor.or(of_unit) } else { of_unit },
        }
    }

    /// The completed keys, where they came from.
    fn put(&mut self, stage: &mut StageFile, found: Beside, is_rated: bool) {
        if is_rated && stage.top_oil_rise_k.is_none() {
            self.own.top_oil_rise_k = found.top_oil;
        } else {
            stage.top_oil_rise_k = found.top_oil;
        }
        if is_rated && !states_gradient(stage) {
            self.own.hot_spot_gradient_k = found.product;
            self.own.average_gradient_k = found.average;
            self.own.hot_spot_factor = found.factor;
            return;
        }
        stage.hot_spot_gradient_k = found.product;
        stage.average_gradient_k = found.average;
        if stage.hot_spot_factor.is_some() {
            stage.hot_spot_factor = found.factor;
        } else if found.average.is_some() {
            self.factor_taken |= self.own.hot_spot_factor.is_some();
            stage.hot_spot_factor = found.factor;
        }
    }

    /// Whether pumps move the oil and do not direct it into the winding: by the class in the name, else by the constants.
    fn forced(&self, stage: &StageFile, is_rated: bool) -> bool {
        let of_unit = self.own.constants.as_ref().filter(|_| is_rated);
        let set = stage.constants.as_ref().or(of_unit).map_or("", |set| set.as_str());
        let class = |word: &str| {
            let word = word.to_ascii_uppercase();
            word.len() == 4 && ["OF", "KF", "LF"].iter().any(|begins| word.starts_with(begins))
        };
        set.starts_with("of") || stage.name.0.split(|c: char| !c.is_ascii_alphanumeric()).any(class)
    }
}

fn states_gradient(stage: &StageFile) -> bool {
    stage.hot_spot_gradient_k.is_some()
        || stage.average_gradient_k.is_some()
        || stage.hot_spot_factor.is_some()
}
