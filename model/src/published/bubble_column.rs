//! Gas bubbled through water: Heijnen & van 't Riet 1984, Chem. Eng. J. 28:B21
//! (from memory).

use crate::OutOfRange;
use crate::quantity::within;

/// kLa of oxygen in water at 20 °C, 1/s, in a column with bubbles of about
/// 6 mm, from the flow of gas over the cross-section in m/s.
///
/// Published for 0.001 to 0.3 m/s; accepted from 1e-5 m/s, as kegs need it.
/// The fine bubbles of a new stone do better, at first.
///
/// # Errors
///
/// [`OutOfRange`] outside 1e-5 to 0.3 m/s.
///
/// ```
/// let transfer = model::published::bubble_column::oxygen_transfer(0.001)?;
/// assert!((transfer - 0.00254).abs() < 1e-5);
/// # Ok::<(), model::OutOfRange>(())
/// ```
pub fn oxygen_transfer(metres_per_second: f64) -> Result<f64, OutOfRange> {
    let velocity = within(metres_per_second, "gas velocity", "m/s", 1e-5, 0.3)?;
    Ok(0.32 * velocity.powf(0.7))
}
