//! Pressure a vessel may hold.

use super::verdict::{Evidence, Limit, Verdict};
use crate::{Fraction, GaugePressure};

/// Stamped on 19 L steel kegs, psi gauge. The stamp on the keg at hand goes first.
pub const STEEL_KEG_RATING: Limit = Limit {
    what: "working pressure of a 19 L steel keg",
    value: 130.0,
    unit: "psi",
    source: "encyclopaedia entry quoted in a public page; obey the stamp",
    evidence: Evidence::LookedUp,
};

/// Share of the rating above which nothing is planned.
pub const BLOCK_SHARE: Fraction = Fraction::of(0.8);

/// Holds a predicted pressure against 80 % of the rating stamped on a vessel.
///
/// ```
/// use model::{GaugePressure, limits};
///
/// let stamp = GaugePressure::of(9.0);
/// assert!(limits::vessel(stamp, GaugePressure::of(7.0)).accepted);
/// assert!(!limits::vessel(stamp, GaugePressure::of(7.3)).accepted);
/// ```
#[must_use]
pub fn vessel(rating: GaugePressure, predicted: GaugePressure) -> Verdict {
    let allowed = Limit {
        what: "pressure in a vessel",
        value: rating.bar() * BLOCK_SHARE.value(),
        unit: "bar gauge",
        source: "80 % of the rating stamped on the vessel",
        evidence: Evidence::LookedUp,
    };
    allowed.judge(predicted.bar())
}
