//! A picture of a heat run: readings as rings, fitted curves as lines, a panel for each fit.

use super::round_axis::RoundAxis;
use super::svg_parts::{Anchor, Page, WIDTH};
use super::view::near;
use crate::heat_run::HeatRun;
use crate::heat_run::shutdown::Winding;
use crate::heat_run::warm_up::WarmUp;

const LEFT: f64 = 70.0;
const RIGHT: f64 = WIDTH - 30.0;
const HEIGHT: f64 = 240.0;

/// One panel.
struct Panel {
    title: String,
    across: &'static str,
    up: &'static str,
    points: Vec<(f64, f64)>,
    curve: Vec<(f64, f64)>,
}

/// The picture, SVG.
pub fn rendered(answer: &HeatRun) -> String {
    let mut page = Page::new("heat-run");
    for (index, test) in answer.tests.iter().enumerate() {
        let test_name = format!("Test {}, {} kW", index + 1, near(test.losses_kw, 1));
        let mut panels = vec![warm_up(&test_name, "top oil", &test.top_oil)];
        panels.extend(test.average_oil.as_ref().map(|oil| warm_up(&test_name, "average oil", oil)));
        panels.extend(test.winding.as_ref().map(|winding| after(&test_name, winding)));
        for panel in &panels {
            draw(&mut page, panel);
        }
    }
    page.finished(
        "Heat run: readings and fitted curves",
        "Oil rise over ambient during total losses, and winding temperature after shutdown. \
         Rings are readings, lines are fitted curves.",
    )
}

fn warm_up(test: &str, oil: &str, fit: &WarmUp) -> Panel {
    Panel {
        title: format!(
            "{test}: {oil} rise ends at {} K ± {} K, time constant {} min ± {} min",
            near(fit.rise_k.value, 1),
            near(fit.rise_k.std, 1),
            near(fit.tau_min.value, 0),
            near(fit.tau_min.std, 0)
        ),
        across: "minutes since the losses were switched on",
        up: "rise over ambient, K",
        curve: fit.points.iter().zip(&fit.curve).map(|(point, value)| (point.0, *value)).collect(),
        points: fit.points.clone(),
    }
}

fn after(test: &str, winding: &Winding) -> Panel {
    Panel {
        title: format!(
            "{test}: winding at shutdown {} °C ± {} K, gradient {} K ± {} K, time constant {} min",
            near(winding.winding_c.value, 1),
            near(winding.winding_c.std, 1),
            near(winding.gradient_k.value, 1),
            near(winding.gradient_k.std, 1),
            near(winding.tau_min.value, 1)
        ),
        across: "minutes after shutdown",
        up: "average winding, °C",
        points: winding.points.clone(),
        curve: winding.curve.clone(),
    }
}

fn draw(page: &mut Page, panel: &Panel) {
    let all = || panel.points.iter().chain(&panel.curve);
    let across = RoundAxis::around(all().map(|place| place.0), 12);
    let up = RoundAxis::around(all().map(|place| place.1), 8);
    let (Some(across), Some(up)) = (across, up) else {
        return;
    };
    page.down(34.0);
    page.bold((LEFT, 0.0), 15, &panel.title);
    page.down(26.0);
    page.text((LEFT, 0.0), 12, Anchor::Start, panel.up);
    page.down(10.0);
    let x = |value: f64| LEFT + across.share(value) * (RIGHT - LEFT);
    let y = |value: f64| HEIGHT * (1.0 - up.share(value));
    for tick in up.ticks() {
        page.thin_line((LEFT, y(tick)), (RIGHT, y(tick)));
        page.text((LEFT - 8.0, y(tick) + 4.0), 12, Anchor::End, &near(tick, up.decimals()));
    }
    for tick in across.ticks() {
        page.line((x(tick), HEIGHT), (x(tick), HEIGHT + 5.0), 1.0);
        let label = near(tick, across.decimals());
        page.text((x(tick), HEIGHT + 19.0), 12, Anchor::Middle, &label);
    }
    page.line((LEFT, HEIGHT), (RIGHT, HEIGHT), 1.0);
    for point in &panel.points {
        page.disc((x(point.0), y(point.1)), 3.0, true);
    }
    let curve: Vec<(f64, f64)> = panel.curve.iter().map(|place| (x(place.0), y(place.1))).collect();
    page.through(&curve, 2.0, "none");
    page.text((f64::midpoint(LEFT, RIGHT), HEIGHT + 38.0), 12, Anchor::Middle, panel.across);
    page.down(HEIGHT + 56.0);
}
