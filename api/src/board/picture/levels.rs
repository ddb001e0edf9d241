//! Levels on the picture's time axis: ice, places, connections, clean kegs, hands.

use chrono::{DateTime, Duration, FixedOffset};
use scheduler::replay::{Gauge, Seen};
use scheduler::scenario::Scenario;

use super::axis::View;
use super::drawing::shortened;
use super::svg::{Canvas, Lettering, Line, n};
use crate::text::units::Units;

/// Height of one level's strip.
const HIGH: f64 = 40.0;
/// From one strip to the next.
const NEXT: f64 = 54.0;

/// A level with its name.
pub(super) struct Strip<'a> {
    pub(super) name: String,
    /// Least and most of what is shown, and what there can be.
    pub(super) said: String,
    seen: &'a Seen,
}

/// The levels to show, named as people name them.
pub(super) fn strips<'a>(
    scenario: &Scenario,
    seen: &'a [Seen],
    units: Units,
    view: &View,
    start: DateTime<FixedOffset>,
) -> Vec<Strip<'a>> {
    let setup = &scenario.setup;
    let name = |gauge: &Gauge| match gauge {
        Gauge::Ice => "Ice in the bin".to_owned(),
        Gauge::Hands => "Hands busy".to_owned(),
        Gauge::Places(id) => {
            let found = setup.cold_stores.iter().find(|s| s.id == *id);
            found.map_or(id.as_str(), |s| s.name.as_str()).to_owned()
        }
        Gauge::Connections(id) => {
            let found = setup.gas_stations.iter().find(|s| s.id == *id);
            found.map_or(id.as_str(), |s| s.name.as_str()).to_owned()
        }
        Gauge::CleanKegs(id) => {
            let found = setup.keg_types.iter().find(|k| k.id == *id);
            format!("Clean, {}", found.map_or(id.as_str(), |k| k.name.as_str()))
        }
    };
    let strip = |seen: &'a Seen| {
        let shown = shown(seen, scenario, view, start);
        let least = shown
            .iter()
            .map(|(_, level, _)| *level)
            .fold(f64::MAX, f64::min);
        let most = shown.iter().map(|(_, level, _)| *level).fold(0.0, f64::max);
        let all = seen.limits.iter().copied().fold(0.0, f64::max);
        let figure = |value: f64| match seen.gauge {
            Gauge::Ice => units.mass(value).to_string(),
            _ => units.number(value),
        };
        let least = if least > most { 0.0 } else { least };
        Strip {
            name: name(&seen.gauge),
            said: match seen.gauge {
                Gauge::Ice | Gauge::CleanKegs(_) => {
                    format!("least {} of {}", figure(least), figure(all))
                }
                Gauge::Places(_) => format!("places, most {} of {}", figure(most), figure(all)),
                _ => format!("most {} of {}", figure(most), figure(all)),
            },
            seen,
        }
    };
    seen.iter().map(strip).collect()
}

type Step = (DateTime<FixedOffset>, f64, f64);

/// The steps that are shown: when, how much, and the most there can be.
fn shown(seen: &Seen, scenario: &Scenario, view: &View, start: DateTime<FixedOffset>) -> Vec<Step> {
    let grid = i64::from(scenario.horizon.grid_minutes.minutes());
    let steps = seen.levels.iter().zip(&seen.limits).zip(0_i64..);
    steps
        .map(|((level, limit), n)| (start + Duration::minutes(n * grid), *level, *limit))
        .filter(|(at, _, _)| *at + Duration::minutes(grid) > view.from && *at < view.to)
        .collect()
}

/// Draws the strips one under the other and says where they end.
pub(super) fn draw(
    canvas: &mut Canvas,
    strips: &[Strip<'_>],
    scenario: &Scenario,
    view: &View,
    start: DateTime<FixedOffset>,
    top: f64,
) -> f64 {
    let mut y = top;
    for strip in strips {
        let steps = shown(strip.seen, scenario, view, start);
        let all = strip.seen.limits.iter().copied().fold(0.0, f64::max);
        let most = steps
            .iter()
            .map(|(_, level, _)| *level)
            .fold(all, f64::max)
            .max(1e-9);
        let height = |value: f64| y + HIGH - value / most * HIGH;
        let (left, right) = (view.x(view.from), view.x(view.to));
        canvas.line("hair", "#9db0ba", Line::across(left, right, y + HIGH));
        let mut area = format!("M{} {}", n(left), n(y + HIGH));
        let mut limit = String::new();
        let grid = i64::from(scenario.horizon.grid_minutes.minutes());
        for (at, level, most) in &steps {
            let (from, to) = (view.inside(*at), view.inside(*at + Duration::minutes(grid)));
            let up = n(height(*level));
            area.push_str(&format!("L{} {up}H{}", n(from), n(to)));
            let mark = if limit.is_empty() { 'M' } else { 'L' };
            limit.push_str(&format!("{mark}{} {}H{}", n(from), n(height(*most)), n(to)));
        }
        area.push_str(&format!("V{}Z", n(y + HIGH)));
        canvas.add(&format!(
            "<path class=\"level\" d=\"{area}\" fill=\"#2d7fb0\" fill-opacity=\".55\" stroke=\"#0a5580\" stroke-width=\"1\"/>"
        ));
        canvas.add(&format!(
            "<path class=\"limit\" d=\"{limit}\" fill=\"none\" stroke=\"#0f2230\" stroke-width=\"1\" stroke-dasharray=\"5 4\"/>"
        ));
        canvas.text(
            Lettering::new("lane", "start", 13.0),
            (4.0, y + 18.0),
            &shortened(&strip.name, 22),
        );
        canvas.text(
            Lettering::new("faint", "start", 11.5),
            (4.0, y + 34.0),
            &strip.said,
        );
        y += NEXT;
    }
    y
}
