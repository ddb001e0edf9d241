//! Saturation of water: IAPWS-IF97 region 4 (IAPWS R7-97(2012), equations 30 and 31).
//!
//! Coefficients from memory; the printed check values of tables 35 and 36 are
//! reproduced to all their digits (reference test).

use crate::OutOfRange;
use crate::quantity::within;

const N: [f64; 10] = [
    0.116_705_214_527_67e4,
    -0.724_213_167_032_06e6,
    -0.170_738_469_400_92e2,
    0.120_208_247_024_70e5,
    -0.323_255_503_223_33e7,
    0.149_151_086_135_30e2,
    -0.482_326_573_615_91e4,
    0.405_113_405_420_57e6,
    -0.238_555_575_678_49,
    0.650_175_348_447_98e3,
];

/// Vapour pressure in MPa at a temperature in kelvin.
///
/// Published for 273.15 to 647.096 K; accepted from 268.15 K, because
/// supercooled water down to -1 °C is needed and the equation stays smooth.
///
/// # Errors
///
/// [`OutOfRange`] outside 268.15 to 647.096 K.
///
/// ```
/// let mpa = model::published::if97::saturation_pressure(300.0)?;
/// assert!((mpa / 0.353658941e-2 - 1.0).abs() < 1e-8);
/// # Ok::<(), model::OutOfRange>(())
/// ```
pub fn saturation_pressure(kelvin: f64) -> Result<f64, OutOfRange> {
    let t = within(kelvin, "saturation temperature", "K", 268.15, 647.096)?;
    let theta = t + N[8] / (t - N[9]);
    let a = theta * theta + N[0] * theta + N[1];
    let b = N[2] * theta * theta + N[3] * theta + N[4];
    let c = N[5] * theta * theta + N[6] * theta + N[7];
    let root = (2.0 * c) / (-b + (b * b - 4.0 * a * c).sqrt());
    Ok(root * root * root * root)
}

/// Boiling temperature in kelvin at a pressure in MPa.
///
/// # Errors
///
/// [`OutOfRange`] outside 0.000 611 213 to 22.064 MPa (0 °C to the critical point).
///
/// ```
/// let kelvin = model::published::if97::saturation_temperature(0.1)?;
/// assert!((kelvin - 372.755919).abs() < 1e-6);
/// # Ok::<(), model::OutOfRange>(())
/// ```
pub fn saturation_temperature(mpa: f64) -> Result<f64, OutOfRange> {
    let p = within(mpa, "saturation pressure", "MPa", 0.000_611_213, 22.064)?;
    let beta = p.sqrt().sqrt();
    let e = beta * beta + N[2] * beta + N[5];
    let f = N[0] * beta * beta + N[3] * beta + N[6];
    let g = N[1] * beta * beta + N[4] * beta + N[7];
    let d = 2.0 * g / (-f - (f * f - 4.0 * e * g).sqrt());
    let sum = N[9] + d;
    Ok((sum - (sum * sum - 4.0 * (N[8] + N[9] * d)).sqrt()) / 2.0)
}

/// Slope of the vapour pressure over temperature, MPa/K: equation 29 of the
/// same release, differentiated.
///
/// # Errors
///
/// [`OutOfRange`] outside 268.15 to 647.096 K.
///
/// ```
/// use model::published::if97::{saturation_pressure, saturation_slope};
///
/// let rise = (saturation_pressure(373.2)? - saturation_pressure(373.1)?) / 0.1;
/// assert!((saturation_slope(373.15)? / rise - 1.0).abs() < 1e-6);
/// # Ok::<(), model::OutOfRange>(())
/// ```
pub fn saturation_slope(kelvin: f64) -> Result<f64, OutOfRange> {
    let root = saturation_pressure(kelvin)?.sqrt().sqrt();
    let theta = kelvin + N[8] / (kelvin - N[9]);
    let along = (2.0 * theta + N[0]) * root * root
        + (2.0 * N[2] * theta + N[3]) * root
        + 2.0 * N[5] * theta
        + N[6];
    let across = 2.0 * (theta * theta + N[0] * theta + N[1]) * root
        + N[2] * theta * theta
        + N[3] * theta
        + N[4];
    let stretch = 1.0 - N[8] / ((kelvin - N[9]) * (kelvin - N[9]));
    Ok(-4.0 * root * root * root * along / across * stretch)
}
