//! Connecting a carbonator to the water main.

use super::verdict::{Evidence, Limit, Rule, Verdict};
use crate::{Carbonation, Error, Temperature, acidity};

/// Carbonated water must not get back into the main.
pub const BACKFLOW: Rule = Rule {
    section: "5-203.15",
    says: "an air gap, or a dual check valve with an intermediate vent behind a screen of 100 \
           mesh, upstream of the carbonator and downstream of any copper",
    source: "FDA Food Code, read in 2VAC5-585-2270 and 25-D DCMR 714",
    evidence: Evidence::LookedUp,
};

/// Carbonated water (pH about 3.5) dissolves copper.
pub const COPPER: Rule = Rule {
    section: "4-101.14",
    says: "no copper or brass in contact with food below pH 6, nor between the backflow device \
           and the carbonator",
    source: "FDA Food Code, read in Okla. 310:257-7-4 and Wis. ATCP 75",
    evidence: Evidence::LookedUp,
};

/// Food more acid than this must not touch copper.
pub const COPPER_LEAST_PH: f64 = 6.0;

/// Whether water with this much CO2 may touch copper or brass: how far its pH
/// is below 6, see [`COPPER`]. The margin is negative where it may not.
///
/// # Errors
///
/// [`Error::OutOfRange`] outside -1 to 40 °C.
///
/// ```
/// use model::{Carbonation, Temperature, limits};
///
/// let soda = limits::copper(Carbonation::of(7.9), Temperature::of(4.0))?;
/// assert!(!soda.accepted && soda.margin < -2.0);
/// assert!(limits::copper(Carbonation::NONE, Temperature::of(4.0))?.accepted);
/// # Ok::<(), model::Error>(())
/// ```
pub fn copper(content: Carbonation, at: Temperature) -> Result<Verdict, Error> {
    let limit = Limit {
        what: "acidity of food on copper below pH 6",
        value: 0.0,
        unit: "pH",
        source: COPPER.source,
        evidence: COPPER.evidence,
    };
    Ok(limit.judge(COPPER_LEAST_PH - acidity::ph(content, at)?))
}
