//! What a screen reader is told.

use crate::scene::{GOES, Look, on_stage};
use serde_json::json;

/// Whatever is filled in or pressed and has no name.
const NAMELESS: &str = "return [...document.querySelectorAll('input:not([type=hidden]), select, button, a')]
  .filter(own => !(own.ariaLabel || own.labels?.length || own.textContent.trim())).map(own => own.outerHTML)";

/// Pictures without a name.
const BLIND: &str = "return [...document.querySelectorAll('svg')]
  .filter(own => own.getAttribute('aria-hidden') !== 'true' && !own.ariaLabel && !own.querySelector('title'))
  .map(own => own.outerHTML.slice(0, 120))";

const ONCE: &str =
    "return ['h1', 'main', 'nav', '[aria-live]'].map(css => document.querySelectorAll(css).length)";

/// Headings that leave out a level.
const LEAPS: &str = "const levels = [...document.querySelectorAll('h1, h2, h3, h4')].map(own => Number(own.tagName[1]));
  return levels.filter((level, at) => at > 0 && level > levels[at - 1] + 1)";

const SAME_IDS: &str = "const ids = [...document.querySelectorAll('[id]')].map(own => own.id);
  return ids.filter((id, at) => ids.indexOf(id) !== at)";

#[test]
fn everything_has_a_name_and_a_place() {
    on_stage("names", Look::default(), |scene| async move {
        scene.goto(GOES).await;
        assert_eq!(scene.finds(NAMELESS).await, json!([]));
        assert_eq!(scene.finds(BLIND).await, json!([]));
        assert_eq!(scene.finds(ONCE).await, json!([1, 1, 1, 1]));
        assert_eq!(scene.finds(LEAPS).await, json!([]));
        assert_eq!(scene.finds(SAME_IDS).await, json!([]));
        assert_eq!(scene.finds("return document.documentElement.lang").await, "en");
    });
}
