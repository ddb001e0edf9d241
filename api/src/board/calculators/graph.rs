//! A calculation over the range of one of its inputs, as a curve.

use std::fmt::Write;

use serde_json::{Value, json};

use super::answer::leading;
use super::form::Field;
use crate::app::calculations;
use crate::board::picture::escape;
use crate::text::units::Units;

const WIDTH: f64 = 760.0;
const HEIGHT: f64 = 320.0;
const LEFT: f64 = 70.0;
const RIGHT: f64 = 740.0;
const TOP: f64 = 24.0;
const BOTTOM: f64 = 268.0;
/// Points of a curve.
const POINTS: u32 = 60;
/// Ranges wider than this are not drawn whole, but around the value that is asked about.
const WHOLE: f64 = 120.0;

/// The stretch that is drawn.
fn stretch(field: &Field, value: f64) -> Option<(f64, f64)> {
    let (least, most) = (field.least?, field.most?);
    let around = most - least > WHOLE && value.abs() > 1e-9;
    let (from, to) = if around {
        let (a, b) = (value * 0.25, value * 2.5);
        (a.min(b).max(least), a.max(b).min(most))
    } else {
        (least, most)
    };
    (to > from).then_some((from, to))
}

/// The curve as an SVG for the page; nothing where there is none.
pub(super) fn graph(name: &str, inputs: &Value, over: &Field, units: Units) -> String {
    let value = inputs[&over.name].as_f64().unwrap_or(0.0);
    let Some((from, to)) = stretch(over, value) else {
        return String::new();
    };
    let at = |x: f64| {
        let mut asked = inputs.clone();
        asked[&over.name] = if over.whole {
            json!(x.round() as i64)
        } else {
            json!(x)
        };
        let reply = calculations::calculate(name, asked).ok()?;
        leading(&reply["answer"], units)
    };
    let mut points = Vec::new();
    let mut what = None;
    for n in 0..=POINTS {
        let x = from + (to - from) * f64::from(n) / f64::from(POINTS);
        let found = at(x);
        if let Some((name, y, unit)) = found {
            what.get_or_insert((name, unit));
            points.push(Some((x, y)));
        } else {
            points.push(None);
        }
    }
    let Some((name, unit)) = what else {
        return String::new();
    };
    let here = inputs[&over.name]
        .as_f64()
        .and_then(|x| Some((x, at(x)?.1)));
    let (across, up) = titles(over, &name, &unit);
    let curve = Curve {
        points,
        here,
        from,
        to,
        across,
        up,
    };
    curve.draw(units)
}

/// What is drawn.
struct Curve {
    /// Points of the curve; none where there is no answer.
    points: Vec<Option<(f64, f64)>>,
    /// The point that is asked about.
    here: Option<(f64, f64)>,
    from: f64,
    to: f64,
    /// What the two axes are called.
    across: String,
    up: String,
}

/// Where values stand in the picture.
struct Frame {
    from: f64,
    to: f64,
    low: f64,
    high: f64,
}

impl Frame {
    fn x(&self, value: f64) -> f64 {
        LEFT + (value - self.from) / (self.to - self.from) * (RIGHT - LEFT)
    }

    fn y(&self, value: f64) -> f64 {
        BOTTOM - (value - self.low) / (self.high - self.low) * (BOTTOM - TOP)
    }
}

fn titles(over: &Field, name: &str, unit: &str) -> (String, String) {
    let with = |name: &str, unit: &str| {
        if unit.is_empty() {
            name.to_owned()
        } else {
            format!("{name}, {unit}")
        }
    };
    (with(&over.label, &over.unit), with(name, unit))
}

impl Curve {
    fn frame(&self) -> Frame {
        let known = || self.points.iter().flatten().map(|(_, y)| *y);
        let low = known()
            .fold(f64::MAX, f64::min)
            .min(0.0_f64.max(known().fold(f64::MAX, f64::min)));
        let high = known().fold(f64::MIN, f64::max);
        let (low, high) = if high - low < 1e-12 {
            (low - 1.0, high + 1.0)
        } else {
            (low, high)
        };
        Frame {
            from: self.from,
            to: self.to,
            low,
            high,
        }
    }

