//! Every finding code: what it means, where it comes from, what would change it.
//!
//! Codes are stable and never reused. `explain CODE` prints these entries. One table, and so longer
//! than other files.

/// What a code means.
#[derive(Debug, Clone, Copy)]
pub struct Explanation {
    /// The code.
    pub code: &'static str,
    /// What the finding means.
    pub meaning: &'static str,
    /// Id in profiles/sources.yaml of the usual source.
    pub source: &'static str,
    /// What would change the finding.
    pub remedy: &'static str,
}

macro_rules! codes {
    ($($name:ident = $code:literal, $source:literal, $meaning:literal, $remedy:literal;)*) => {
        /// A finding code.
        #[derive(Debug, Clone, Copy, PartialEq, Eq)]
        #[allow(missing_docs, reason = "each code's meaning stands in its explanation")]
        pub enum Code { $($name),* }

        impl Code {
            /// What the code means.
            pub fn explanation(self) -> &'static Explanation {
                &EXPLANATIONS[self as usize]
            }
        }

        /// Every code with its explanation, in the order of [`Code`].
        pub const EXPLANATIONS: &[Explanation] = &[
            $(Explanation { code: $code, meaning: $meaning, source: $source, remedy: $remedy }),*
        ];
    };
}

codes! {
    MoistureMissing = "input-moisture-missing", "project-choice",
        "The profile holds no usable evidence of the water in the paper, so no bubble inception temperature can be computed.",
        "Add a moisture figure with its standard uncertainty to the profile.";
    MoistureUncertaintyMissing = "input-moisture-uncertainty-missing", "project-choice",
        "A moisture figure has neither a standard uncertainty nor a method from which it could be taken, so its upper bound, which counts for safety, is unknown.",
        "State the method of the figure, or its standard uncertainty `std`.";
    GasMissing = "input-gas-missing", "astm-d3612",
        "The gas dissolved in the oil is not known and may not be assumed: there is no gas-in-oil report, or one without nitrogen and oxygen and no oil preservation to infer from.",
        "Add a gas-in-oil report with nitrogen and oxygen, or their total.";
    AltitudeMissing = "input-altitude-missing", "iso-2533-1975",
        "The pressure at the hot spot is not known without the altitude.",
        "Add oil.altitude_m to the profile.";
    HeadMissing = "input-oil-head-missing", "project-choice",
        "The height of oil above the hot spot is not stated. None is counted, which is the low-pressure, conservative side.",
        "Add oil.head_above_hot_spot_m; each metre is worth about 2 K.";
    ThermalMissing = "input-thermal-missing", "project-choice",
        "The profile holds no thermal data, so no hot spot can be computed.",
        "Add the heat-run figures, or at least the cooling class, under `thermal`.";
    ConditionUnstated = "input-condition-not-stated", "common-practice",
        "Part of the unit's present condition is not stated: gas-relay alarm, fault gas, partial discharge or oil level.",
        "State each of them under `condition` in the profile.";

    ConditionRestated = "input-condition-restated", "project-choice",
        "The operator states a condition otherwise than the profile; what the operator states counts.",
        "Correct the profile, or leave the statement out.";
    SeedChosen = "input-seed", "project-choice",
        "The simulated cases begin with another seed than the usual one. By another seed the conservative margin moves by some tenths of a kelvin, so that a favourable one could be picked.",
        "Leave out --seed.";
    OwnLimits = "input-own-limits", "user-profile",
        "The loading limits come from the user's own profile folder and differ from the embedded ones.",
        "Leave out --profiles.";
    OwnConstants = "input-own-constants", "user-profile",
        "Typical thermal constants or usual uncertainties come from the user's own profile folder and differ from the embedded ones.",
        "Leave out --profiles.";
    AmbientContradiction = "input-ambient-contradiction", "project-choice",
        "The last ambient of the history, less than an hour before the overload, and the ambient of the overload differ by more than 5 K at the same minute.",
        "Correct one of them.";
    ForecastEnds = "input-forecast-ends", "project-choice",
        "The ambient forecast ends before the time that is looked at; after it the ambient is taken to go to the forecast's highest value and stay there.",
        "A longer forecast.";
    NotAnOverload = "input-load-not-above-preload", "project-choice",
        "The greatest load is not above the load before it. A load in the wrong unit looks like this.",
        "Check the load: per unit of the rated current, or MVA.";
    DryingToCome = "input-drying-to-come", "project-choice",
        "The last drying stated lies after the day of the question, so that it has not dried anything yet; it is left out.",
        "Correct `dried`, or ask for a later day.";
    JudgedForAnotherDay = "input-judged-for-another-day", "project-choice",
        "The day by which the age of the evidence was judged is not the day on which the go-ahead is recorded. What aged, was measured or happened between the two is not in the answer.",
        "Ask again without --as-of, on the day of the go-ahead.";
    WindingNotStated = "input-winding-load-missing", "project-choice",
        "Loads are stated winding by winding, but not for every winding, in the overload or in its history. A winding without one counts at its rating, or at the greatest load of the others per unit of its own rating, where that is more.",
        "State the load of every winding.";
    WindingsInProportion = "input-windings-in-proportion", "project-choice",
        "The profile states the losses of three windings, but one load is stated for all of them. It counts for each in proportion to the state that the rises hold for: a winding that carries more than its share is hotter than the answer says.",
        "State a load for each winding: --winding-load, or a column for each in the schedule.";
    BlanketMissing = "input-blanket-pressure-missing", "project-choice",
        "The oil is under a gas blanket whose lowest pressure is not stated; atmospheric pressure is counted. A blanket can fall below it when it cools.",
        "Add oil.blanket_lowest_gauge_kpa.";

    BubblingMargin = "bubbling-margin", "common-practice",
        "The distance between the hottest hot spot and the temperature at which the paper, as wet as it may be, releases bubbles. The 10 K that must be left rest on one observation, bubbles at 110 °C from paper of 4 %, and so does the standard uncertainty of 4 K of the correlation: neither confirms the other. What is required must be left in 95 % of the simulated cases: the two stand on top of each other, so that where it is just kept bubbling itself is far rarer than 1 in 20.",
        "Less load, a cooler ambient, more cooling, drier paper, degassed oil, or a narrower moisture figure.";
    BubblingOutsideRange = "bubbling-outside-range", "project-choice",
        "Moisture, gas or pressure lie outside the range of the correlations, so that no inception temperature can be given.",
        "Check the figure; if it is right, the question is outside what can be computed.";
    BubblingCeiling = "bubbling-refused-beyond-range", "project-choice",
        "Conditions are worse than the correlations cover, and already at the edge of their range the margin is too small. Worse conditions can only make it smaller.",
        "Check the figure; drier paper, degassed oil or less load.";
    BubblingNotLimiting = "bubbling-not-limiting", "project-choice",
        "The paper is drier than the correlations cover; at the edge of their range the margin is kept, and drier paper bubbles at a higher temperature.",
        "Wetter paper.";
    BubblingProbability = "bubbling-probability", "project-choice",
        "The share of the draws whose hot spot reaches the inception temperature at any time. Moisture, gas, thermal data, forecasts and the correlation itself are drawn together within their uncertainties. It informs; the verdict uses the 5 % point of the margin.",
        "State uncertainties that are known better than the usual ones, or measure what `--why` names first.";
    BubblingNotDrawn = "bubbling-not-drawn", "project-choice",
        "With `--draws 0` nothing is simulated. The margin then counts the assessed moisture and takes everything else (temperature rises, load and ambient forecasts, gas, the correlation itself) at its own value, so it can be many kelvin more than 95 % of cases leave.",
        "Ask without `--draws 0`.";
    BubblingSpreadBeyondRange = "bubbling-spread-beyond-range", "project-choice",
        "About one draw in twenty or more is wetter, gassier or under lower pressure than the correlations cover, so the 5 % point of the margin is not known.",
        "Measure the moisture better, or dry the unit.";
    BubblingBound = "bubbling-worst-case-bound", "fessler-1989",
        "The worst-case bound, at which dissolved gas and water vapour share the pressure. It ignores nucleation and the better solubility of gas in hot oil, so it can be tens of kelvin too low; it sets no verdict.",
        "Degassed oil.";
    BubblingGasAssumed = "bubbling-gas-assumed", "common-practice",
        "The total dissolved gas is assumed from the oil preservation, not measured.",
        "A gas-in-oil report with nitrogen and oxygen.";
    BubblingLiquid = "bubbling-ester", "common-practice",
        "The correlations are for mineral oil. Esters are reported to resist bubbling better; the same formulas are used as the conservative reading.",
        "Published correlations for this liquid.";
    BubblingPaper = "bubbling-upgraded-paper", "common-practice",
        "The correlations are for kraft paper. Thermally upgraded paper is reported to differ; the same formulas are used.",
        "Published correlations for this paper.";
    BubblingHolding = "bubbling-holding-factor", "project-choice",
        "Aged paper holds less water at the same vapour pressure, so that it bubbles as new paper with more water. Figures by mass are divided by a holding factor; what oil says is about new paper already. Where none is stated it is drawn evenly from a lower end to 1: 1 at DP 700 and above, in a straight line to 0.75 at DP 400 and below (our choice, no published relation was found). Without a usual hot spot a measured DP cannot be carried on: it counts as falling to 400 within a year, and after that as not measured (our choice). Without a DP it is estimated from age and usual hot spot, else taken low.",
        "A measured degree of polymerisation with its date and the usual hot spot under `paper_condition`, or holding_factor in the profile.";
    FaultGas = "bubbling-fault-gas", "common-practice",
        "Fault gas without a known cause: gas may already be forming, and high gas lowers the bubble inception temperature.",
        "Find the cause, or a gas report without fault gas.";
    FaultGasContradicted = "bubbling-fault-gas-contradiction", "project-choice",
        "No fault gas is stated, or nothing at all, but the gas report shows more than 5 ppm of acetylene (280 ppm where the tap changer shares the oil) or more than 300 ppm of hydrogen, twice the upper end of its typical range. These limits are our choice: acetylene comes from discharges or very hot metal. Until somebody explains the gas, nobody knows whether a fault is active.",
        "Find the cause and state `fault_gas: explained`; set oil.shared_with_tap_changer where that is so; or correct the report.";
    FaultGasAboveTypical = "bubbling-fault-gas-above-typical", "iec-60599-2015",
        "A gas lies above the upper end of the range of typical values, below which 90 % of the units in service lie. A reason to look and no proof of a fault: of seven gases, one is above its typical value in about half of all healthy units. The ranges are from memory: read the current text.",
        "Compare with earlier reports of this unit: a figure that has long been there weighs less than one that grows.";
    GasSampleOld = "bubbling-gas-sample-old", "project-choice",
        "The gas sample is older than 12 months (24 where the oil is kept from air), or than a local rule allows. Oil that breathes is back near saturation within months, so that a low figure no longer counts: over 6 months past the limit, what counts moves from the stated figure to what such oil holds when saturated, where that is more (conservator 10 %, nitrogen blanket 8.6 % per atmosphere, kept from air 2 %). A higher figure still counts. Limits and the 6 months are our choice.",
        "A gas-in-oil report with nitrogen and oxygen, taken lately.";
    GasSampleTreatment = "bubbling-gas-sample-treatment", "project-choice",
        "The oil breathes, was treated, and has had longer since to take up gas than the sample shows. A sample taken some months after the oil was degassed stands for as long again, one from before the treatment not at all; past that, what counts moves over 6 months to what such oil holds when saturated, where that is more. Our choice.",
        "A gas-in-oil report with nitrogen and oxygen, taken lately.";
    GasSampleUndated = "bubbling-gas-sample-undated", "project-choice",
        "The gas sample has no date and counts as an old one: as what such oil holds when saturated, where that is more than the stated figure.",
        "State gas.sampled.";
    GasSampleLater = "bubbling-gas-sample-later", "project-choice",
        "The gas sample is dated after the day of the question, so that it says nothing of that day: it counts as what such oil holds when saturated, where that is more than the stated figure.",
        "Correct gas.sampled, or ask for a later day.";
    GasImplausible = "bubbling-gas-implausible", "common-practice",
        "Oil that breathes air or nitrogen holds 8 to 10 % of gas; less than 2 % is stated, and 2 % is counted. Freshly degassed oil, or an incomplete report.",
        "A gas-in-oil report with nitrogen and oxygen taken lately.";
    PartialDischarge = "bubbling-partial-discharge", "common-practice",
        "There is a history of partial discharge. Moisture and bubbles lower its inception voltage.",
        "Measurements that show the discharge is gone.";

    MoistureCounting = "moisture-counting", "dersimonian-laird-1986",
        "The assessed moisture, in water as new paper would hold it: the upper 95 % bound of the random-effects mean of the measurements, never below the wettest value and never above that measurement's own bound. As far as a drier measurement contradicts a wetter one, the wetter one stands as if it were alone, whichever is believed, until somebody sets one aside by name and reason. Stating a measurement less certain never lowers it (our choice).",
        "A further moisture measurement, or a narrower one.";
    MoistureCredible = "moisture-witness-credible", "project-choice",
        "A witness that fulfils what its method asks for, and counts.",
        "Nothing needed.";
    MoistureRefused = "moisture-witness-refused", "project-choice",
        "A measurement that does not count: without an oil temperature, outside the range of the isotherm, from before the last drying, or set aside. It is shown and takes no part.",
        "A measurement under the method's own conditions.";
    MoistureWetSide = "moisture-witness-wet-side", "project-choice",
        "A measurement outside what its method asks for (cold or dry oil, oil above 30 % of saturation, a load that had just changed, oil treated shortly before), or old, undated, dated later than the question, or only assumed. It counts as the same reading at the edge of the criterion, the less certain the further outside it is; it may raise the assessed moisture, and what it may lower fades with the distance (our choice). Alone it answers nothing.",
        "A measurement of today under the method's own conditions.";
    MoistureBeyondIsotherm = "moisture-beyond-isotherm", "fessler-1989",
        "Oil at 80 % of saturation or more (our choice), whatever else was wrong with the measurement: the isotherm no longer says how wet the paper is, and there may be free water.",
        "Another method, or the witness set aside by name and reason.";
    MoistureContradiction = "moisture-contradiction", "dersimonian-laird-1986",
        "Two witnesses are further apart than their uncertainties allow, or the set as a whole is. One of them is wrong, or they saw different places. The wetter one counts as if it were alone, until somebody sets it aside by name and reason.",
        "A measurement that settles it: see `moisture`.";
    MoistureAssumed = "moisture-assumed", "project-choice",
        "A moisture figure is assumed and not measured.",
        "A measurement.";
    MoistureOilOnly = "moisture-oil-only", "common-practice",
        "The moisture of the paper is inferred from the oil alone, which is a weak witness.",
        "A dielectric response, or a paper sample.";
    MoistureSpotOnly = "moisture-spot-only", "common-practice",
        "The moisture is known from the hot end of a winding alone, which is drier than the bulk of the insulation.",
        "A dielectric response, or a sample from the bulk.";
    MoistureSetAside = "moisture-witness-set-aside", "project-choice",
        "A named person decided that a witness does not count.",
        "Remove set_aside from the witness.";
    MoistureLocalRaised = "moisture-local-raised", "local-rules",
        "The local rules count more moisture than the evidence does.",
        "Another local rule.";
    MoistureLocalLowered = "moisture-local-lowered", "local-rules",
        "The local rules count less moisture than the evidence does, and name who decided so and why.",
        "Another local rule.";
    MoistureLocalRefused = "moisture-local-refused", "local-rules",
        "The local rules would count less moisture than the evidence does, and name nobody who decided so; the evidence counts.",
        "moisture.decided in the local rules, with who decided and why.";
    MoistureHotSpotCredit = "moisture-hot-spot-credit", "moisture-diffusion-memory",
        "Hot paper in equilibrium with the oil is drier than the bulk. How far the load history has dried the paper at the hot spot is computed by diffusion through its thickness, with half the published diffusivity, and the wettest depth counts. The figure is what that is worth.",
        "--hot-spot-moisture bulk.";
    MoistureCreditRefused = "moisture-hot-spot-credit-refused", "project-choice",
        "A credit for drier paper at the hot spot was asked for and cannot be computed.",
        "A load history, and insulation.winding_paper_mm in the profile.";
    MoistureHotSpotDrying = "moisture-hot-spot-drying", "moisture-diffusion-memory",
        "Water leaves the paper at the hot spot during the overload. The margin with it informs; it raises no verdict unless a local rule lets it.",
        "Another load.";
    MoistureLocalUnused = "moisture-local-unused", "local-rules",
        "The local rules state a moisture, but no witness counts. A rule takes the place of evidence only where there is some.",
        "A measurement.";
    MoistureOwnSolubility = "moisture-own-solubility", "user-profile",
        "The solubility of water is the one measured in this oil. Aged oil dissolves more than new, so that the same ppm mean drier paper.",
        "Another oil.water_solubility in the profile.";

    HotSpotLimit = "thermal-hot-spot-limit", "iec-60076-7-2005",
        "The hottest hot spot against the limit of the loading guide. The guide's figures are ceilings for dry paper.",
        "Less load, a cooler ambient, more cooling, or another kind of loading.";
    TopOilLimit = "thermal-top-oil-limit", "iec-60076-7-2005",
        "The hottest top oil against the limit of the loading guide.",
        "Less load, a cooler ambient, more cooling, or another kind of loading.";
    LoadCeiling = "thermal-load-ceiling", "iec-60076-7-2005",
        "The greatest load against the ceiling of the loading guide for this size class and kind of loading.",
        "Less load, or another kind of loading.";
    NoGuideFigure = "thermal-no-guide-figure", "iec-60076-7-2005",
        "The loading guide gives no figure for this quantity, size class and kind of loading.",
        "A figure of the maker or of a local rule.";
    MetalNotModelled = "thermal-metal-parts", "ansi-ieee-c57-92-1981",
        "Metal parts other than the winding (tank, frame, leads) are not in the hot-spot model. Stray flux heats them; in large units they may govern.",
        "The maker's figure for this unit.";
    LimitSetDoesNotHold = "thermal-limit-set-does-not-hold", "project-choice",
        "Whether the loading limits hold for this unit. A limit set states for which average winding rise, paper and liquid its ceilings are; under ceilings made for another unit nothing can be decided. A set that names no liquid is for mineral oil. The winding rise is not guessed from the paper. Both are our choice.",
        "A limit set for this unit with --limits, or the unit's guaranteed rise as rated.average_winding_rise_k.";
    EsterFigures = "thermal-ester-figures", "project-choice",
        "Typical rises are those of mineral oil. An ester is thicker and cools worse (common practice, no source), so that a unit with an ester is decided with its maker's own rises alone, from a heat run with this liquid (our choice).",
        "The heat-run figures of every cooling stage with this liquid, the date of the heat run, and thermal.heat_run_liquid.";
    OutsideLoadRange = "thermal-load-outside-model", "iec-60076-7-2005",
        "The load is more than two and a half times the rating of the cooling stage in service, beyond what the exponents are meant for.",
        "Less load, or a stronger cooling stage.";
    TypicalConstants = "thermal-typical-values", "iec-60076-7-2005",
        "Rises or losses are typical for the cooling class, or come from no heat run. The required margin is widened.",
        "Enter the unit's own heat-run figures and the date of the heat run.";
    GradientLow = "thermal-gradient-low", "project-choice",
        "The hot-spot gradient against what such units have, at each stage's own rating: it is H × gr, the hot-spot factor times the average winding gradient. Heat-run reports print gr; entered as the hot-spot gradient it makes the computed hot spot too low.",
        "State gr as average_gradient_k and H as hot_spot_factor, or the product.";
    TypicalTimes = "thermal-typical-constants", "iec-60076-7-2005",
        "Exponents and time constants are the typical ones of the cooling class unless the profile states its own; heat runs rarely give them.",
        "Enter the unit's own constants under `thermal`.";
    TypicalFigures = "thermal-typical-figures", "ieee-c57-91-2011",
        "The detailed model needs figures that few nameplates have: bottom oil, the losses in and around the windings that are not I²R, and how much of them is at the hot spot. Where no heat run states one, a typical one is used, from memory, and varied in the simulated cases. The kelvins are what one standard uncertainty of it does to the hottest hot spot of that model in this overload, from the same start.",
        "Enter them from the heat run, under `thermal.heat_run`.";
    StartState = "thermal-start", "project-choice",
        "How the state at minute 0 was found: from a history, or as the steady state at the preload.",
        "A history file, and the measured top oil.";
    LaterStart = "thermal-start-lower-is-worse", "project-choice",
        "From another start that the knowledge allows (a lower load before, or cooler oil) the hot spot gets hotter than from the start as stated: cooling stages that start by their own temperatures start later, and after a greater rise of the load the winding's own oil lags more. A load before is read as up to that load, and the worst start between the least and the greatest counts (our choice: nobody can rule the others out).",
        "Start all cooling at once and state it with --cooling; or state with --preload-from the least load that the unit has surely carried, or give its load history.";
    ColderDay = "thermal-colder-day", "project-choice",
        "On a colder day the fans start later, and the margin with every input at its own value is smaller by more than 0.5 K. Days down to 15 K colder are looked at (our choice).",
        "Ask for the colder day too and let the smaller margin decide, or start all cooling at once and state it with --cooling.";
    HistoryShort = "thermal-history-short", "project-choice",
        "The load history is shorter than three oil time constants, so that what came before it still shows in the oil. It counts as any load from none to the rating, or to the greatest of the history (our choice).",
        "A longer history.";
    HistoryAmbient = "thermal-history-ambient", "project-choice",
        "The load history has no ambient of its own; the ambient of the overload is taken for it.",
        "A column ambient_c in the history.";
    MeasuredHotter = "thermal-measured-hotter", "project-choice",
        "The measured top oil is above the computed one: a cooling fault or a wrong profile. The difference is carried forward as an added rise.",
        "Find the reason: dirty coolers, failed fans, another tap, a wrong profile.";
    MeasuredCooler = "thermal-measured-cooler", "project-choice",
        "The measured top oil is below the computed one. No credit is taken for it.",
        "Check the reading and the profile.";
    StageUnknown = "thermal-stage-unknown", "project-choice",
        "It is not stated when the cooling stages start, nor which is in service, so the weakest is counted.",
        "State --cooling, or start and stop temperatures in the profile.";
    CoolingStagesMissing = "thermal-cooling-stages-missing", "common-practice",
        "The unit has fans or pumps and no cooling stages are stated, so natural cooling alone counts: 0.60 pu without fans (common practice, no source) or 0.30 pu without pumps (our choice), with rises typical of natural cooling and no lower than the unit's own. Rating and rises are uncertain, and are drawn.",
        "Add cooling_stages to the profile: rating, rises, and the temperatures that start and stop the fans. Where fans and pumps are seen running, name the rated stage with --cooling.";
    CoolingNeverNatural = "thermal-weakest-stage-forced", "project-choice",
        "Even the weakest of the stated cooling stages needs fans or pumps. It counts as running all the time, and nobody says that it does (our choice: a caution, because the profile states no weaker stage to count).",
        "Where the fans and pumps are seen running, name the stage with --cooling. Or add the natural stage to cooling_stages, with its rating and rises.";
    RisesAtAltitude = "thermal-altitude", "iec-60076-2-2011",
        "Above 1000 m the thinner air takes away less heat: the top-oil rise is greater by 1 K for each 400 m with natural air and for each 250 m with fans (from memory), and not with water. The gradient of the winding over the oil stays. Typical rises hold up to 1000 m, stated ones for rises_at_altitude_m.",
        "State thermal.rises_at_altitude_m: the altitude of the heat run, or the one that the rises are corrected to.";
    CoolingService = "thermal-cooling-in-service", "common-practice",
        "The answer holds only while the cooling counted on is in service.",
        "A check with the weaker stage, or with --cooling-lost-at.";
    CoolingLost = "thermal-cooling-lost", "common-practice",
        "Forced cooling is lost during the overload, and from then on the weakest stage is counted; or a stage weaker than the rated one is stated.",
        "Cooling that stays in service.";
    CoolingLossUnanswered = "thermal-cooling-loss-unanswered", "project-choice",
        "Forced cooling is lost, but the profile has no stage that does without fans and pumps.",
        "Add the naturally cooled stage with its rating and rises.";
    ColdStart = "thermal-cold-start", "common-practice",
        "The oil is cold at the start. Cold oil is viscous and moves heat worse than the model assumes.",
        "A warmer start.";
    ResistanceNotCounted = "thermal-resistance-not-counted", "ieee-c57-91-2011",
        "A winding makes the more loss the hotter it is. Where one of the two lag models is the hottest, that is left out; above 130 °C it shows.",
        "A lower load, or a shorter one.";
    PumpStaging = "thermal-pump-staging", "common-practice",
        "The oil is moved by pumps: follow the maker's rule for staging them.",
        "Nothing; it always applies to forced oil.";
    ShortCircuit = "thermal-short-circuit-strength", "common-practice",
        "A hot winding withstands less in a short circuit.",
        "Nothing; it applies to every overload.";
    ThermalBroken = "thermal-not-computed", "project-choice",
        "The thermal model gave no finite temperature.",
        "Check the thermal data of the profile; this should not happen.";

    AgeingEvent = "ageing-event", "iec-60076-7-2005",
        "Hours of normal paper life used during the overload, with the assessed water: by chain scission, by the published set that gives most, and never less than by the guide's rate for dry paper. Without a known water the guide's rate for dry paper counts alone. Above 48 hours there is a caution (our choice).",
        "Less load, a shorter overload, or drier paper.";

    AgeingStrength = "ageing-mechanical-strength", "common-practice",
        "Below a degree of polymerisation of about 450 paper has lost much of its tensile strength. It still insulates, but the forces of a short circuit may break it, the more so when it is hot and loaded. Where nothing says how aged the paper is, it is taken as weak.",
        "A measured degree of polymerisation of 450 or more under `paper_condition`.";

    Bushings = "accessory-bushings", "common-practice",
        "The load against the rating of the bushings. Above it their own hot spot and internal pressure rise. An unknown or missing rating counts as 1.2 pu (common practice, no source): up to it a caution, above it nothing is decided. It is the one place where unknown does not count as the weakest case, because accessories are matched to the transformer (our choice).",
        "Less load, or a signed statement of the rating, entered as accessories.bushings_pu.";
    TapChanger = "accessory-tap-changer", "common-practice",
        "The load against the rating of the tap changer. An unknown or missing rating counts as 1.2 pu (common practice, no source): up to it a caution, above it nothing is decided. It is the one place where unknown does not count as the weakest case, because accessories are matched to the transformer (our choice).",
        "Less load, or a signed statement of the rating, entered as accessories.tap_changer_pu.";
    CableBox = "accessory-cable-box", "common-practice",
        "The load against the rating of cable box, leads and clamps, which may be the lowest element. An unknown or missing rating counts as 1.2 pu (common practice, no source): up to it a caution, above it nothing is decided. It is the one place where unknown does not count as the weakest case, because accessories are matched to the transformer (our choice).",
        "Less load, or a signed statement of the rating, entered as accessories.cable_box_pu.";
    CurrentTransformers = "accessory-current-transformers", "common-practice",
        "The load against the rating of the current transformers, which may be the lowest element. An unknown or missing rating counts as 1.2 pu (common practice, no source): up to it a caution, above it nothing is decided. It is the one place where unknown does not count as the weakest case, because accessories are matched to the transformer (our choice).",
        "Less load, or a signed statement of the rating, entered as accessories.current_transformers_pu.";
    TapMoves = "accessory-tap-moves", "common-practice",
        "A tap changer breaks at least the load current at every change. Above its rating taps are not changed; within it, by the local rule. With the rating unknown they are not changed above the transformer's rated current, for which it was chosen (our choice).",
        "Less load, or a signed statement of the rating, entered as accessories.tap_changer_pu.";
    OilLevelFinding = "accessory-oil-level", "common-practice",
        "Hot oil expands: with a high level or a small conservator it may overflow or lift the relief device; with a low one it may uncover parts after cooling down.",
        "The right oil level.";
    PressureRelief = "accessory-pressure-relief", "common-practice",
        "The pressure-relief device may operate: keep people away, and ventilate confined spaces before entering.",
        "Nothing; it applies to every overload.";

    GasRelay = "relay-gas-relay", "common-practice",
        "A gas-relay alarm or trip during an overload is real: do not reset and carry on.",
        "Nothing; it applies to every overload.";
    GasRelayAlarm = "relay-gas-relay-alarm", "common-practice",
        "The gas relay's alarm stands. An overload on top of it is refused.",
        "The cause found and the alarm cleared by the people responsible.";

    TripAboveBubbling = "relay-trip-above-bubbling", "project-choice",
        "Whether the trips that the profile states lie below the temperature at which the paper, as wet as it may be, releases bubbles. Of a winding indicator its trip counts, with what it may read low: its tolerance, and what its heater lacks of the hot spot at the rated load. A trip of the top oil, or a temperature that releases an overload relay, can lie too high and is never low enough by itself; a thermal image follows the current and has no temperature. One trip at or above it is enough for the caution. It is about settings; `rate` tells when a relay acts. Without a trip by winding temperature nothing is known. The rule is our choice.",
        "Drier paper, a trip set below the inception temperature, or the relay stated under `relays`.";

    RelayLetsThrough = "relay-lets-through", "project-choice",
        "Whether a relay lets every permitted load through for its whole duration, with the relay off to the early side by its tolerance. The figure is the least margin: of an indicator the trip setting less its highest reading, else how much hotter the hot spot is at the trip than ever in the permitted course.",
        "Another setting, or a lower rating.";
    RelayActsBefore = "relay-acts-before-bubbling", "project-choice",
        "Whether a relay acts before the paper bubbles, if a load goes on or is greater than permitted, with the relay off to the late side by its tolerance. The figure is the least margin of the hot spot up to the trip, in the worse thermal form. A winding indicator does not measure the winding, and a relay for faults alone is not meant to act.",
        "Another setting, another kind of relay, or drier paper.";
    RelayTogether = "relay-together", "project-choice",
        "Whether at every load that was tried one of the relays stated acts before the paper bubbles.",
        "A setting inside the window of one of the relays, or drier paper.";
    RelayBubblesFirst = "relay-bubbles-first", "common-practice",
        "A winding indicator, or the hot spot that supervises a relay, is set above the temperature at which the paper may bubble: it cannot be relied on.",
        "A setting below the inception temperature, or drier paper.";
    RelayNoWindow = "relay-no-common-setting", "project-choice",
        "No setting of this relay lets the permitted loads through and acts before the paper bubbles.",
        "A lower rating, drier paper, or another kind of relay.";
    RelayAlarm = "relay-alarm-while-permitted", "project-choice",
        "The alarm of a relay comes while a permitted load is carried.",
        "A local rule that says what to do then, or another alarm setting.";
    RelayLoadability = "relay-loadability", "nerc-prc-023",
        "The relay loadability criterion of NERC PRC-023 (edition PRC-023-4 of 2014; from memory: read the current text). It binds in North America, for the circuits and transformers that the standard names; elsewhere the local grid code decides. Relays for faults must not operate at or below the greater of 150 % of nameplate and 115 % of the highest emergency rating; overload relays carry that for 15 min, or are supervised by top oil of 100 °C or a hot spot of 140 °C at least. Minimum settings of relays, never permitted temperatures.",
        "Another setting.";
    RelayFanStart = "relay-fan-start", "project-choice",
        "Whether a contact starts and stops cooling as the ratings count on.",
        "The contact's temperatures as those of the cooling stage in the profile, or the other way round.";
    RelayImage = "relay-thermal-image", "iec-60255-149",
        "A thermal image is computed as the generic first-order one of IEC 60255-149 (international, edition of 2013, from memory). Makers' implementations differ.",
        "The maker's own formula.";
    RelayInverseTime = "relay-inverse-time", "iec-60255-151",
        "An overcurrent relay is computed by the formula of IEC 60255-151 (international, edition of 2009, from memory) with immediate reset. Real relays start for certain only somewhat above their setting.",
        "The maker's own curve.";
    RelayAssumed = "relay-figures-assumed", "common-practice",
        "Figures of a relay are taken and not stated; of what is common the worse end counts for each question.",
        "State them in the profile.";
    RelayNone = "relay-none-stated", "project-choice",
        "The profile states no relays, so nothing is known of what protection does.",
        "Add `relays` to the profile.";

    FreeWater = "cooldown-free-water", "common-practice",
        "Wet paper gives water to the oil while hot, and the oil's strength is low after the event: no quick second overload, no fast cooling. From 2 % water on there is a caution (our choice). Free water is announced where the computed saturation of the oil passes 100 %; where it could not be computed, it cannot be excluded.",
        "Drier paper.";
    SaturationAfter = "cooldown-saturation", "project-choice",
        "The highest relative saturation of the oil while it cools after the overload, at the top oil. Oil takes up water while hot and gives it back slowly; from half of saturation on there is a caution, our choice.",
        "Drier paper, less load, or a slower cool-down.";
    SaturationTemperature = "cooldown-saturation-temperature", "solubility-table",
        "Water comes out of the oil wherever it is colder than this, as in coolers and at the bottom of the tank. Beside it stands the lowest ambient.",
        "Drier paper, or less load.";
    OilStrength = "cooldown-oil-strength", "energies-2021-14-2089",
        "Breakdown voltage that was measured in other mineral oil as near saturation, by the test of IEC 60156 at rest. The three points are read at 20 °C (our assumption): 42 %, 57 % and 125 % of saturation; outside of them and for other liquids there is no figure. Indicative: while the temperature changes the oil is weaker.",
        "Drier paper, or an oil sample after the event.";
    SolubilityMissing = "cooldown-solubility-missing", "project-choice",
        "No solubility of water is known for a synthetic ester. So an oil sample says nothing of the paper, and nothing is computed for the oil after the overload.",
        "Constants measured in this liquid, as oil.water_solubility.";
    CooldownWait = "cooldown-wait", "project-choice",
        "From the end of the overload until the oil holds no more than 10 % above what it held before, and is no more than 3 K hotter. At least that before a second overload.",
        "Drier paper, or less load.";
    SecondOverload = "cooldown-second-overload", "project-choice",
        "What an earlier overload in the history left in the oil: above saturation at minute 0 there may be free water, and a second overload is refused.",
        "A longer wait, or drier paper.";
    WindingUnseen = "cooldown-watch-both", "common-practice",
        "Oil follows in hours, the winding in minutes: the top-oil reading alone hides a winding excursion.",
        "A winding indicator that is known to be right.";

    HistoryMargin = "history-margin", "common-practice",
        "In the history the distance between the hot spot and the temperature at which the paper bubbles was once smaller than what an overload is held against.",
        "Drier paper, a narrower moisture figure, more cooling or less load.";
    HistoryMayHaveBubbled = "history-may-have-bubbled", "common-practice",
        "In the history the hot spot was above the temperature at which the paper, as wet as it may be, releases bubbles. Whether bubbles formed and did harm, a calculation cannot tell: specialists look at the gas in the oil, the gas relay, partial discharge and the insulation.",
        "A narrower moisture figure or the unit's own thermal data, if they show that the margin was kept.";
    HistoryGaps = "history-gaps", "project-choice",
        "Rows of the history are more than three hours apart. What the unit carried then is unknown: nothing is counted there, and the temperatures begin anew after it, with the hotter oil and the hotter winding of the state before and the hottest steady state of the first load after.",
        "The missing rows.";
    HistoryStart = "history-start", "project-choice",
        "The temperatures at the first row are not recorded; they are taken as the hottest that the first load and the cooling allow, and fade in some hours.",
        "Rows from before.";
    HistoryNoAmbient = "history-ambient-missing", "project-choice",
        "The history has no column ambient_c and no ambient is stated, so no temperature can be computed.",
        "A column ambient_c, or --ambient.";
    HistoryBeforeTreatment = "history-before-treatment", "project-choice",
        "The history reaches back before the last drying of the paper or the last treatment of the oil. Before it there was more water or gas than the evidence of today shows, so that the true margin was smaller.",
        "Ask for the time after the treatment, or with a profile that holds the evidence from before it.";
    HistoryMoisture = "history-moisture", "project-choice",
        "One water content and one gas content are taken for all of the history: what counts on the day of the question. Paper gets wetter over the years, so that before the evidence this is on the safe side unless it was dried in between.",
        "Evidence from the time of the history.";

    LocalInForce = "local-in-force", "local-rules",
        "The local operating rules that the answer was held against.",
        "Other local rules.";
    LocalCeiling = "local-ceiling", "local-rules",
        "A ceiling of the local rules, tighter than or beside the loading guide's.",
        "Less load, a shorter overload, or another local rule.";
    LocalForbidden = "local-forbidden", "local-rules",
        "A condition under which the local rules forbid overload.",
        "The condition ended, or another local rule.";
    LocalClear = "local-condition-clear", "local-rules",
        "A condition under which the local rules forbid overload, and which does not hold.",
        "The condition arising.";
    LocalUnstated = "local-condition-unstated", "local-rules",
        "A condition under which the local rules forbid overload, and of which nothing is stated.",
        "State it under `condition` in the profile.";
    LocalCaution = "local-caution", "local-rules",
        "A caution of the local rules.",
        "Another local rule.";
    LocalTextUnused = "local-text-unused", "local-rules",
        "The local rules hold a text for a finding that did not arise.",
        "Nothing needed.";
    LocalNone = "local-none", "project-choice",
        "No local operating rules were given. They decide; this aid does not know them.",
        "--rules FILE.";
}

/// The explanation of a code, by its text.
pub fn explain(code: &str) -> Option<&'static Explanation> {
    EXPLANATIONS.iter().find(|explanation| explanation.code == code)
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::collections::BTreeSet;

    #[test]
    fn codes_are_unique_and_belong_to_a_family() {
        const FAMILIES: [&str; 10] = [
            "input",
            "thermal",
            "bubbling",
            "moisture",
            "ageing",
            "accessory",
            "relay",
            "cooldown",
            "history",
            "local",
        ];
        let mut seen = BTreeSet::new();
        for explanation in EXPLANATIONS {
            assert!(seen.insert(explanation.code), "{} twice", explanation.code);
            let family = explanation.code.split('-').next().unwrap();
            assert!(FAMILIES.contains(&family), "{}", explanation.code);
            assert!(explanation.code.chars().all(|c| c.is_ascii_lowercase() || c == '-'));
        }
    }

    #[test]
    fn a_code_finds_its_own_explanation() {
        assert_eq!(Code::BubblingMargin.explanation().code, "bubbling-margin");
        assert_eq!(Code::LocalNone.explanation().code, "local-none");
        assert!(explain("no-such-code").is_none());
    }
}
