//! The curve of kegs that can be ready, drawn against what is wanted.

use std::fmt::Write;

use chrono::{DateTime, FixedOffset};
use chrono_tz::Tz;
use scheduler::answer::CapacityCurve;
use scheduler::scenario::{Demand, ProductId};

const WIDTH: f64 = 960.0;
const HEIGHT: f64 = 300.0;
const LEFT: f64 = 46.0;
const BOTTOM: f64 = 34.0;

type At = DateTime<FixedOffset>;

/// What the lines mean, and the end of the drawing.
const LEGEND: &str = "<g font-size=\"13\" fill=\"#0f2230\"><path d=\"M60 14h28\" stroke=\"#0a5580\" stroke-width=\"3\"/>\
         <text x=\"94\" y=\"18\">kegs ready, if nothing is served</text>\
         <path d=\"M330 14h28\" stroke=\"#0a5580\" stroke-width=\"1.2\" stroke-dasharray=\"2 4\"/>\
         <text x=\"364\" y=\"18\">no more than</text>\
         <path d=\"M480 14h28\" stroke=\"#9c1c14\" stroke-width=\"2.5\" stroke-dasharray=\"9 5\"/>\
         <text x=\"514\" y=\"18\">wanted so far, in the largest kegs</text></g></svg>";

/// Kegs wanted by each service, added up: litres over what the largest keg holds.
pub(super) fn needed(
    lines: &[Demand],
    product: Option<&ProductId>,
    largest_l: f64,
) -> Vec<(At, f64)> {
    let mut all: Vec<(At, f64)> = lines
        .iter()
        .filter(|line| product.is_none_or(|product| line.product == *product))
        .map(|line| (line.due, line.litres.litres() / largest_l.max(1.0)))
        .collect();
    all.sort_by_key(|(at, _)| *at);
    let mut sum = 0.0;
    for (_, kegs) in &mut all {
        sum += *kegs;
        *kegs = sum;
    }
    all
}

/// The curve as an SVG that stands alone.
pub(super) fn draw(curve: &CapacityCurve, needed: &[(At, f64)], by: At, zone: Tz) -> String {
    let (Some(first), Some(last)) = (curve.points.first(), curve.points.last()) else {
        return empty();
    };
    let whole = (last.at - first.at).num_seconds().max(1) as f64;
    let x = |at: At| {
        let part = (at - first.at).num_seconds() as f64 / whole;
        LEFT + part.clamp(0.0, 1.0) * (WIDTH - LEFT - 10.0)
    };
    let shown = |at: At| at >= first.at && at <= last.at;
    let most = curve
        .points
        .iter()
        .map(|p| f64::from(p.at_most))
        .fold(1.0, f64::max);
    let wanted = needed.iter().filter(|(at, _)| shown(*at)).map(|(_, k)| *k);
    let most = wanted.fold(most, f64::max) * 1.08;
    let y = |kegs: f64| HEIGHT - BOTTOM - kegs / most * (HEIGHT - BOTTOM - 24.0);
    let steps = |points: &mut dyn Iterator<Item = (At, f64)>| {
        let mut path = String::new();
        for (at, kegs) in points {
            let begun = if path.is_empty() {
                format!("M{:.1} {:.1}", x(at), y(kegs))
            } else {
                format!("H{:.1}V{:.1}", x(at), y(kegs))
            };
            path.push_str(&begun);
        }
        path
    };
    let ready = steps(&mut curve.points.iter().map(|p| (p.at, f64::from(p.kegs))));
    let bound = steps(&mut curve.points.iter().map(|p| (p.at, f64::from(p.at_most))));
    let start = std::iter::once((first.at, 0.0));
    let inside = needed.iter().copied().filter(|(at, _)| shown(*at));
    let wants = format!("{}H{:.1}", steps(&mut start.chain(inside)), WIDTH - 10.0);
    let mut svg = open();
    grid(&mut svg, most, &y);
    days(&mut svg, (first.at, last.at), zone, &x);
    let foot = HEIGHT - BOTTOM;
    let _ = write!(
        svg,
        "<path d=\"{ready}H{end:.1}V{foot}H{LEFT}Z\" fill=\"#2d7fb0\" fill-opacity=\".28\"/>\
         <path d=\"{ready}\" fill=\"none\" stroke=\"#0a5580\" stroke-width=\"3\"/>\
         <path d=\"{bound}\" fill=\"none\" stroke=\"#0a5580\" stroke-width=\"1.2\" stroke-dasharray=\"2 4\"/>\
         <path d=\"{wants}\" fill=\"none\" stroke=\"#9c1c14\" stroke-width=\"2.5\" stroke-dasharray=\"9 5\"/>",
        end = x(last.at)
    );
    if shown(by) {
        let _ = write!(
            svg,
            "<line x1=\"{at:.1}\" x2=\"{at:.1}\" y1=\"22\" y2=\"{foot}\" stroke=\"#b35900\" stroke-width=\"2.5\"/>",
            at = x(by)
        );
    }
    svg.push_str(LEGEND);
    svg
}

