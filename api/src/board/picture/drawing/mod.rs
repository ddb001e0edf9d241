//! The drawing: ribbons through lanes, gates, levels, a legend.

mod gate;
mod legend;

use chrono::{DateTime, FixedOffset};
use scheduler::plan::Plan;
use scheduler::replay::Seen;
use scheduler::scenario::Scenario;

use super::axis::{MARGIN, View, WIDTH};
use super::gates::gates;
use super::heat::{SCALDS_C, colour, ink_on};
use super::lanes::{Layout, layout};
use super::levels;
use super::streams::{Hold, Lane, streams};
use super::svg::{Canvas, Lettering, Line, Rect, escape, n};
use super::words::{RibbonText, heat, place, told, what};
use crate::text::figures::counted;
use crate::text::names::Names;
use crate::text::units::Units;

/// What is drawn.
pub(in crate::board) struct Picture<'a> {
    pub(in crate::board) scenario: &'a Scenario,
    pub(in crate::board) plan: &'a Plan,
    pub(in crate::board) seen: &'a [Seen],
    pub(in crate::board) units: Units,
    pub(in crate::board) view: View,
    /// The present, if it is shown.
    pub(in crate::board) now: DateTime<FixedOffset>,
    /// Where the pages of work items begin; none for a picture that stands alone.
    pub(in crate::board) links: Option<String>,
}

/// Top of the first lane.
const TOP: f64 = 44.0;
/// Height of the band of gates.
const GATES: f64 = 84.0;
/// Room for the legend.
const LEGEND: f64 = 56.0;

/// A pattern, and from when to when it holds.
type Pattern = (&'static str, (DateTime<FixedOffset>, DateTime<FixedOffset>));

struct Drawing<'a> {
    picture: &'a Picture<'a>,
    names: Names<'a>,
    holds: Vec<Hold>,
    layout: Layout,
    canvas: Canvas,
    /// How much of each ribbon's end is taken by what flows on.
    given: Vec<f64>,
    flows_on: Vec<bool>,
}

/// The picture as an SVG, and the same in words.
pub(in crate::board) fn draw(picture: &Picture<'_>) -> (String, Vec<RibbonText>) {
    let holds = streams(picture.scenario, picture.plan);
    let layout = layout(picture.scenario, &holds, &picture.view, TOP);
    let rows = told(picture.scenario, &holds, picture.units, &picture.view);
    let mut flows_on = vec![false; holds.len()];
    for hold in &holds {
        for (from, _) in &hold.comes_from {
            flows_on[*from] = true;
        }
    }
    let mut drawing = Drawing {
        names: Names::of(picture.scenario).reading(picture.units),
        given: vec![0.0; holds.len()],
        flows_on,
        canvas: Canvas::default(),
        picture,
        holds,
        layout,
    };
    (drawing.all(), rows)
}

