//! Sugar solutions: density, and how sugar lowers the solubility of CO2.

use crate::OutOfRange;
use crate::quantity::within;

/// Molar mass of sucrose, g/mol.
const SUCROSE_MOLAR_MASS: f64 = 342.297;

/// Density of sucrose solution at 20 °C, kg/m³: a quadratic through handbook
/// values held from memory (1017.8, 1038.1 and 1059.2 at 5, 10 and 15 °Bx,
/// 998.2 at 0), checked against a printed conversion table to 0.05 %.
///
/// # Errors
///
/// [`OutOfRange`] outside 0 to 20 °Bx.
///
/// ```
/// assert!((model::published::sucrose::density(10.0)? / 1038.1 - 1.0).abs() < 5e-4);
/// # Ok::<(), model::OutOfRange>(())
/// ```
pub fn density(brix: f64) -> Result<f64, OutOfRange> {
    let b = within(brix, "sugar content", "°Bx", 0.0, 20.0)?;
    Ok(998.2 + b * (3.8483 + b * 0.0145))
}

/// Sucrose in mol per litre of solution at 20 °C.
///
/// # Errors
///
/// [`OutOfRange`] outside 0 to 20 °Bx.
///
/// ```
/// assert!((model::published::sucrose::molarity(10.0)? - 0.303).abs() < 0.001);
/// # Ok::<(), model::OutOfRange>(())
/// ```
pub fn molarity(brix: f64) -> Result<f64, OutOfRange> {
    Ok(brix / 100.0 * density(brix)? / SUCROSE_MOLAR_MASS)
}

/// CO2 a litre of sucrose solution takes up, over what a litre of water does:
/// 10^(-0.13 c) with c in mol/L.
///
/// Sechenov fit to Usher 1910, J. Chem. Soc. 97:66 (values from memory, up to
/// 0.5 mol/L or 16 °Bx; extrapolated above). Treat as good to 2 %.
///
/// # Errors
///
/// [`OutOfRange`] outside 0 to 20 °Bx.
///
/// ```
/// assert!((model::published::sucrose::co2_factor(10.0)? - 0.9132).abs() < 0.005);
/// # Ok::<(), model::OutOfRange>(())
/// ```
pub fn co2_factor(brix: f64) -> Result<f64, OutOfRange> {
    Ok((-0.13 * std::f64::consts::LN_10 * molarity(brix)?).exp())
}
