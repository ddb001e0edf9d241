//! A second opinion on CO2: Carroll, Slupsky & Mather 1991, J. Phys. Chem. Ref.
//! Data 20:1201, published for 0 to 160 °C (coefficients from memory).
//!
//! Not used by the model. It reads 2.3 % below Weiss 1974 at 0 °C and 2 % above
//! at 25 to 40 °C, which shows how far good correlations differ.

use crate::OutOfRange;
use crate::quantity::within;

/// Molality of CO2 in water under one atmosphere of fugacity, mol/kg, from the
/// Henry constant in MPa.
///
/// # Errors
///
/// [`OutOfRange`] outside 273.15 to 433.15 K.
///
/// ```
/// let k0 = model::published::carroll::solubility(298.15)?;
/// assert!((k0 / 0.03474709 - 1.0).abs() < 1e-3);
/// # Ok::<(), model::OutOfRange>(())
/// ```
pub fn solubility(kelvin: f64) -> Result<f64, OutOfRange> {
    let t = within(
        kelvin,
        "temperature for CO2 solubility",
        "K",
        273.15,
        433.15,
    )?;
    let ln_henry = -6.8346 + (1.2817e4 + (-3.7668e6 + 2.997e8 / t) / t) / t;
    let moles_water_per_kilogram = 1000.0 / crate::constants::WATER_MOLAR_MASS;
    let mole_fraction = 0.101_325 / ln_henry.exp();
    Ok(moles_water_per_kilogram * mole_fraction / (1.0 - mole_fraction))
}
