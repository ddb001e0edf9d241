//! What the colours and patterns mean.

use super::super::axis::MARGIN;
use super::super::heat::{BANDS, colour};
use super::super::svg::{Lettering, Rect};
use super::Drawing;

impl Drawing<'_> {
    /// What the colours and patterns mean.
    pub(super) fn legend(&mut self, y: f64) {
        let mut x = MARGIN;
        for c in BANDS {
            self.canvas
                .rect("band", &colour(c), Rect::at(x, y, 56.0, 18.0));
            let words = self.names.degrees(c);
            self.canvas.text(
                Lettering::new("legend", "middle", 12.0),
                (x + 28.0, y + 33.0),
                &words,
            );
            x += 57.0;
        }
        for (pattern, on, words) in [
            ("hot", 80.0, "scalds"),
            ("gas", 4.0, "under gas"),
            ("gap", 0.0, "short"),
        ] {
            x += 26.0;
            if pattern != "gap" {
                self.canvas
                    .rect("band", &colour(on), Rect::at(x, y, 40.0, 18.0));
            }
            self.canvas.rect(
                "over",
                &format!("url(#{pattern})"),
                Rect::at(x, y, 40.0, 18.0),
            );
            self.canvas.text(
                Lettering::new("legend", "start", 12.0),
                (x + 46.0, y + 14.0),
                words,
            );
            x += 46.0 + 62.0;
        }
        let thick = 20.0 * self.layout.litre;
        self.canvas.rect(
            "band",
            &colour(4.0),
            Rect::at(x + 26.0, y + 9.0 - thick / 2.0, 40.0, thick),
        );
        let words = format!("{} wide", self.names.litres(20.0));
        self.canvas.text(
            Lettering::new("legend", "start", 12.0),
            (x + 72.0, y + 14.0),
            &words,
        );
    }
}
