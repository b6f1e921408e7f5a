//! The question form: what was typed, kept as it was typed, and the flags of `check` that it stands for.

use crate::unit::Unit;

/// Rows for steps of the load; an empty row is no step.
const STEP_ROWS: usize = 4;

/// Names and values as they were sent.
pub(in crate::web) type Pairs = [(String, String)];

/// What was typed, for the page.
#[derive(Debug)]
pub(in crate::web) struct Form {
    pub(in crate::web) path: String,
    pub(in crate::web) steps: Vec<StepRow>,
    pub(in crate::web) loading: Vec<Field>,
    pub(in crate::web) now: Vec<Field>,
    pub(in crate::web) stages: Vec<String>,
    pub(in crate::web) cooling: String,
    pub(in crate::web) cooling_refused: bool,
    pub(in crate::web) lost: Vec<Field>,
    pub(in crate::web) more_open: bool,
    pub(in crate::web) sets: Vec<String>,
    pub(in crate::web) limits: String,
    pub(in crate::web) more: Vec<Field>,
    pub(in crate::web) conditions: Vec<Choice>,
    pub(in crate::web) units_confirmed: bool,
}

/// A step of the load.
#[derive(Debug, Clone, Default)]
pub(in crate::web) struct StepRow {
    pub(in crate::web) pu: String,
    pub(in crate::web) lasts: String,
    pub(in crate::web) pu_refused: bool,
    pub(in crate::web) for_refused: bool,
}

/// A field that takes one figure.
#[derive(Debug)]
pub(in crate::web) struct Field {
    pub(in crate::web) name: &'static str,
    pub(in crate::web) label: &'static str,
    pub(in crate::web) value: String,
    pub(in crate::web) inputmode: &'static str,
    pub(in crate::web) refused: bool,
}

/// A condition of the unit that may be stated otherwise than the profile does.
#[derive(Debug)]
pub(in crate::web) struct Choice {
    pub(in crate::web) words: &'static str,
    pub(in crate::web) options: Vec<ChoiceOption>,
}

/// One value of it.
#[derive(Debug)]
pub(in crate::web) struct ChoiceOption {
    pub(in crate::web) value: String,
    pub(in crate::web) words: &'static str,
    pub(in crate::web) chosen: bool,
}

/// Key, words, values with their words.
type Stated = (&'static str, &'static str, &'static [(&'static str, &'static str)]);

const CONDITIONS: [Stated; 4] = [
    ("gas_relay_alarm", "gas-relay alarm", &[("true", "yes"), ("false", "no")]),
    (
        "fault_gas",
        "fault gas",
        &[("none", "none"), ("explained", "explained"), ("unexplained", "unexplained")],
    ),
    ("partial_discharge", "partial discharge", &[("true", "yes"), ("false", "no")]),
    ("oil_level", "oil level", &[("normal", "normal"), ("high", "high"), ("low", "low")]),
];

/// The flags of `check` that a form stands for: steps put together, empty fields left out. One that stands twice
/// is kept even if it is empty, so that it is refused with the other.
pub(in crate::web) fn flags(pairs: &Pairs) -> Vec<(String, String)> {
    let of = |wanted: &'static str| pairs.iter().filter(move |(name, _)| name == wanted);
    let rows = of("step_pu").count().max(of("step_for").count());
    let cell = |wanted: &'static str, row: usize| {
        of(wanted).nth(row).map_or("", |(_, value)| value.trim())
    };
    let steps = (0..rows)
        .map(|row| (cell("step_pu", row), cell("step_for", row)))
        .filter(|(pu, lasts)| !pu.is_empty() || !lasts.is_empty())
        .map(|(pu, lasts)| ("step".to_owned(), format!("{pu}:{lasts}")));
    let twice = |name: &str| {
        let fields = pairs.iter().filter(|(own, _)| own == name);
        name != "condition" && fields.count() > 1
    };
    let rest = pairs.iter().filter(|(name, value)| {
        let of_a_step = matches!(name.as_str(), "step_pu" | "step_for");
        !of_a_step && (!value.trim().is_empty() || twice(name))
    });
    let rest = rest.map(|(name, value)| (name.clone(), value.trim().to_owned()));
    steps.chain(rest).collect()
}

