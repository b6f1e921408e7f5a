//! The page names the day for which evidence was judged, and has a go-ahead on another day ticked.

use crate::server::{Server, UNITS, scratch};

const ASKED: &str = "load=1.0&for=2h&preload=0.6&ambient=20&draws=0";
const TICK: &str = "name=\"acknowledge\" value=\"input-judged-for-another-day\"";

#[test]
fn the_desk_and_the_list_name_the_day_and_the_record_form_asks_to_tick_another() {
    let records = scratch("judged-day").join("records.sqlite");
    let records = records.to_str().unwrap();
    // Whatever today is, it is not this day.
    let server = Server::started(&[UNITS, "--as-of", "2020-01-01", "--records", records]);
    for path in ["/", "/unit/fellmoor-t1"] {
        let page = server.get(path).body;
        assert!(page.contains("judged for 2020-01-01"), "{path}: {page}");
    }
    let page = server.get(&format!("/unit/fellmoor-t1?{ASKED}")).body;
    assert!(page.contains("judged for 2020-01-01") && page.contains(TICK), "{page}");
    // Where nothing can be recorded there is nothing to tick.
    let page = Server::started(&[UNITS, "--as-of", "2020-01-01"]);
    assert!(!page.get(&format!("/unit/fellmoor-t1?{ASKED}")).body.contains(TICK));
}
