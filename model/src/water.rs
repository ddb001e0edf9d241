//! Water and its steam: when it boils, what it weighs and how much heat it holds.

use crate::published::{if97, kell, saturated_steam, water_enthalpy};
use crate::{AbsolutePressure, Error, Temperature};

/// Pressure of water vapour over water at this temperature, -5 to 150 °C.
///
/// IAPWS-IF97 region 4, see [`if97`].
///
/// # Errors
///
/// [`Error::OutOfRange`] outside that range.
///
/// ```
/// use model::{Temperature, water};
///
/// let vapour = water::saturation_pressure(Temperature::of(90.0))?;
/// assert!((vapour.kilopascals() - 70.18).abs() < 0.05);
/// # Ok::<(), model::Error>(())
/// ```
pub fn saturation_pressure(at: Temperature) -> Result<AbsolutePressure, Error> {
    Ok(AbsolutePressure::new(saturation_bar(at)?)?)
}

/// Temperature at which water boils under this pressure, 0.0062 to 4.7 bar.
///
/// IAPWS-IF97 region 4, see [`if97`].
///
/// # Errors
///
/// [`Error::OutOfRange`] when it would boil below 0 or above 150 °C.
///
/// ```
/// use model::{Elevation, atmosphere, water};
///
/// let boils = water::boiling_point(atmosphere::pressure_at(Elevation::of(1600.0))?)?;
/// assert!((boils.celsius() - 94.65).abs() < 0.02);
/// # Ok::<(), model::Error>(())
/// ```
pub fn boiling_point(under: AbsolutePressure) -> Result<Temperature, Error> {
    let kelvin = if97::saturation_temperature(under.bar() / 10.0)?;
    Ok(Temperature::new(kelvin - 273.15)?)
}

/// Density of liquid water, kg/L, -5 to 150 °C. Kell 1975, see [`kell`].
///
/// # Errors
///
/// [`Error::OutOfRange`] outside that range.
///
/// ```
/// use model::{Temperature, water};
///
/// assert!((water::density(Temperature::of(4.0))? - 0.99997).abs() < 1e-5);
/// # Ok::<(), model::Error>(())
/// ```
pub fn density(at: Temperature) -> Result<f64, Error> {
    Ok(kell::density(at.celsius())? / 1000.0)
}

/// Heat held by a kilogram of liquid water, J/kg, -5 to 110 °C, on the same
/// zero as [`crate::ice::enthalpy`]. See [`water_enthalpy`].
///
/// # Errors
///
/// [`Error::OutOfRange`] outside that range.
///
/// ```
/// use model::{Temperature, water};
///
/// let drop = water::enthalpy(Temperature::of(92.0))? - water::enthalpy(Temperature::of(4.0))?;
/// assert!((drop - 368_562.0).abs() < 100.0);
/// # Ok::<(), model::Error>(())
/// ```
pub fn enthalpy(at: Temperature) -> Result<f64, Error> {
    Ok(water_enthalpy::liquid(at.celsius())? * 1000.0)
}

/// Heat that turns a kilogram of water into steam, J/kg, -5 to 150 °C.
///
/// Clausius and Clapeyron's equation with the vapour pressure of [`if97`], the
/// steam of [`saturated_steam`] and the water of [`kell`]: within 0.1 % of
/// IAPWS-95 (library test).
///
/// # Errors
///
/// [`Error::OutOfRange`] outside that range.
///
/// ```
/// use model::{Temperature, water};
///
/// // Steam tables: 2256.4 kJ/kg at 100 °C.
/// let heat = water::vaporisation_heat(Temperature::of(100.0))?;
/// assert!((heat - 2_256_400.0).abs() < 500.0);
/// # Ok::<(), model::Error>(())
/// ```
pub fn vaporisation_heat(at: Temperature) -> Result<f64, Error> {
    let kelvin = at.kelvin();
    let growth = 1.0 / saturated_steam::density(kelvin)? - 1.0 / kell::density(at.celsius())?;
    Ok(kelvin * growth * if97::saturation_slope(kelvin)? * 1e6)
}

/// Density of steam over boiling water, kg/L, -5 to 150 °C. See
/// [`saturated_steam`].
///
/// # Errors
///
/// [`Error::OutOfRange`] outside that range.
///
/// ```
/// use model::{Temperature, water};
///
/// assert!((water::steam_density(Temperature::of(100.0))? - 0.000598).abs() < 1e-6);
/// # Ok::<(), model::Error>(())
/// ```
pub fn steam_density(at: Temperature) -> Result<f64, Error> {
    Ok(saturated_steam::density(at.kelvin())? / 1000.0)
}

/// Heat held by a kilogram of saturated steam, J/kg, -5 to 110 °C, on the same
/// zero as [`enthalpy`].
///
/// # Errors
///
/// [`Error::OutOfRange`] outside that range.
///
/// ```
/// use model::{Temperature, water};
///
/// // Steam tables: 2675.6 kJ/kg at 100 °C.
/// let steam = water::steam_enthalpy(Temperature::of(100.0))?;
/// assert!((steam - 2_675_600.0).abs() < 600.0);
/// # Ok::<(), model::Error>(())
/// ```
pub fn steam_enthalpy(at: Temperature) -> Result<f64, Error> {
    Ok(enthalpy(at)? + vaporisation_heat(at)?)
}

pub(crate) fn saturation_bar(at: Temperature) -> Result<f64, Error> {
    Ok(if97::saturation_pressure(at.kelvin())? * 10.0)
}
