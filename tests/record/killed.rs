//! Killed in the middle of writing: nothing acknowledged is lost, nothing half-written is accepted.

use super::scene::{faults, fresh};
use super::writer::{acknowledged, writer};
use bubblemargin::record::store::Store;
use std::collections::BTreeSet;
use std::io::{BufRead, BufReader, Read};
use std::time::Duration;

const RUNS: u64 = 50;

#[test]
fn fifty_writers_killed_at_varied_moments_lose_nothing() {
    let path = fresh("killed");
    let mut all: Vec<String> = Vec::new();
    for run in 0..RUNS {
        let mut child = writer(&path, 0);
        let mut stdout = BufReader::new(child.stdout.take().unwrap());
        // Under way: past its start, in the midst of writing.
        let mut printed = String::new();
        while !printed.contains("acknowledged ") {
            assert!(stdout.read_line(&mut printed).unwrap() > 0, "it ended by itself: {printed}");
        }
        // Moments from 0 to 30 ms after, in steps that no length of a write divides.
        std::thread::sleep(Duration::from_micros(run * 7919 % 30_000));
        child.kill().unwrap();
        child.wait().unwrap();
        stdout.read_to_string(&mut printed).unwrap();
        all.extend(acknowledged(&printed).into_iter().map(str::to_owned));
        let found = faults(&path);
        assert!(found.is_empty(), "run {run}: {found:?}");
    }
    let rows = Store::open_to_read(&path).unwrap().list().unwrap();
    let kept: BTreeSet<&str> = rows.iter().map(|row| row.id.as_str()).collect();
    let lost: Vec<&String> = all.iter().filter(|id| !kept.contains(id.as_str())).collect();
    assert!(lost.is_empty(), "{lost:?}");
    // Each run may have written one that it had no time to acknowledge.
    let unacknowledged = rows.len() - all.len();
    assert!(unacknowledged as u64 <= RUNS, "{unacknowledged}");
    assert!(all.len() as u64 > RUNS, "they were writing: {}", all.len());
    assert!(rows.iter().all(|row| row.fits() && row.entry().is_ok()));
}
