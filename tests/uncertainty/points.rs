//! Points: inside, spread evenly, the same for the same seed and on any number of threads.

use super::linear_gaussian::Linear;
use bubblemargin::uncertainty::batch::in_chunks;
use bubblemargin::uncertainty::points::{MOST_DIMENSIONS, MOST_EACH, NoPoints, Points};
use std::collections::BTreeSet;

fn all(points: &Points) -> Vec<f64> {
    points.rows(0..points.draws())
}

/// In which of `strata` equal parts of (0, 1) a number lies.
#[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "below 65 536")]
fn stratum(unit: f64, strata: u32) -> u32 {
    (unit * f64::from(strata)).floor() as u32
}

#[test]
fn every_number_is_strictly_inside() {
    let points = Points::new(11, 2, MOST_EACH, 5).unwrap();
    let rows = all(&points);
    assert_eq!(rows.len(), 2 * 65_536 * 5);
    // Half a step of the grid of 2^−23 from either end.
    let edge = 2.0_f64.powi(-24);
    assert!(rows.iter().all(|&unit| (edge..=1.0 - edge).contains(&unit)));
    // On the middles of the steps, which includes neither end; exact in binary.
    let off_middle = |unit: &f64| ((unit * 2.0_f64.powi(23)).fract() - 0.5).abs() > 0.0;
    assert!(!rows.iter().any(off_middle));
}

#[test]
fn each_replicate_has_one_point_in_every_stratum_of_every_dimension() {
    let points = Points::new(7, 3, 256, MOST_DIMENSIONS).unwrap();
    let rows = all(&points);
    for replicate in rows.chunks(256 * points.dimensions()) {
        for dimension in 0..points.dimensions() {
            let column = replicate.iter().skip(dimension).step_by(points.dimensions());
            let strata: BTreeSet<u32> = column.map(|&unit| stratum(unit, 256)).collect();
            assert_eq!(strata.len(), 256, "dimension {dimension}");
        }
    }
}

/// The first two Sobol dimensions are a (0, 2)-sequence: one point in each of 16 × 16 squares, which
/// scrambling keeps (`owen-1998`).
#[test]
fn the_first_two_dimensions_fill_the_square() {
    let points = Points::new(19, 4, 256, 2).unwrap();
    for replicate in all(&points).chunks(512) {
        let squares: BTreeSet<(u32, u32)> =
            replicate.chunks(2).map(|row| (stratum(row[0], 16), stratum(row[1], 16))).collect();
        assert_eq!(squares.len(), 256);
    }
}

#[test]
fn a_draw_depends_on_the_seed_and_its_number_alone() {
    let points = Points::new(1, 4, 64, 6).unwrap();
    let rows = all(&points);
    assert_eq!(rows, all(&points));
    assert_eq!(points.rows(70..75), rows[70 * 6..75 * 6]);
    assert_eq!(Points::new(1, 8, 64, 6).unwrap().rows(0..256), rows, "more replicates");
    assert_eq!(points.rows(250..1000), rows[250 * 6..], "there are 256 draws");
    assert!(points.rows(256..300).is_empty());
    assert!(points.rows(300..400).is_empty());
}

/// Numbers on a grid of 2^23: of 1536 pairs a few in a million millions agree by chance.
#[test]
fn other_seeds_and_other_replicates_are_other_points() {
    let rows = |seed| all(&Points::new(seed, 2, 256, 6).unwrap());
    let (one, two) = (rows(1), rows(2));
    let alike = |one: &[f64], two: &[f64]| {
        one.iter().zip(two).filter(|(one, two)| one.total_cmp(two).is_eq()).count()
    };
    assert!(alike(&one, &two) < 3, "neighbouring seeds");
    assert!(alike(&one[..1536], &one[1536..]) < 3, "replicates");
    assert!(alike(&one[1536..], &two[..1536]) < 3, "a replicate of one seed in another's");
}

#[test]
fn refuses_more_than_the_sequence_has() {
    assert_eq!(Points::new(0, 1, 64, 3), Err(NoPoints::Replicates(1)));
    for each in [0, 3, 100, 65_535, 131_072, u32::MAX] {
        assert_eq!(Points::new(0, 2, each, 3), Err(NoPoints::Each(each)));
    }
    for dimensions in [0, 257, u32::MAX] {
        assert_eq!(Points::new(0, 2, 64, dimensions), Err(NoPoints::Dimensions(dimensions)));
    }
    let too_many = NoPoints::TooMany { replicates: 65_536, each: 65_536 };
    assert_eq!(Points::new(0, 65_536, 65_536, 3), Err(too_many));
}

#[test]
fn the_same_digits_come_out_on_one_thread_and_on_two() {
    let linear = Linear::fourteen(12.0);
    let points = linear.points(4, 8, 128);
    let on = |threads: usize, chunk: usize| {
        let pool = rayon::ThreadPoolBuilder::new().num_threads(threads).build().unwrap();
        pool.install(|| {
            in_chunks(points.draws(), chunk, |draws| linear.margins(&points.rows(draws)))
        })
    };
    let one = on(1, 64);
    assert_eq!(one, linear.of(&points), "at once");
    assert_eq!(one, on(2, 64));
    for chunk in [0, 1, 37, 1024, 5000, usize::MAX] {
        assert_eq!(one, on(2, chunk), "chunks of {chunk}");
    }
    assert!(in_chunks(0, 16, Iterator::collect).is_empty());
}
