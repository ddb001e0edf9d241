//! Text of an SVG: numbers, escaped words, shapes.

use std::fmt::Write;

/// Words as they may stand in an attribute or an element.
pub(in crate::board) fn escape(text: &str) -> String {
    let mut safe = String::with_capacity(text.len());
    for c in text.chars() {
        match c {
            '&' => safe.push_str("&amp;"),
            '<' => safe.push_str("&lt;"),
            '>' => safe.push_str("&gt;"),
            '"' => safe.push_str("&quot;"),
            '\'' => safe.push_str("&#39;"),
            c => safe.push(c),
        }
    }
    safe
}

/// A coordinate, to a tenth of a unit.
pub(super) fn n(value: f64) -> String {
    let text = format!("{value:.1}");
    text.strip_suffix(".0").map(str::to_owned).unwrap_or(text)
}

/// An SVG that is written from top to bottom.
#[derive(Default)]
pub(super) struct Canvas {
    pub(super) defs: String,
    pub(super) body: String,
    gradients: usize,
}

impl Canvas {
    pub(super) fn add(&mut self, text: &str) {
        self.body.push_str(text);
        self.body.push('\n');
    }

    pub(super) fn rect(&mut self, class: &str, fill: &str, (x, y, w, h): (f64, f64, f64, f64)) {
        let _ = writeln!(
            self.body,
            "<rect class=\"{class}\" x=\"{}\" y=\"{}\" width=\"{}\" height=\"{}\" fill=\"{fill}\"/>",
            n(x),
            n(y),
            n(w.max(0.0)),
            n(h.max(0.0))
        );
    }

    pub(super) fn line(
        &mut self,
        class: &str,
        stroke: &str,
        (x1, y1): (f64, f64),
        (x2, y2): (f64, f64),
    ) {
        let _ = writeln!(
            self.body,
            "<line class=\"{class}\" x1=\"{}\" y1=\"{}\" x2=\"{}\" y2=\"{}\" stroke=\"{stroke}\"/>",
            n(x1),
            n(y1),
            n(x2),
            n(y2)
        );
    }

    /// Words that begin at a place (`start`), end there (`end`) or stand around it (`middle`).
    pub(super) fn text(
        &mut self,
        class: &str,
        anchor: &str,
        size: f64,
        (x, y): (f64, f64),
        words: &str,
    ) {
        let _ = writeln!(
            self.body,
            "<text class=\"{class}\" text-anchor=\"{anchor}\" font-size=\"{}\" x=\"{}\" y=\"{}\">{}</text>",
            n(size),
            n(x),
            n(y),
            escape(words)
        );
    }

    /// A colour that runs from left to right; gives what to fill with.
    pub(super) fn gradient(&mut self, (x1, x2): (f64, f64), stops: &[(f64, String)]) -> String {
        self.gradients += 1;
        let id = format!("heat{}", self.gradients);
        let _ = write!(
            self.defs,
            "<linearGradient id=\"{id}\" gradientUnits=\"userSpaceOnUse\" x1=\"{}\" x2=\"{}\" y1=\"0\" y2=\"0\">",
            n(x1),
            n(x2)
        );
        for (at, colour) in stops {
            let _ = write!(
                self.defs,
                "<stop offset=\"{at:.3}\" stop-color=\"{colour}\"/>"
            );
        }
        self.defs.push_str("</linearGradient>\n");
        format!("url(#{id})")
    }
}
