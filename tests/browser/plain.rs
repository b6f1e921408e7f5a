//! The same path where no script runs.

use crate::scene::{GOES, Look, on_stage};
use fantoccini::Locator;

#[test]
fn everything_works_without_a_script() {
    let look = Look { without_scripts: true, ..Look::default() };
    on_stage("no-script", look, |scene| async move {
        scene.goto(GOES).await;
        assert!(scene.text("#verdict").await.starts_with("GO WITH CAUTIONS"));
        scene.fill("[aria-label='Load of step 1, per unit']", "1.25").await;
        // Nothing happens by itself: no script runs.
        assert!(scene.text("#verdict").await.starts_with("GO WITH CAUTIONS"));
        scene.click("#question button").await;
        scene.comes_to_say("#verdict", "NO-GO").await;
        let url = scene.browser.current_url().await.unwrap();
        assert!(url.query().unwrap().contains("step_pu=1.25"));
        scene.fill("#reason", "dig out the fault first").await;
        scene.fill("#authorised_by", "B. Fell").await;
        scene.click("input[name=decision][value=refused]").await;
        scene.click("#record button").await;
        scene.comes_to_say("#in-words", "REFUSED: the answer was NO-GO").await;
    });
}

#[test]
fn a_refused_number_is_marked_where_it_stands() {
    let look = Look { without_scripts: true, ..Look::default() };
    on_stage("refused-number", look, |scene| async move {
        scene.goto("/unit/fellmoor-t2?step_pu=1.05&step_for=90min&preload=nan&ambient=27").await;
        assert!(scene.browser.find(Locator::Css(".verdict")).await.is_err());
        assert!(scene.browser.find(Locator::Css("#preload[aria-invalid=true]")).await.is_ok());
        let told = scene.text("#answer").await;
        assert!(told.contains("This cannot be asked") && told.contains("nan"), "{told}");
        let kept = scene.browser.find(Locator::Css("#ambient")).await.unwrap();
        assert_eq!(
            kept.prop("value").await.unwrap().as_deref(),
            Some("27"),
            "nothing typed is lost"
        );
    });
}