fn open() -> String {
    format!(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 {WIDTH} {HEIGHT}\" width=\"{WIDTH}\" \
         height=\"{HEIGHT}\" font-family=\"system-ui, 'DejaVu Sans', sans-serif\">\
         <title>Kegs that can be ready, hour by hour</title>\
         <rect width=\"{WIDTH}\" height=\"{HEIGHT}\" fill=\"#fafcfb\"/>"
    )
}

fn empty() -> String {
    open()
        + "<text x=\"46\" y=\"60\" font-size=\"15\" fill=\"#0f2230\">Time was over before an hour was known.</text></svg>"
}

fn grid(svg: &mut String, most: f64, y: &dyn Fn(f64) -> f64) {
    let step = [1.0, 2.0, 5.0, 10.0, 20.0, 50.0, 100.0, 200.0, 500.0];
    let step = step
        .into_iter()
        .find(|step| most / step <= 6.0)
        .unwrap_or(1000.0);
    let mut kegs = 0.0;
    while kegs <= most {
        let _ = write!(
            svg,
            "<line x1=\"{LEFT}\" x2=\"{}\" y1=\"{at:.1}\" y2=\"{at:.1}\" stroke=\"#c3d0d5\"/>\
             <text x=\"{}\" y=\"{:.1}\" font-size=\"13\" text-anchor=\"end\" fill=\"#0f2230\">{kegs}</text>",
            WIDTH - 10.0,
            LEFT - 8.0,
            y(kegs) + 4.0,
            at = y(kegs)
        );
        kegs += step;
    }
}

fn days(svg: &mut String, (from, to): (At, At), zone: Tz, x: &dyn Fn(At) -> f64) {
    let mut at = from;
    let mut day = None;
    while at <= to {
        let date = at.with_timezone(&zone).date_naive();
        // A name beside the edge would be cut.
        if day != Some(date) && x(at) < WIDTH - 50.0 {
            day = Some(date);
            let _ = write!(
                svg,
                "<line x1=\"{x:.1}\" x2=\"{x:.1}\" y1=\"22\" y2=\"{}\" stroke=\"#9db0ba\"/>\
                 <text x=\"{:.1}\" y=\"{}\" font-size=\"13\" fill=\"#0f2230\">{}</text>",
                HEIGHT - BOTTOM,
                x(at) + 4.0,
                HEIGHT - 12.0,
                date.format("%a %-d"),
                x = x(at)
            );
        }
        at += chrono::Duration::hours(1);
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_wanted_adds_up() {
        let lines = scheduler::sample::fixed().demand;
        let all = needed(&lines, None, 18.5);
        let litres: f64 = lines.iter().map(|line| line.litres.litres()).sum();
        assert!((all.last().unwrap().1 - litres / 18.5).abs() < 1e-9);
        assert!(
            all.windows(2)
                .all(|pair| pair[0].1 <= pair[1].1 && pair[0].0 <= pair[1].0)
        );
        let one = needed(&lines, Some(&lines[0].product), 18.5);
        assert!(!one.is_empty() && one.len() < all.len());
    }

    #[test]
    fn nothing_known_is_said() {
        let curve = CapacityCurve {
            product: None,
            points: Vec::new(),
        };
        let by = scheduler::sample::fixed().horizon.start;
        let svg = draw(&curve, &[], by, scheduler::sample::ZONE);
        assert!(svg.contains("Time was over") && svg.ends_with("</svg>"));
    }
}
