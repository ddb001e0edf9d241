//! Gas transfer at the surface of lakes in low wind, as k600: the coefficient of a gas whose
//! Schmidt number is 600, which is CO2 at 20 °C.
//!
//! Lake values. For the surface in a covered keg they are an estimate, marked so where they are
//! used: no wind at all, and no sun that stirs.

use crate::OutOfRange;
use crate::quantity::within;

/// k600 in cm/h at a wind in m/s, 10 m above a lake: 2.07 + 0.215 U^1.7.
///
/// Cole & Caraco 1998, Limnol. Oceanogr. 43:647; coefficients looked up in the source of the
/// package LakeMetabolizer 1.5.5 (`k.cole`).
///
/// # Errors
///
/// [`OutOfRange`] outside 0 to 15 m/s.
///
/// ```
/// assert!((model::published::still_surface::cole_caraco(0.0)? - 2.07).abs() < 1e-12);
/// # Ok::<(), model::OutOfRange>(())
/// ```
pub fn cole_caraco(wind: f64) -> Result<f64, OutOfRange> {
    let wind = within(wind, "wind over a lake", "m/s", 0.0, 15.0)?;
    Ok(2.07 + 0.215 * wind.powf(1.7))
}

/// k600 in cm/h below 3.7 m/s of wind, by the constant of their third fit.
///
/// Crusius & Wanninkhof 2003, Limnol. Oceanogr. 48:1010; the value looked up in the source of the
/// package LakeMetabolizer (`k.crusius`, method "constant").
pub const CRUSIUS_WANNINKHOF: f64 = 1.0;
