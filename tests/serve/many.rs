//! Many clients at once all get their answers, and all the same.

use crate::server::{AS_OF, Server, UNITS, printed};
use std::thread;

#[test]
fn two_hundred_clients_at_once_are_all_answered() {
    let server = Server::of_the_demo();
    let question = "load=1.2&for=90min&preload=0.65&ambient=27&draws=0";
    let line = printed(&[
        "check",
        &format!("{UNITS}/fellmoor-t2.yaml"),
        "--load=1.2",
        "--for=90min",
        "--preload=0.65",
        "--ambient=27",
        "--draws=0",
        "--as-of",
        AS_OF,
        "--format",
        "json",
    ]);
    let page = server.get(&format!("/unit/fellmoor-t2?{question}")).body;
    assert!(page.contains("NO-GO"), "{page}");
    thread::scope(|threads| {
        for _ in 0..200 {
            threads.spawn(|| {
                let reply = server.get(&format!("/api/check?unit=fellmoor-t2&{question}"));
                assert_eq!((reply.status, &reply.body), (200, &line));
                let reply = server.get(&format!("/unit/fellmoor-t2?{question}"));
                assert_eq!((reply.status, &reply.body), (200, &page));
            });
        }
    });
}
