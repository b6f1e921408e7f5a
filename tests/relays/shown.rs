//! The text of the answers.

use crate::scene::Scene;
use bubblemargin::report::rate_relays::rendered;

#[test]
fn show() {
    for scene in [Scene::dry(), Scene::wet()] {
        let start = std::time::Instant::now();
        let answer = scene.answer();
        eprintln!("{:?}", start.elapsed());
        eprintln!("{}", rendered(&answer));
    }
}