impl Form {
    /// The form for a unit as it was sent; `refused` is the flag that was not accepted.
    pub(in crate::web) fn of(
        (path, unit): (String, &Unit),
        sets: Vec<String>,
        pairs: &Pairs,
        refused: Option<&str>,
    ) -> Self {
        let value = |wanted: &str| {
            let own = pairs.iter().find(|(name, _)| name == wanted);
            own.map_or_else(String::new, |(_, value)| value.clone())
        };
        let is_refused =
            |name: &str| refused.is_some_and(|flag| flag.trim_start_matches("--") == name);
        let field = |name: &'static str, label: &'static str| Field {
            name,
            label,
            value: value(name),
            inputmode: if matches!(name, "as-of" | "cooling-lost-at") { "text" } else { "decimal" },
            refused: is_refused(name),
        };
        let more = [
            field("as-of", "for the day, 2026-10-20"),
            field("load-std", "load std, %"),
            field("ambient-std", "ambient std, K"),
        ];
        let conditions: Vec<Choice> =
            CONDITIONS.iter().map(|stated| choice(stated, pairs)).collect();
        let limits = value("limits");
        let stated = conditions.iter().any(|own| own.options.iter().any(|option| option.chosen));
        let units_confirmed = value("units-confirmed") == "true";
        // A duration that is asked about is confirmed there.
        let asked = ["step", "for", "cooling-lost-at"].into_iter().any(is_refused);
        let more_open = stated
            || units_confirmed
            || asked
            || !limits.is_empty()
            || more.iter().any(|field| field.refused || !field.value.is_empty());
        let stages = unit.thermal.as_ref().map_or_else(Vec::new, |thermal| {
            thermal.stages.iter().map(|data| data.stage.name.clone()).collect()
        });
        Self {
            steps: steps(pairs, is_refused("step")),
            loading: vec![field("after", "load that follows, pu")],
            now: vec![
                field("preload", "steady load before, up to, pu"),
                field("ambient", "highest ambient, °C"),
                field("top-oil", "top oil measured, °C"),
            ],
            stages,
            cooling: value("cooling"),
            cooling_refused: is_refused("cooling"),
            lost: vec![field("cooling-lost-at", "lost after (20min)")],
            more_open,
            sets,
            limits,
            more: more.into(),
            conditions,
            units_confirmed,
            path,
        }
    }
}

fn choice((key, words, values): &Stated, pairs: &Pairs) -> Choice {
    let option = |(value, words): &(&str, &'static str)| {
        let value = format!("{key}={value}");
        let chosen = pairs.iter().any(|(name, sent)| name == "condition" && *sent == value);
        ChoiceOption { value, words, chosen }
    };
    Choice { words, options: values.iter().map(option).collect() }
}

/// The steps as typed, with empty rows for more. A link may also say `load` and `for`, or `step`.
fn steps(pairs: &Pairs, refused: bool) -> Vec<StepRow> {
    let all = |wanted: &str| -> Vec<&str> {
        pairs.iter().filter(|(name, _)| name == wanted).map(|(_, value)| value.as_str()).collect()
    };
    let row = |pu: &str, lasts: &str| StepRow {
        pu: pu.to_owned(),
        lasts: lasts.to_owned(),
        pu_refused: refused && !pu.trim().is_empty(),
        for_refused: refused && !lasts.trim().is_empty(),
    };
    let (loads, lasting) = (all("step_pu"), all("step_for"));
    let typed = loads.len().max(lasting.len());
    let at = |of: &[&str], index: usize| of.get(index).copied().unwrap_or("").to_owned();
    let mut rows: Vec<StepRow> =
        (0..typed).map(|index| row(&at(&loads, index), &at(&lasting, index))).collect();
    let linked = all("load").into_iter().zip(all("for"));
    rows.extend(linked.map(|(pu, lasts)| row(pu, lasts)));
    rows.extend(
        all("step")
            .iter()
            .filter_map(|step| step.split_once(':'))
            .map(|(pu, lasts)| row(pu, lasts)),
    );
    rows.retain(|row| !row.pu.is_empty() || !row.lasts.is_empty());
    let spare = STEP_ROWS.max(rows.len() + 1);
    rows.resize_with(spare, StepRow::default);
    rows
}

#[cfg(test)]
mod tests {
    use super::*;

    fn pairs(of: &[(&str, &str)]) -> Vec<(String, String)> {
        of.iter().map(|(name, value)| ((*name).to_owned(), (*value).to_owned())).collect()
    }

    #[test]
    fn steps_are_put_together_and_empty_fields_left_out() {
        let sent = pairs(&[
            ("step_pu", "1.2"),
            ("step_for", "90min"),
            ("step_pu", ""),
            ("step_for", ""),
            ("step_pu", "1.0"),
            ("step_for", "2h"),
            ("preload", "0.65"),
            ("top-oil", " "),
        ]);
        let wanted = [("step", "1.2:90min"), ("step", "1.0:2h"), ("preload", "0.65")];
        assert_eq!(flags(&sent), pairs(&wanted));
    }

    #[test]
    fn a_field_that_stands_twice_is_kept_even_if_it_is_empty() {
        let sent = pairs(&[("load", ""), ("load", "1.0"), ("condition", ""), ("condition", "")]);
        assert_eq!(flags(&sent), pairs(&[("load", ""), ("load", "1.0")]));
    }

    #[test]
    fn half_a_step_is_no_step_that_is_left_out() {
        let sent = pairs(&[("step_pu", "1.2"), ("step_for", "")]);
        assert_eq!(flags(&sent), pairs(&[("step", "1.2:")]));
    }

    #[test]
    fn links_with_the_flags_of_the_command_line_fill_the_rows() {
        let rows = steps(&pairs(&[("load", "1.1"), ("for", "2h")]), false);
        assert_eq!((rows[0].pu.as_str(), rows[0].lasts.as_str()), ("1.1", "2h"));
        assert_eq!(rows.len(), STEP_ROWS);
    }
}
