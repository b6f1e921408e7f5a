//! A probability as people say it, where it rests on assumed uncertainties.

/// The `n` of "about 1 in n".
const STEPS: [u32; 15] = [2, 3, 4, 5, 6, 8, 10, 15, 20, 30, 50, 100, 200, 500, 1000];

/// A probability may be understated by so much in words, as a factor. Our choice: what it rests on is known worse.
const UNDERSTATED: f64 = 1.1;

/// From here on it is nearly certain.
const NEARLY_CERTAIN: f64 = 0.95;

/// If none of some cases failed, the probability lies below three divided by their number, with 95 %.
const NONE_OF: u32 = 3;

/// In words: `about 1 in 6`, `more likely than not`, `fewer than 1 in 1000`.
///
/// ```text
/// about 1 in n: the greatest n of the steps with 1/n ≥ p/1.1
/// ```
/// # Source       `project-choice`: a percentage with a decimal would be believed; the uncertainties are assumed.
/// # Valid        0 to 1; anything else is not known.
/// # Departures   None.
/// # Checked      The tests below.
pub fn odds(probability: f64) -> String {
    if !(0.0..=1.0).contains(&probability) {
        return "not known".to_owned();
    }
    if probability > NEARLY_CERTAIN {
        return "nearly certain".to_owned();
    }
    let one_in = |step: &u32| 1.0 / f64::from(*step);
    if probability < one_in(&STEPS[STEPS.len() - 1]) {
        return fewer_than(STEPS[STEPS.len() - 1]);
    }
    let fits = |step: &&u32| one_in(step) >= probability / UNDERSTATED;
    STEPS
        .iter()
        .rev()
        .find(fits)
        .map_or_else(|| "more likely than not".to_owned(), |step| format!("about 1 in {step}"))
}

/// The same of so many simulated cases: that none of a few failed does not show much.
pub fn odds_of(probability: f64, cases: usize) -> String {
    let most = u32::try_from(cases).unwrap_or(u32::MAX) / NONE_OF;
    let shown = STEPS.iter().rev().find(|step| **step <= most);
    match shown {
        Some(step) if (0.0..1.0 / f64::from(*step)).contains(&probability) && *step < 1000 => {
            if probability > 0.0 {
                odds(probability)
            } else {
                fewer_than(*step)
            }
        }
        Some(_) => odds(probability),
        None => "not known".to_owned(),
    }
}

/// The same in a column of a table: `1 in 6`, `>1 in 2`, `<1 in 1000`.
pub fn odds_in_column(probability: f64) -> String {
    match odds(probability).as_str() {
        "nearly certain" | "more likely than not" => ">1 in 2".to_owned(),
        words => words.replace("about ", "").replace("fewer than ", "<"),
    }
}

fn fewer_than(step: u32) -> String {
    format!("fewer than 1 in {step}")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_probability_is_said_in_a_few_steps() {
        for (probability, words) in [
            (0.0, "fewer than 1 in 1000"),
            (0.0009, "fewer than 1 in 1000"),
            (0.001, "about 1 in 1000"),
            (0.0021, "about 1 in 500"),
            (0.05, "about 1 in 20"),
            (0.0596, "about 1 in 15"),
            (0.168, "about 1 in 6"),
            (0.34, "about 1 in 3"),
            (0.55, "about 1 in 2"),
            (0.56, "more likely than not"),
            (0.96, "nearly certain"),
            (1.0, "nearly certain"),
            (f64::NAN, "not known"),
            (-0.1, "not known"),
        ] {
            assert_eq!(odds(probability), words, "{probability}");
        }
    }

    #[test]
    fn a_probability_is_hardly_understated() {
        for thousandths in 1..=950 {
            let probability = f64::from(thousandths) / 1000.0;
            let words = odds(probability);
            let Some((_, step)) = words.split_once("about 1 in ") else {
                assert!(probability > 0.55, "{probability}: {words}");
                continue;
            };
            let said = 1.0 / step.parse::<f64>().unwrap();
            assert!(said * UNDERSTATED >= probability - 1.0e-12, "{probability}: {words}");
            assert!(said <= 2.2 * probability, "{probability}: {words}");
        }
    }

    #[test]
    fn that_none_of_a_few_cases_failed_shows_little() {
        assert_eq!(odds_of(0.0, 256), "fewer than 1 in 50");
        assert_eq!(odds_of(0.0, 4096), "fewer than 1 in 1000");
        assert_eq!(odds_of(1.0 / 256.0, 256), "about 1 in 200");
        assert_eq!(odds_of(0.168, 256), "about 1 in 6");
    }

    #[test]
    fn a_column_has_no_room_for_words() {
        assert_eq!(odds_in_column(0.168), "1 in 6");
        assert_eq!(odds_in_column(0.9), ">1 in 2");
        assert_eq!(odds_in_column(0.0), "<1 in 1000");
    }
}
