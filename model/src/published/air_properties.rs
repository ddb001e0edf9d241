//! Properties of dry air near room temperature.

use crate::OutOfRange;
use crate::constants::ATMOSPHERE_BAR;
use crate::quantity::within;

/// Molar mass of dry air over the gas constant, kg K/J.
const INVERSE_SPECIFIC_GAS_CONSTANT: f64 = 1.0 / 287.05;
/// Heat capacity of air, J/(kg K), from memory.
const HEAT_CAPACITY: f64 = 1006.0;

/// What convection correlations need to know about air.
///
/// See [`air`] for an example.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Air {
    /// Thermal conductivity, W/(m K).
    pub conductivity: f64,
    /// Kinematic viscosity, m²/s.
    pub kinematic_viscosity: f64,
    /// Prandtl number.
    pub prandtl: f64,
    /// Mean (film) temperature, K.
    pub kelvin: f64,
}

impl Air {
    /// The same air under another pressure in bar: thinner air has the larger
    /// kinematic viscosity. Conductivity and Prandtl number do not depend on
    /// the pressure as long as the gas is ideal.
    ///
    /// ```
    /// let sea_level = model::published::air_properties::air(300.0)?;
    /// let half = sea_level.under(0.506_625);
    /// assert!((half.kinematic_viscosity / sea_level.kinematic_viscosity - 2.0).abs() < 1e-9);
    /// # Ok::<(), model::OutOfRange>(())
    /// ```
    #[must_use]
    pub fn under(self, bar: f64) -> Self {
        Self {
            kinematic_viscosity: self.kinematic_viscosity * ATMOSPHERE_BAR / bar.max(1e-6),
            ..self
        }
    }
}

/// Properties of air at one atmosphere and a film temperature in kelvin.
///
/// Sutherland's form for viscosity and conductivity, fitted for this crate to
/// Lemmon & Jacobsen 2004, Int. J. Thermophys. 25:21, from -60 to 150 °C: within
/// 0.2 and 0.4 % of it. Ideal-gas density.
///
/// # Errors
///
/// [`OutOfRange`] outside 200 to 450 K.
///
/// ```
/// let air = model::published::air_properties::air(300.0)?;
/// assert!((air.conductivity / 0.0263 - 1.0).abs() < 0.01);
/// assert!((air.prandtl - 0.707).abs() < 0.01);
/// # Ok::<(), model::OutOfRange>(())
/// ```
pub fn air(kelvin: f64) -> Result<Air, OutOfRange> {
    let t = within(kelvin, "film temperature", "K", 200.0, 450.0)?;
    let ratio = t / 273.15;
    let power = ratio * ratio.sqrt();
    let viscosity = 1.7230e-5 * power * (273.15 + 116.65) / (t + 116.65);
    let conductivity = 0.024_389 * power * (273.15 + 158.51) / (t + 158.51);
    let density = ATMOSPHERE_BAR * 1e5 * INVERSE_SPECIFIC_GAS_CONSTANT / t;
    Ok(Air {
        conductivity,
        kinematic_viscosity: viscosity / density,
        prandtl: HEAT_CAPACITY * viscosity / conductivity,
        kelvin: t,
    })
}
