//! Contrasts of what is really shown, WCAG 2.2 AA: 4.5:1 for text, by day and in the dark.

use crate::scene::{DOES_NOT_GO, GOES, Look, on_stage};
use serde_json::json;

/// Texts with less than 4.5:1 against the nearest ground behind them. Large texts may have 3:1; none uses that.
const TOO_FAINT: &str = r"
const part = value => { const v = value / 255; return v <= 0.04045 ? v / 12.92 : ((v + 0.055) / 1.055) ** 2.4; };
const light = ([r, g, b]) => 0.2126 * part(r) + 0.7152 * part(g) + 0.0722 * part(b);
const colour = text => text.match(/[\d.]+/g).map(Number);
const ground = own => {
  for (let at = own; at; at = at.parentElement) {
    const found = colour(getComputedStyle(at).backgroundColor);
    if (found.length === 3 || found[3] === 1) return found;
  }
  return [255, 255, 255];
};
const ratio = (a, b) => {
  const [bright, dark] = [light(a), light(b)].sort((x, y) => y - x);
  return (bright + 0.05) / (dark + 0.05);
};
const says = own => [...own.childNodes].some(node => node.nodeType === 3 && node.textContent.trim());
const inPicture = own => own.namespaceURI.endsWith('svg');
const texts = [...document.querySelectorAll('body *')].filter(own => says(own) && own.checkVisibility());
const found = texts.filter(own => !['title', 'desc', 'SCRIPT', 'STYLE'].includes(own.tagName)).map(own => {
  const style = getComputedStyle(own);
  const ink = colour(inPicture(own) ? style.fill : style.color);
  return { text: own.textContent.trim().slice(0, 40), ratio: ratio(ink, ground(own)) };
});
return { many: found.length, faint: found.filter(own => !(own.ratio >= 4.5)) };
";

#[test]
fn every_text_can_be_read_by_day_and_in_the_dark() {
    for (name, dark) in [("day", false), ("dark", true)] {
        on_stage(name, Look { dark, ..Look::default() }, |scene| async move {
            scene.goto("/").await;
            let scheme = "return matchMedia('(prefers-color-scheme: dark)').matches";
            assert_eq!(scene.finds(scheme).await, dark);
            let of_units = ["moisture", "ratings?durations=1h&draws=0"]
                .map(|page| format!("/unit/fellmoor-t2/{page}"));
            let pages = [
                "/",
                GOES,
                DOES_NOT_GO,
                "/unit/fellmoor-t2?preload=x",
                "/records",
                "/fleet?load=1.3&for=4h&preload=0.7&ambient=30&draws=0",
            ];
            for page in pages.map(str::to_owned).into_iter().chain(of_units) {
                scene.goto(&page).await;
                let found = scene.finds(TOO_FAINT).await;
                assert!(found["many"].as_u64().unwrap() > 10, "{page}: {found}");
                assert_eq!(found["faint"], json!([]), "{page}");
            }
        });
    }
}