    fn draw(&self, units: Units) -> String {
        let frame = self.frame();
        let mut path = String::new();
        let mut pen = 'M';
        for point in &self.points {
            match point {
                Some((a, b)) => {
                    let _ = write!(path, "{pen}{:.1} {:.1}", frame.x(*a), frame.y(*b));
                    pen = 'L';
                }
                None => pen = 'M',
            }
        }
        let (across, up) = (escape(&self.across), escape(&self.up));
        let mut svg = format!(
            "<svg class=\"graph\" viewBox=\"0 0 {WIDTH} {HEIGHT}\" width=\"{WIDTH}\" height=\"{HEIGHT}\" role=\"img\" aria-label=\"{up} over {across}\">",
        );
        frame.grid(&mut svg, units);
        let _ = write!(
            svg,
            "<path class=\"curve-line\" d=\"{path}\"/>\
             <text text-anchor=\"end\" x=\"{RIGHT}\" y=\"{:.1}\">{across}</text><text x=\"4\" y=\"14\">{up}</text>",
            HEIGHT - 8.0,
        );
        let inside = |(a, _): &(f64, f64)| (self.from..=self.to).contains(a);
        if let Some((a, b)) = self.here.filter(inside) {
            let _ = write!(
                svg,
                "<circle class=\"here\" cx=\"{:.1}\" cy=\"{:.1}\" r=\"6\"/>",
                frame.x(a),
                frame.y(b).clamp(TOP, BOTTOM)
            );
        }
        svg + "</svg>"
    }
}

impl Frame {
    /// Lines across, and the numbers they stand for.
    fn grid(&self, svg: &mut String, units: Units) {
        for n in 0..=4 {
            let part = f64::from(n) / 4.0;
            let a = self.from + (self.to - self.from) * part;
            let b = self.low + (self.high - self.low) * part;
            let _ = write!(
                svg,
                "<line class=\"hair\" x1=\"{x:.1}\" x2=\"{x:.1}\" y1=\"{TOP}\" y2=\"{BOTTOM}\"/>\
                 <text text-anchor=\"middle\" x=\"{x:.1}\" y=\"{:.1}\">{}</text>\
                 <line class=\"hair\" x1=\"{LEFT}\" x2=\"{RIGHT}\" y1=\"{y:.1}\" y2=\"{y:.1}\"/>\
                 <text text-anchor=\"end\" x=\"{:.1}\" y=\"{:.1}\">{}</text>",
                BOTTOM + 18.0,
                units.number(a),
                LEFT - 8.0,
                self.y(b) + 4.0,
                units.number(b),
                x = self.x(a),
                y = self.y(b)
            );
        }
    }
}

#[cfg(test)]
mod tests {
    use super::super::form::Form;
    use super::*;

    #[test]
    fn every_calculation_with_a_number_can_be_drawn_or_says_nothing() {
        let mut drawn = 0;
        for card in calculations::cards() {
            let form = Form::of(card.name).unwrap();
            let inputs: Value = serde_json::from_str(card.example).unwrap();
            let Some(over) = form.graphed(&inputs) else {
                continue;
            };
            let svg = graph(
                card.name,
                &inputs,
                form.field(&over).unwrap(),
                Units::METRIC,
            );
            assert!(
                !svg.contains("NaN") && !svg.contains("inf"),
                "{}: {svg}",
                card.name
            );
            drawn += usize::from(svg.contains("curve-line"));
        }
        assert!(drawn > 40, "{drawn}");
    }

    #[test]
    fn wide_ranges_are_drawn_around_what_is_asked() {
        let field = Field {
            least: Some(0.0),
            most: Some(10_000.0),
            ..Field::default()
        };
        assert_eq!(stretch(&field, 40.0), Some((10.0, 100.0)));
        assert_eq!(stretch(&field, 0.0), Some((0.0, 10_000.0)));
    }
}
