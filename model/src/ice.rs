//! Ice: the heat in it, how much is needed, and what it does to the water.

use crate::published::water_enthalpy;
use crate::{Error, Temperature};

/// Heat held by a kilogram of ice, J/kg, -40 to 0 °C, on the same zero as
/// [`crate::water::enthalpy`]. Fitted to IAPWS R10-06, see [`water_enthalpy`].
///
/// # Errors
///
/// [`Error::OutOfRange`] outside that range.
///
/// ```
/// use model::{Temperature, ice, water};
///
/// let fusion = water::enthalpy(Temperature::FREEZING)? - ice::enthalpy(Temperature::FREEZING)?;
/// assert!((fusion - 333_427.0).abs() < 100.0);
/// # Ok::<(), model::Error>(())
/// ```
pub fn enthalpy(at: Temperature) -> Result<f64, Error> {
    Ok(water_enthalpy::ice(at.celsius())? * 1000.0)
}
