//! An operator's whole path, from the unit to the recorded authorisation.

use crate::scene::{DOES_NOT_GO, Look, Scene, on_stage};
use fantoccini::Locator;
use std::process::Command;

async fn ticked(scene: &Scene) {
    for tick in scene.browser.find_all(Locator::Css("input[name=acknowledge]")).await.unwrap() {
        tick.click().await.unwrap();
    }
}

fn verified(scene: &Scene) -> String {
    let mut verify = Command::new(env!("CARGO_BIN_EXE_bubblemargin"));
    let output = verify.args(["record", "verify"]).arg(&scene.records).output().unwrap();
    assert!(output.status.success());
    String::from_utf8(output.stdout).unwrap()
}

#[test]
fn from_the_unit_to_the_recorded_authorisation() {
    on_stage("whole-path", Look::default(), |scene| async move {
        scene.goto("/").await;
        scene.click("a[href='/unit/fellmoor%2Dt2']").await;
        scene.appears("#question").await;
        assert!(scene.text(".state").await.contains("4.34 % counts (dielectric response"));
        assert!(scene.text("#answer").await.contains("Nothing asked yet"));
        scene.fill("[aria-label='Load of step 1, per unit']", "1.25").await;
        scene.fill("[aria-label='Duration of step 1, with its unit']", "90min").await;
        scene.fill("#preload", "0.65").await;
        scene.fill("#ambient", "27").await;
        scene.click("#question button").await;
        scene.appears(".verdict.no-go").await;
        assert!(scene.text("#verdict").await.starts_with("NO-GO"));

        // Another number, and the answer changes without anything being pressed.
        scene.fill("[aria-label='Load of step 1, per unit']", "0.80").await;
        scene.appears("#answer[aria-busy=false] .verdict.caution").await;
        assert!(scene.text("#verdict").await.starts_with("GO WITH CAUTIONS"));
        let link = scene.browser.current_url().await.unwrap();
        assert!(
            link.query().unwrap().contains("step_pu=0.80"),
            "the link is that of the answer: {link}"
        );

        ticked(&scene).await;
        scene.fill("#asked_by", "A. Moor").await;
        scene.fill("#authorised_by", "B. Fell").await;
        scene.fill("#received_by", "C. Beck").await;
        scene.fill("#repeat_back", "nought point eight for ninety minutes").await;
        scene.click("input[name=decision][value=go-ahead]").await;
        scene.click("#record button").await;
        scene.appears("#in-words").await;
        assert!(
            scene
                .text("#in-words")
                .await
                .starts_with("AUTHORISED: the answer was GO WITH CAUTIONS")
        );
        let whole = scene.text("main").await;
        for said in ["A. Moor", "B. Fell", "C. Beck", "nought point eight for ninety minutes"] {
            assert!(whole.contains(said), "{said}");
        }
        assert!(verified(&scene).starts_with("WHOLE   1 entry"));

        scene.fill("#peak-top-oil", "74.5").await;
        scene.fill("#by", "C. Beck").await;
        scene.click(".record-form button").await;
        // What came of it stands with the record.
        scene.comes_to_say("main", "74.5 °C").await;
        scene.click("a[href='/records']").await;
        scene.comes_to_say("main", "WHOLE: 2 entries").await;
    });
}

#[test]
fn a_no_go_is_overridden_only_with_name_and_reason_and_in_words() {
    on_stage("override", Look::default(), |scene| async move {
        let decide = async |name: Option<&str>, reason: Option<&str>| {
            scene.goto(DOES_NOT_GO).await;
            ticked(&scene).await;
            scene.click("input[name=decision][value=go-ahead]").await;
            if let Some(name) = name {
                scene.fill("#authorised_by", name).await;
            }
            if let Some(reason) = reason {
                scene.fill("#reason", reason).await;
            }
            scene.click("#record button").await;
            scene.appears("#in-words, .refused:not(#answer *)").await;
            scene.text("main").await
        };
        assert!(decide(None, None).await.contains("--authorised-by"));
        assert!(decide(Some("B. Fell"), None).await.contains("--reason"));
        let written = decide(Some("B. Fell"), Some("hospital feeder, nothing else left")).await;
        assert!(written.contains("OVERRIDDEN: the answer was NO-GO"), "{written}");
        assert!(
            written
                .contains("B. Fell authorised the overload all the same, because: hospital feeder")
        );
        assert!(verified(&scene).starts_with("WHOLE   1 entry"));
    });
}

#[test]
fn an_answer_to_other_numbers_is_never_read_as_theirs() {
    on_stage("stale", Look::default(), |scene| async move {
        scene.goto(DOES_NOT_GO).await;
        // The reply is held back, as by a busy server.
        scene.finds("window.fetch = () => new Promise(() => {});").await;
        scene.fill("#ambient", "2").await;
        assert_eq!(scene.finds("return document.getElementById('answer').ariaBusy").await, "true");
        assert!(scene.text(".stale").await.contains("The numbers have changed"));
        let faded = "return getComputedStyle(document.querySelector('#answer .verdict')).opacity";
        assert!(scene.finds(faded).await.as_str().unwrap().parse::<f64>().unwrap() < 0.5);

        // And where there is no reply at all, no verdict is left standing.
        scene.goto(DOES_NOT_GO).await;
        scene.finds("window.fetch = () => Promise.reject(new Error('down'));").await;
        scene.fill("#ambient", "2").await;
        scene.appears("#answer > .refused").await;
        assert!(scene.browser.find(Locator::Css(".verdict")).await.is_err());
    });
}