impl Drawing<'_> {
    fn all(&mut self) -> String {
        let view = self.picture.view;
        let gates = gates(self.picture.plan, &view);
        let gates_at = self.layout.bottom + 14.0;
        let levels_at = gates_at + GATES + 26.0;
        let start = self.picture.plan.start;
        let strips = levels::strips(
            self.picture.scenario,
            self.picture.seen,
            self.picture.units,
            &view,
            start,
        );
        let bottom = levels_at + 54.0 * strips.len() as f64;
        self.ground(bottom);
        for n in 0..self.holds.len() {
            self.inflow(n);
        }
        for n in 0..self.holds.len() {
            self.ribbon(n);
        }
        for (n, gate) in gates.iter().enumerate() {
            // Where the next gate is near, there is room on the left only.
            let near = gates
                .get(n + 1)
                .is_some_and(|next| view.x(next.at) - view.x(gate.at) < 78.0);
            self.gate(gate, &gates, gates_at, near);
        }
        self.canvas.text(
            Lettering::new("lane", "start", 13.0),
            (4.0, gates_at + 20.0),
            "Services",
        );
        self.canvas.text(
            Lettering::new("faint", "start", 11.5),
            (4.0, gates_at + 36.0),
            "wanted, and gaps",
        );
        levels::draw(
            &mut self.canvas,
            &strips,
            self.picture.scenario,
            &view,
            start,
            levels_at,
        );
        self.present(bottom);
        self.legend(bottom + 14.0);
        self.framed(bottom + 14.0 + LEGEND)
    }

    fn framed(&self, height: f64) -> String {
        let width = MARGIN + WIDTH + 12.0;
        let view = &self.picture.view;
        let name = format!(
            "{}, {} to {}: water on its way to the tap",
            self.picture.scenario.site.name,
            self.picture.units.day_and_time(view.from),
            self.picture.units.day_and_time(view.to)
        );
        format!(
            "<svg xmlns=\"http://www.w3.org/2000/svg\" class=\"week\" viewBox=\"0 0 {w} {h}\" \
             width=\"{w}\" height=\"{h}\" font-family=\"system-ui, 'DejaVu Sans', sans-serif\" \
             role=\"img\" aria-label=\"{name}\">\n<title>{name}</title>\n<defs>\n\
             <pattern id=\"hot\" width=\"7\" height=\"7\" patternUnits=\"userSpaceOnUse\" patternTransform=\"rotate(45)\"><rect width=\"2\" height=\"7\" fill=\"#fff\" fill-opacity=\".55\"/></pattern>\n\
             <pattern id=\"gas\" width=\"9\" height=\"9\" patternUnits=\"userSpaceOnUse\"><circle cx=\"2.2\" cy=\"2.2\" r=\"1.3\" fill=\"#fff\" fill-opacity=\".8\"/><circle cx=\"6.7\" cy=\"6.7\" r=\"1.3\" fill=\"#fff\" fill-opacity=\".8\"/></pattern>\n\
             <pattern id=\"gap\" width=\"6\" height=\"6\" patternUnits=\"userSpaceOnUse\" patternTransform=\"rotate(-45)\"><rect width=\"2\" height=\"6\" fill=\"#9c1c14\"/></pattern>\n\
             {defs}</defs>\n{body}</svg>\n",
            w = n(width),
            h = n(height),
            name = escape(&name),
            defs = self.canvas.defs,
            body = self.canvas.body,
        )
    }

    /// The plate: lanes, their names, days and hours.
    fn ground(&mut self, bottom: f64) {
        let view = self.picture.view;
        let width = MARGIN + WIDTH + 12.0;
        let whole = bottom + 14.0 + LEGEND;
        self.canvas
            .rect("ground", "#fafcfb", Rect::at(0.0, 0.0, width, whole));
        for lane in &self.layout.lanes {
            self.canvas.rect(
                "bed",
                "#e6eeee",
                Rect::at(MARGIN, lane.y, WIDTH, lane.height),
            );
            let middle = lane.y + lane.height / 2.0 + 4.5;
            self.canvas.text(
                Lettering::new("lane", "start", 13.0),
                (4.0, middle),
                &shortened(&lane.name, 18),
            );
        }
        for tick in view.ticks(self.picture.units.locale) {
            let class = if tick.day { "day" } else { "hour" };
            let stroke = if tick.day { "#5c7280" } else { "#c3d0d5" };
            self.canvas
                .line(class, stroke, Line::down(tick.x, 26.0, bottom - 6.0));
            let size = if tick.day { 14.0 } else { 11.5 };
            self.canvas.text(
                Lettering::new(class, "start", size),
                (tick.x + 4.0, 18.0),
                &tick.name,
            );
        }
    }

    /// How much a ribbon draws in at its ends, so that it can pour into the next.
    fn inset(&self, hold: usize) -> (f64, f64) {
        let view = &self.picture.view;
        let one = &self.holds[hold];
        let length = view.inside(one.to) - view.inside(one.from);
        let most = (length / 2.6).min(11.0);
        let left = if one.comes_from.is_empty() { 0.0 } else { most };
        let pot = matches!(one.lane, Lane::Pot(_));
        let right = if self.flows_on[hold] && !pot {
            most
        } else {
            0.0
        };
        (left, right)
    }

    /// What flows into a ribbon, as a curve from where it came.
    fn inflow(&mut self, hold: usize) {
        let view = self.picture.view;
        let Some((top, _)) = self.layout.ribbons[hold] else {
            return;
        };
        let begins = self.holds[hold].from;
        if begins < view.from || begins > view.to {
            return;
        }
        let x = view.x(begins);
        let (left, _) = self.inset(hold);
        let mut into = 0.0;
        for (from, litres) in self.holds[hold].comes_from.clone() {
            let thick = litres * self.layout.litre;
            let Some((above, high)) = self.layout.ribbons[from] else {
                continue;
            };
            let pot = matches!(self.holds[from].lane, Lane::Pot(_));
            let back = if pot { 5.0 } else { self.inset(from).1 };
            let y = above + self.given[from].min((high - thick).max(0.0));
            self.given[from] += thick;
            let (x0, x1) = (x - back, x + left);
            let (y0, y1) = (y, top + into);
            into += thick;
            let middle = n((x0 + x1) / 2.0);
            let fill = colour(self.holds[hold].at(begins));
            self.canvas.add(&format!(
                "<path class=\"flow\" fill=\"{fill}\" fill-opacity=\".8\" d=\"M{x0} {a}C{middle} {a} {middle} {b} {x1} {b}V{c}C{middle} {c} {middle} {d} {x0} {d}Z\"/>",
                x0 = n(x0),
                x1 = n(x1),
                a = n(y0),
                b = n(y1),
                c = n(y1 + thick),
                d = n(y0 + thick),
            ));
        }
    }

    /// A ribbon with its warmth, its pattern and its words.
    fn ribbon(&mut self, hold: usize) {
        let view = self.picture.view;
        let Some((y, high)) = self.layout.ribbons[hold] else {
            return;
        };
        let (left, right) = self.inset(hold);
        let one = self.holds[hold].clone();
        let from = if one.from < view.from {
            view.x(view.from)
        } else {
            view.x(one.from) + left
        };
        let to = if one.to > view.to {
            view.x(view.to)
        } else {
            view.x(one.to) - right
        };
        let wide = (to - from).max(2.0);
        let fill = self.fill(&one, from, from + wide);
        let said = format!(
            "{}: {}, {}, {} to {}",
            place(self.picture.scenario, &one.lane),
            what(&self.names, &one),
            heat(self.picture.units, &one),
            self.picture.units.day_and_time(one.from),
            self.picture.units.time_after(one.to, one.from),
        );
        let item = one
            .item
            .as_ref()
            .map(ToString::to_string)
            .unwrap_or_default();
        let said = if item.is_empty() {
            said
        } else {
            format!("{item}. {said}")
        };
        let href = match (&self.picture.links, item.is_empty()) {
            (Some(base), false) => format!(" data-href=\"{}/{item}\"", escape(base)),
            _ => String::new(),
        };
        self.canvas.add(&format!(
            "<g class=\"ribbon\"{href}><title>{}</title>",
            escape(&said)
        ));
        self.canvas
            .rect("water", &fill, Rect::at(from, y, wide, high));
        if let Some(pattern) = self.pattern(&one) {
            let (a, b) = pattern.1;
            let (a, b) = (view.inside(a).max(from), view.inside(b).min(from + wide));
            self.canvas.rect(
                "over",
                &format!("url(#{})", pattern.0),
                Rect::at(a, y, b - a, high),
            );
        }
        self.label(&one, Rect::at(from, y, wide, high));
        self.canvas.add("</g>");
    }

    fn fill(&mut self, hold: &Hold, from: f64, to: f64) -> String {
        let view = self.picture.view;
        let (start, end) = (hold.from.max(view.from), hold.to.min(view.to));
        let whole = (to - from).max(1e-6);
        let mut points: Vec<(f64, f64)> = vec![(0.0, hold.at(start))];
        for (at, c) in &hold.heat {
            if *at > start && *at < end {
                points.push((((view.x(*at) - from) / whole).clamp(0.0, 1.0), *c));
            }
        }
        points.push((1.0, hold.at(end)));
        let first = points[0].1;
        if points.iter().all(|(_, c)| (c - first).abs() < 0.5) {
            return colour(first);
        }
        let stops: Vec<(f64, String)> = points.iter().map(|(at, c)| (*at, colour(*c))).collect();
        self.canvas.gradient((from, to), &stops)
    }

    /// The pattern that says without colour what is going on, and from when to when.
    fn pattern(&self, hold: &Hold) -> Option<Pattern> {
        if matches!(hold.lane, Lane::Station(_)) {
            return Some(("gas", (hold.from, hold.to)));
        }
        let mut hot = hold.heat.iter().filter(|(_, c)| *c >= SCALDS_C);
        let first = hot.next()?.0;
        let last = hot.next_back().map_or(first, |(at, _)| *at);
        (last > first).then_some(("hot", (first, last)))
    }

    fn label(&mut self, hold: &Hold, Rect { x, y, wide, high }: Rect) {
        let c = hold.at(hold.from + (hold.to - hold.from) / 2);
        let words = match (&hold.product, hold.kegs) {
            (Some(product), kegs) => format!("{kegs} × {}", self.names.product(product)),
            (None, 0) => {
                let most = hold.heat.iter().map(|(_, c)| *c).fold(f64::MIN, f64::max);
                format!(
                    "{} · {}",
                    self.names.litres(hold.litres),
                    self.names.degrees(most)
                )
            }
            (None, kegs) => format!("{} · {}", counted(kegs, "keg"), self.names.degrees(c)),
        };
        let size = if high >= 15.0 { 12.0 } else { 10.0 };
        let room = words.chars().count() as f64 * size * 0.56;
        if high < 10.0 || wide < room + 8.0 {
            return;
        }
        // On a gradient or a pattern words stand on a plate of their own.
        let ground = self.pattern(hold).is_some() || (c - hold.at(hold.from)).abs() > 4.0;
        let base = y + high / 2.0 + size * 0.36;
        let ink = if ground {
            self.canvas.rect(
                "plate",
                "#fafcfb",
                Rect::at(x + 3.0, base - size * 0.92, room + 6.0, size * 1.25),
            );
            "#0f2230".to_owned()
        } else {
            ink_on(c)
        };
        self.canvas.add(&format!(
            "<text class=\"on\" font-size=\"{}\" x=\"{}\" y=\"{}\" fill=\"{ink}\">{}</text>",
            n(size),
            n(x + 6.0),
            n(base),
            escape(&words)
        ));
    }

    fn present(&mut self, bottom: f64) {
        let (view, now) = (self.picture.view, self.picture.now);
        if now <= view.from || now >= view.to {
            return;
        }
        let x = view.x(now);
        self.canvas
            .line("present", "#b35900", Line::down(x, 22.0, bottom - 6.0));
        self.canvas.text(
            Lettering::new("present-words", "middle", 12.0),
            (x, 36.0),
            "now",
        );
    }
}

/// A name that fits beside its lane: at most so many letters.
pub(super) fn shortened(name: &str, most: usize) -> String {
    if name.chars().count() <= most {
        return name.to_owned();
    }
    let kept: String = name.chars().take(most - 1).collect();
    format!("{}…", kept.trim_end())
}
