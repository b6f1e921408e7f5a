//! Everything can be done with the keys alone, in the order in which it is read, and one sees where one is.

use crate::scene::{Look, Scene, on_stage};
use fantoccini::key::Key;
use std::time::Duration;

/// More than there are places to go to before the form's button.
const MOST_STEPS: usize = 60;

async fn press(scene: &Scene, keys: &str) {
    scene.browser.active_element().await.unwrap().send_keys(keys).await.unwrap();
}

/// What has the focus: its name, or what it says.
async fn here(scene: &Scene) -> String {
    let script =
        "const own = document.activeElement; return own.name || own.id || own.textContent.trim()";
    scene.finds(script).await.as_str().unwrap().to_owned()
}

async fn tab_to(scene: &Scene, wanted: &str) {
    for _ in 0..MOST_STEPS {
        press(scene, &Key::Tab.to_string()).await;
        let seen = "const own = getComputedStyle(document.activeElement); \
                    return own.outlineStyle !== 'none' && parseFloat(own.outlineWidth) >= 2";
        assert_eq!(
            scene.finds(seen).await,
            true,
            "{} shows that it has the focus",
            here(scene).await
        );
        if here(scene).await == wanted {
            return;
        }
    }
    panic!("{wanted} is not reached by the keyboard");
}

#[test]
fn a_question_is_asked_and_a_decision_recorded_with_the_keys_alone() {
    on_stage("keyboard", Look::default(), |scene| async move {
        scene.goto("/unit/fellmoor-t2").await;
        press(&scene, &Key::Tab.to_string()).await;
        assert_eq!(here(&scene).await, "To the content", "the first place leads past the links");
        tab_to(&scene, "step_pu").await;
        press(&scene, "1.25").await;
        tab_to(&scene, "step_for").await;
        press(&scene, "90min").await;
        tab_to(&scene, "preload").await;
        press(&scene, "0.65").await;
        tab_to(&scene, "ambient").await;
        press(&scene, "27").await;
        press(&scene, &Key::Enter.to_string()).await;
        let wait = scene.browser.wait().at_most(Duration::from_secs(20));
        wait.for_element(fantoccini::Locator::Css(".verdict.no-go")).await.unwrap();
        tab_to(&scene, "decision").await;
        // The second of the three.
        press(&scene, &Key::Down.to_string()).await;
        tab_to(&scene, "authorised_by").await;
        press(&scene, "B. Fell").await;
        press(&scene, &Key::Enter.to_string()).await;
        let wait = scene.browser.wait().at_most(Duration::from_secs(20));
        wait.for_element(fantoccini::Locator::Css("#in-words")).await.unwrap();
        assert!(scene.text("#in-words").await.starts_with("REFUSED"));
    });
}
