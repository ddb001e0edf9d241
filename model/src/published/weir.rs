//! Air that water takes up as it falls: the deficit ratio of weirs.

use crate::OutOfRange;
use crate::quantity::within;

/// Deficit of oxygen above a weir over that below it, for water of a quality (1.8 clean, 0.65
/// grossly polluted), a form of weir (0.7 to 1.3; 1.0 for a free fall from a sharp crest), a fall
/// in m and a temperature in °C: r = 1 + 0.38 a b h (1 - 0.11 h)(1 + 0.046 T).
///
/// Butts & Evans 1983, Illinois State Water Survey, Circular 142; the equation as transcribed in
/// the source of a public river-quality model, the values of `a` and `b` from memory. Measured at
/// weirs of rivers: for a fall into a keg an estimate, marked so where it is used.
///
/// # Errors
///
/// [`OutOfRange`] outside 0.1 to 2 for quality and form, 0 to 4 m and 0 to 40 °C.
///
/// ```
/// use model::published::weir;
///
/// // 0.3 m of clean water at 10 °C close 22 % of the gap to saturation.
/// let ratio = weir::deficit_ratio([1.8, 1.0], 0.3, 10.0)?;
/// assert!((1.0 - 1.0 / ratio - 0.225).abs() < 0.001);
/// # Ok::<(), model::OutOfRange>(())
/// ```
pub fn deficit_ratio([a, b]: [f64; 2], fall: f64, celsius: f64) -> Result<f64, OutOfRange> {
    let a = within(a, "quality of the water at a weir", "", 0.1, 2.0)?;
    let b = within(b, "form of a weir", "", 0.1, 2.0)?;
    let h = within(fall, "fall of water", "m", 0.0, 4.0)?;
    let t = within(celsius, "temperature of falling water", "°C", 0.0, 40.0)?;
    Ok(1.0 + 0.38 * a * b * h * (1.0 - 0.11 * h) * (1.0 + 0.046 * t))
}
