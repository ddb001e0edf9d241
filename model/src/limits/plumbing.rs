//! Connecting a carbonator to the water main.

use super::verdict::{Evidence, Limit, Rule, RuleVerdict, Verdict};
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

/// pH below which copper and brass must not touch food.
pub const COPPER_ACIDITY: Limit = Limit {
    what: "how far the drink is below pH 6 where it touches copper or brass",
    value: 0.0,
    unit: "pH",
    source: COPPER.source,
    evidence: COPPER.evidence,
};

/// pH of carbonated water, about (from memory).
pub const CARBONATED_PH: f64 = 3.5;

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
/// let soda = limits::soda_on_copper(Carbonation::of(7.9), Temperature::of(4.0))?;
/// assert!(!soda.accepted && soda.margin < -2.0);
/// assert!(limits::soda_on_copper(Carbonation::NONE, Temperature::of(4.0))?.accepted);
/// # Ok::<(), model::Error>(())
/// ```
pub fn soda_on_copper(content: Carbonation, at: Temperature) -> Result<Verdict, Error> {
    let ph = acidity::ph(content, at)?;
    Ok(COPPER_ACIDITY.judge(COPPER_LEAST_PH - ph))
}

/// What keeps a carbonator's water out of the main.
///
/// See [`backflow`] for an example.
#[derive(
    Clone, Copy, Debug, PartialEq, Eq, serde::Serialize, serde::Deserialize, utoipa::ToSchema,
)]
#[serde(rename_all = "snake_case")]
pub enum BackflowDevice {
    /// Nothing.
    None,
    /// A gap of air between outlet and vessel.
    AirGap,
    /// Two check valves with a vent between them.
    VentedDualCheck,
    /// A check valve without a vent.
    PlainCheck,
}

/// Whether a carbonator is connected as the Food Code asks: an air gap, or a
/// vented dual check behind a screen of 100 mesh, upstream of the carbonator
/// and downstream of any copper.
///
/// ```
/// use model::limits::{self, BackflowDevice};
///
/// let vented = BackflowDevice::VentedDualCheck;
/// assert!(limits::backflow(vented, true, true, false).accepted);
/// // Copper after the device would be dissolved by what flows back.
/// assert!(!limits::backflow(vented, true, true, true).accepted);
/// assert!(!limits::backflow(BackflowDevice::PlainCheck, true, true, false).accepted);
/// ```
#[must_use]
pub fn backflow(
    device: BackflowDevice,
    screened: bool,
    upstream_of_carbonator: bool,
    copper_after_it: bool,
) -> RuleVerdict {
    let kind = match device {
        BackflowDevice::AirGap => true,
        BackflowDevice::VentedDualCheck => screened,
        BackflowDevice::None | BackflowDevice::PlainCheck => false,
    };
    BACKFLOW.judge(kind && upstream_of_carbonator && !copper_after_it)
}

/// A part that water or drink touches.
///
/// See [`copper`] for an example.
#[derive(
    Clone, Copy, Debug, PartialEq, Eq, serde::Serialize, serde::Deserialize, utoipa::ToSchema,
)]
#[serde(rename_all = "snake_case")]
pub enum WettedMaterial {
    /// Copper.
    Copper,
    /// Brass or another alloy of copper.
    Brass,
    /// Stainless steel.
    StainlessSteel,
    /// Plastic made for food.
    Plastic,
}

/// Where a part is.
///
/// See [`copper`] for an example.
#[derive(
    Clone, Copy, Debug, PartialEq, Eq, serde::Serialize, serde::Deserialize, utoipa::ToSchema,
)]
#[serde(rename_all = "snake_case")]
pub enum WettedPlace {
    /// In the water main, before the backflow device.
    BeforeBackflowDevice,
    /// Between backflow device and carbonator.
    BeforeCarbonator,
    /// In the carbonator or after it.
    Drink,
}

/// Whether a part may be there: the rule, and the margin in pH where the drink
/// itself touches copper.
///
/// ```
/// use model::limits::{self, WettedMaterial, WettedPlace};
///
/// let (rule, margin) = limits::copper(WettedMaterial::Brass, WettedPlace::Drink, 3.5);
/// assert!(!rule.accepted);
/// assert!((margin.unwrap().margin + 2.5).abs() < 1e-9);
/// let (rule, _) = limits::copper(WettedMaterial::StainlessSteel, WettedPlace::Drink, 3.5);
/// assert!(rule.accepted);
/// ```
#[must_use]
pub fn copper(
    material: WettedMaterial,
    place: WettedPlace,
    ph: f64,
) -> (RuleVerdict, Option<Verdict>) {
    let cuprous = matches!(material, WettedMaterial::Copper | WettedMaterial::Brass);
    match place {
        _ if !cuprous => (COPPER.judge(true), None),
        WettedPlace::BeforeBackflowDevice => (COPPER.judge(true), None),
        WettedPlace::BeforeCarbonator => (COPPER.judge(false), None),
        WettedPlace::Drink => {
            let margin = COPPER_ACIDITY.judge(COPPER_LEAST_PH - ph);
            (COPPER.judge(margin.accepted), Some(margin))
        }
    }
}
