//! Which units come first, and which are shown.

use super::row::{Row, Standing};
use crate::unit::SizeClass;
use std::cmp::Ordering;

/// Sorts the worst first: by what came of a unit, then the least margin (an unknown one before all known),
/// then the name.
pub fn rank(rows: &mut [Row]) {
    rows.sort_by(worse);
}

fn worse(one: &Row, other: &Row) -> Ordering {
    let margin = |row: &Row| row.margin_low_k.unwrap_or(f64::NEG_INFINITY);
    let (own, others) = (margin(one), margin(other));
    let standing = one.standing.cmp(&other.standing);
    standing.then(own.total_cmp(&others)).then_with(|| one.unit.cmp(&other.unit))
}

/// Which rows are shown. What is empty or `None` filters nothing.
#[derive(Debug, Clone, Default)]
pub struct Filter {
    /// Sites that contain one of these, whatever the case of the letters.
    pub sites: Vec<String>,
    /// Size classes.
    pub size_classes: Vec<SizeClass>,
    /// What came of a unit.
    pub standings: Vec<Standing>,
    /// Kinds of what governs, or codes of findings.
    pub governs: Vec<String>,
    /// Margins below this, K, and those that are not known.
    pub margin_below_k: Option<f64>,
    /// The worst so many of those that are left.
    pub top: Option<usize>,
}

impl Filter {
    /// The ranks, from 0, of the ranked rows that are shown.
    pub fn shown(&self, ranked: &[Row]) -> Vec<usize> {
        let all = ranked.iter().enumerate().filter(|(_, row)| self.lets_through(row));
        all.map(|(rank, _)| rank).take(self.top.unwrap_or(usize::MAX)).collect()
    }

    fn lets_through(&self, row: &Row) -> bool {
        self.site(row)
            && (self.size_classes.is_empty()
                || row.size_class.is_some_and(|class| self.size_classes.contains(&class)))
            && (self.standings.is_empty() || self.standings.contains(&row.standing))
            && self.governed(row)
            // Written so that an unknown margin is shown: it may be below.
            && self.margin_below_k.is_none_or(|below_k| {
                !row.margin_low_k.is_some_and(|margin_k| margin_k >= below_k)
            })
    }

    fn site(&self, row: &Row) -> bool {
        let Some(site) = &row.site else { return self.sites.is_empty() };
        let site = site.to_lowercase();
        self.sites.is_empty() || self.sites.iter().any(|part| site.contains(&part.to_lowercase()))
    }

    fn governed(&self, row: &Row) -> bool {
        let by = |name: &String| {
            *name == row.governs.what || row.governs.code.as_ref().is_some_and(|code| code == name)
        };
        self.governs.is_empty() || self.governs.iter().any(by)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn row(unit: &str, standing: Standing, margin_low_k: Option<f64>) -> Row {
        Row { margin_low_k, ..Row::without_answer(unit, standing, String::new()) }
    }

    #[test]
    fn the_worst_comes_first_and_an_unknown_margin_before_a_known_one() {
        let mut rows = [
            row("go", Standing::Go, Some(30.0)),
            row("b", Standing::NoGo, Some(-5.0)),
            row("a", Standing::NoGo, Some(-5.0)),
            row("unknown", Standing::NoGo, None),
            row("refused", Standing::Refused, None),
            row("undecided", Standing::CannotDecide, Some(3.0)),
            row("cautions", Standing::GoWithCautions, Some(11.0)),
        ];
        rank(&mut rows);
        let names: Vec<&str> = rows.iter().map(|row| row.unit.as_str()).collect();
        assert_eq!(names, ["unknown", "a", "b", "undecided", "refused", "cautions", "go"]);
    }

    #[test]
    fn a_filter_on_the_margin_keeps_what_is_not_known() {
        let rows = [
            row("unknown", Standing::CannotDecide, None),
            row("above", Standing::Go, Some(30.0)),
            row("below", Standing::NoGo, Some(3.0)),
        ];
        let filter = Filter { margin_below_k: Some(30.0), ..Filter::default() };
        assert_eq!(filter.shown(&rows), [0, 2]);
        let filter = Filter { top: Some(1), ..filter };
        assert_eq!(filter.shown(&rows), [0]);
    }

    #[test]
    fn a_unit_of_no_known_site_is_at_no_site() {
        let rows = [Row {
            site: Some("Fellmoor 132/33 kV".to_owned()),
            ..row("a", Standing::Go, Some(30.0))
        }];
        let at = |sites: &[&str]| {
            let sites = sites.iter().map(|site| (*site).to_owned()).collect();
            Filter { sites, ..Filter::default() }.shown(&rows).len()
        };
        assert_eq!((at(&["fellmoor"]), at(&["elsewhere"]), at(&[])), (1, 0, 1));
    }
}
