//! What is seen at once, and at twice the size.

use crate::scene::{DESK, DOES_NOT_GO, GOES, Look, on_stage};

/// What has to be on the first screen: the verdict, the figures, the picture, every caution, the watch card.
const FIRST_SCREEN: &str = "return ['.verdict', '.figures', '#answer .picture', '.beside', '#question button'].map(css => {
  const box = document.querySelector(css).getBoundingClientRect();
  return { css, top: box.top, bottom: box.bottom, right: box.right };
})";

const SCROLLS_SIDEWAYS: &str =
    "return document.documentElement.scrollWidth > document.documentElement.clientWidth";

#[test]
fn the_answer_is_whole_on_the_smallest_desk_without_scrolling() {
    for (name, question) in [("screen-go", GOES), ("screen-no-go", DOES_NOT_GO)] {
        on_stage(name, Look::default(), |scene| async move {
            scene.goto(question).await;
            for part in scene.finds(FIRST_SCREEN).await.as_array().unwrap() {
                let (top, bottom) =
                    (part["top"].as_f64().unwrap(), part["bottom"].as_f64().unwrap());
                assert!(top >= 0.0 && bottom <= f64::from(DESK.1), "{question}: {part}");
                assert!(part["right"].as_f64().unwrap() <= f64::from(DESK.0), "{part}");
            }
            assert_eq!(scene.finds(SCROLLS_SIDEWAYS).await, false);
        });
    }
}

#[test]
fn at_twice_the_size_nothing_is_cut_off_sideways() {
    // 200 % on the smallest desk is half of it in the page's own pixels.
    let look = Look { size: Some((DESK.0 / 2, DESK.1 / 2)), ..Look::default() };
    on_stage("zoom", look, |scene| async move {
        for page in [GOES, DOES_NOT_GO, "/", "/records", "/unit/fellmoor-t2/moisture"] {
            scene.goto(page).await;
            assert_eq!(scene.finds(SCROLLS_SIDEWAYS).await, false, "{page}");
        }
    });
}

#[test]
fn what_is_pressed_is_large_enough() {
    // WCAG 2.2, 2.5.8: 24 px, but for links within a sentence or a cell.
    const SMALL: &str = "return [...document.querySelectorAll('button, input:not([type=hidden]), select, summary, nav a')]
      .filter(own => own.checkVisibility())
      .map(own => ({ what: own.outerHTML.slice(0, 80), box: own.getBoundingClientRect() }))
      .filter(own => own.box.width < 24 || own.box.height < 24).map(own => own.what)";
    on_stage("targets", Look::default(), |scene| async move {
        scene.goto(GOES).await;
        assert_eq!(scene.finds(SMALL).await, serde_json::json!([]));
    });
}
