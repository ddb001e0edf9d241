//! A gate of a service, and what must pass it.

use super::super::gates::Gate;
use super::super::streams::Lane;
use super::super::svg::{Lettering, Rect, escape, n};
use super::{Drawing, GATES};

impl Drawing<'_> {
    /// A gate: a bar across the lanes of what is ready, and below it what must pass.
    pub(super) fn gate(&mut self, gate: &Gate, all: &[Gate], y: f64, left: bool) {
        let view = self.picture.view;
        let x = view.x(gate.at);
        let most = all.iter().map(Gate::wanted_l).fold(1.0, f64::max);
        let ready = self
            .layout
            .lanes
            .iter()
            .find(|lane| lane.lane == Lane::Ready);
        let from = ready.map_or(y, |lane| lane.y);
        let scale = (GATES - 30.0) / most;
        let lines: Vec<String> = gate
            .bars
            .iter()
            .map(|bar| {
                let name = self.names.product(&bar.product);
                let short = if bar.short_l > 0.05 {
                    format!(", {} short", self.names.litres(bar.short_l))
                } else {
                    String::new()
                };
                format!("{name} {}{short}", self.names.litres(bar.wanted_l))
            })
            .collect();
        let said = format!(
            "Service {}: {}",
            self.picture.units.day_and_time(gate.at),
            lines.join("; ")
        );
        self.canvas.add(&format!(
            "<g class=\"gate\"><title>{}</title>",
            escape(&said)
        ));
        self.canvas.rect(
            "post",
            "#0f2230",
            Rect::at(x - 1.25, from, 2.5, y - from + 4.0),
        );
        let mut at = y + 4.0;
        for bar in &gate.bars {
            let served = (bar.wanted_l - bar.short_l).max(0.0) * scale;
            let short = bar.short_l * scale;
            self.canvas.rect(
                "served",
                "#0a5580",
                Rect::at(x - 9.0, at, 18.0, (served - 0.7).max(0.5)),
            );
            at += served;
            if bar.short_l > 0.05 {
                self.canvas.add(&format!(
                    "<rect class=\"gap\" x=\"{}\" y=\"{}\" width=\"18\" height=\"{}\" fill=\"url(#gap)\" stroke=\"#9c1c14\" stroke-width=\"1.5\"/>",
                    n(x - 9.0),
                    n(at),
                    n((short - 0.7).max(2.0))
                ));
                at += short;
            }
        }
        self.gate_words(gate, (x, y), left);
        self.canvas.add("</g>");
    }

    fn gate_words(&mut self, gate: &Gate, (x, y): (f64, f64), left: bool) {
        let (anchor, x) = if left {
            ("end", x - 13.0)
        } else {
            ("start", x + 13.0)
        };
        let wanted = self.names.litres(gate.wanted_l());
        let hour = gate.at.format("%H:%M").to_string();
        self.canvas.text(
            Lettering::new("gate-words", anchor, 12.0),
            (x, y + 16.0),
            &wanted,
        );
        self.canvas
            .text(Lettering::new("faint", anchor, 11.0), (x, y + 30.0), &hour);
        if gate.short_l() > 0.0 {
            let short = format!("▲ {}", self.names.litres(gate.short_l()));
            self.canvas.add(&format!(
                "<text class=\"short\" text-anchor=\"{anchor}\" font-size=\"12\" font-weight=\"700\" fill=\"#9c1c14\" x=\"{}\" y=\"{}\">{}</text>",
                n(x),
                n(y + 46.0),
                escape(&short)
            ));
        }
    }
}
