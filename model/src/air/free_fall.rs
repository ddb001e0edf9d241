//! Air that water takes up while it falls into a vessel.

use super::removal::saturated;
use crate::quantity::within;
use crate::{AbsolutePressure, AirContent, Error, Length, Temperature};

/// Quality of clean water in the formula.
const CLEAN: f64 = 1.8;

/// Warmest water the formula's temperature term is used for; hotter water is taken to be like it.
const WARMEST_C: f64 = 30.0;

/// Air in water that has fallen freely, with what it held before.
///
/// r = 1 + 0.38 a h (1 - 0.11 h)(1 + 0.046 T) is how many times smaller the distance to saturation
/// becomes (Butts & Evans 1983, Illinois State Water Survey, for oxygen at a weir, with a = 1.8 for
/// clean water; from memory). Measured at weirs of half a metre and more, used for a stream into a
/// keg: an estimate. Through a hose that reaches the bottom there is no fall.
///
/// # Errors
///
/// [`Error::OutOfRange`] for a fall of more than 3 m, and outside -5 to 150 °C.
///
/// ```
/// use model::{AbsolutePressure, AirContent, Length, Temperature, air};
///
/// let (boiled, cold) = (AirContent::of(7.6), Temperature::of(4.0));
/// let at = AbsolutePressure::STANDARD_ATMOSPHERE;
/// let filled = air::after_fall(boiled, Length::of(0.5), cold, at)?;
/// assert!((filled.milligrams_per_litre() - 15.1).abs() < 0.3);
/// # Ok::<(), model::Error>(())
/// ```
pub fn after_fall(
    before: AirContent,
    height: Length,
    at: Temperature,
    atmosphere: AbsolutePressure,
) -> Result<AirContent, Error> {
    let metres = within(height.metres(), "height of a fall", "m", 0.0, 3.0)?;
    let full = saturated(at, atmosphere)?.milligrams_per_litre();
    let t = at.celsius().clamp(0.0, WARMEST_C);
    let times = 1.0 + 0.38 * CLEAN * metres * (1.0 - 0.11 * metres) * (1.0 + 0.046 * t);
    let missing = (full - before.milligrams_per_litre()) / times;
    Ok(AirContent::new(full - missing)?)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn fallen(metres: f64, t: f64) -> f64 {
        let at = AbsolutePressure::STANDARD_ATMOSPHERE;
        let (height, t) = (Length::of(metres), Temperature::of(t));
        let fallen = after_fall(AirContent::of(7.6), height, t, at);
        fallen.unwrap().milligrams_per_litre()
    }

    /// By hand, with 34.9 mg/L at saturation at 4 °C (Benson & Krause, Hamme & Emerson): half a
    /// metre gives r = 1 + 0.38 × 1.8 × 0.5 × 0.945 × 1.184 = 1.383, so 34.9 - 27.3 / 1.383 = 15.2.
    #[test]
    fn half_a_metre_brings_as_much_as_boiling_left() {
        let found = fallen(0.5, 4.0);
        assert!((found - 15.2).abs() < 0.2, "{found}");
    }

    #[test]
    fn the_further_it_falls_the_more_it_takes_up_and_never_more_than_all() {
        assert!(fallen(0.2, 4.0) < fallen(0.5, 4.0));
        assert!(fallen(3.0, 4.0) < 34.9);
    }
}
