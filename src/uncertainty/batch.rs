//! Work spread over the cores, with the same digits on any number of them.

use rayon::iter::{IntoParallelIterator, ParallelIterator};
use std::ops::Range;

/// Evaluates rows `0..rows` in chunks of `chunk` and gives the results in the order of the rows.
///
/// Chunks are cut by `chunk` alone, never by the number of threads, and each result has its place
/// by its row: the same digits come out on one core and on many. A `chunk` of 0 counts as 1.
/// `evaluate` gets the numbers of the rows of one chunk and returns one result for each.
pub fn in_chunks<T: Send>(
    rows: usize,
    chunk: usize,
    evaluate: impl Fn(Range<usize>) -> Vec<T> + Sync,
) -> Vec<T> {
    let chunk = chunk.max(1);
    let results: Vec<Vec<T>> = (0..rows.div_ceil(chunk))
        .into_par_iter()
        .map(|number| {
            let start = number * chunk;
            evaluate(start..rows.min(start.saturating_add(chunk)))
        })
        .collect();
    results.into_iter().flatten().collect()
}
