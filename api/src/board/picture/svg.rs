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

/// A rectangle by its upper left corner.
#[derive(Clone, Copy)]
pub(super) struct Rect {
    pub(super) x: f64,
    pub(super) y: f64,
    pub(super) wide: f64,
    pub(super) high: f64,
}

impl Rect {
    pub(super) fn at(x: f64, y: f64, wide: f64, high: f64) -> Self {
        Self { x, y, wide, high }
    }
}

/// A straight line.
#[derive(Clone, Copy)]
pub(super) struct Line {
    pub(super) from: (f64, f64),
    pub(super) to: (f64, f64),
}

impl Line {
    pub(super) fn across(from: f64, to: f64, y: f64) -> Self {
        Self {
            from: (from, y),
            to: (to, y),
        }
    }

    pub(super) fn down(x: f64, from: f64, to: f64) -> Self {
        Self {
            from: (x, from),
            to: (x, to),
        }
    }
}

/// How words look, and whether they begin at their place (`start`), end there (`end`) or stand
/// around it (`middle`).
#[derive(Clone, Copy)]
pub(super) struct Lettering<'a> {
    pub(super) class: &'a str,
    pub(super) anchor: &'a str,
    pub(super) size: f64,
}

impl<'a> Lettering<'a> {
    pub(super) fn new(class: &'a str, anchor: &'a str, size: f64) -> Self {
        Self {
            class,
            anchor,
            size,
        }
    }
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

    pub(super) fn rect(&mut self, class: &str, fill: &str, rect: Rect) {
        let Rect { x, y, wide, high } = rect;
        let _ = writeln!(
            self.body,
            "<rect class=\"{class}\" x=\"{}\" y=\"{}\" width=\"{}\" height=\"{}\" fill=\"{fill}\"/>",
            n(x),
            n(y),
            n(wide.max(0.0)),
            n(high.max(0.0))
        );
    }

    pub(super) fn line(&mut self, class: &str, stroke: &str, line: Line) {
        let ((x1, y1), (x2, y2)) = (line.from, line.to);
        let _ = writeln!(
            self.body,
            "<line class=\"{class}\" x1=\"{}\" y1=\"{}\" x2=\"{}\" y2=\"{}\" stroke=\"{stroke}\"/>",
            n(x1),
            n(y1),
            n(x2),
            n(y2)
        );
    }

    pub(super) fn text(&mut self, style: Lettering<'_>, (x, y): (f64, f64), words: &str) {
        let Lettering {
            class,
            anchor,
            size,
        } = style;
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
