//! From the verdict of every start to the windows in which an outage may begin.

use crate::assessment::planned::Judged;
use crate::rules::verdict::Verdict;
use std::cmp::Ordering;

/// The worst of several verdicts, and where it was found.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Worst {
    /// The verdict.
    pub verdict: Verdict,
    /// The margin that decides, K; `None` where it is not known.
    pub margin_low_k: Option<f64>,
    /// Index of the stretch.
    pub stretch: usize,
    /// Index of its start.
    pub place: usize,
}

impl Worst {
    /// The verdict of a start of a stretch.
    pub fn of(judged: &Judged, stretch: usize, place: usize) -> Self {
        let (verdict, margin_low_k) = (judged.verdict, judged.margin_low_k());
        Self { verdict, margin_low_k, stretch, place }
    }

    /// Worse is greater: first the verdict, then the smaller margin. A margin that is not known is the worst.
    fn badness(&self, other: &Self) -> Ordering {
        let lack_k = |worst: &Self| -worst.margin_low_k.unwrap_or(f64::NEG_INFINITY);
        self.verdict.cmp(&other.verdict).then(lack_k(self).total_cmp(&lack_k(other)))
    }

    /// The worse of two; the first where neither is.
    #[must_use]
    pub fn or(self, other: Self) -> Self {
        if other.badness(&self) == Ordering::Greater { other } else { self }
    }

    /// Whether this is better than another.
    pub fn is_better_than(&self, other: &Self) -> bool {
        self.badness(other) == Ordering::Less
    }

    /// Whether the outage may go ahead as far as this says.
    pub fn permits(&self) -> bool {
        self.verdict.permits()
    }
}

/// The worst of several stretches at each start, each with its index; `None` without a stretch.
pub fn worst_at_each(stretches: &[(usize, &[Judged])]) -> Option<Vec<Worst>> {
    let starts = stretches.first()?.1.len();
    let worst_at = |place: usize| {
        let of = |(stretch, judged): &(usize, &[Judged])| {
            Some(Worst::of(judged.get(place)?, *stretch, place))
        };
        stretches.iter().filter_map(of).reduce(Worst::or)
    };
    (0..starts).map(worst_at).collect()
}

/// The worst within so many starts from each one on, as far as there are so many.
pub fn worst_ahead(each: &[Worst], ahead: usize) -> Vec<Worst> {
    let ahead = ahead.max(1);
    let worst = |window: &[Worst]| window.iter().copied().reduce(Worst::or);
    each.windows(ahead).filter_map(worst).collect()
}

/// Starts in a row, every one of which may go ahead.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Window {
    /// The first start.
    pub first: usize,
    /// The last start.
    pub last: usize,
    /// The start with the smallest margin.
    pub worst: usize,
    /// The start with the greatest margin.
    pub best: usize,
}

/// The windows among starts, in the order of time.
pub fn windows(starts: &[Worst]) -> Vec<Window> {
    let mut found: Vec<Window> = Vec::new();
    for (at, start) in starts.iter().enumerate() {
        if !start.permits() {
            continue;
        }
        match found.last_mut().filter(|window| window.last + 1 == at) {
            Some(window) => {
                window.last = at;
                if starts[window.worst].is_better_than(start) {
                    window.worst = at;
                }
                if start.is_better_than(&starts[window.best]) {
                    window.best = at;
                }
            }
            None => found.push(Window { first: at, last: at, worst: at, best: at }),
        }
    }
    found
}

/// The best of all starts, whether it may go ahead or not; `None` without starts.
pub fn best(starts: &[Worst]) -> Option<usize> {
    (0..starts.len())
        .reduce(|best, at| if starts[at].is_better_than(&starts[best]) { at } else { best })
}
