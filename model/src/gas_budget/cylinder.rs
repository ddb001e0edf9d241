//! A cylinder of liquid CO2.

use crate::published::span_wagner;
use crate::quantity::within;
use crate::{Conductance, Error, Mass, MassFlow, Temperature};

/// A cylinder on the scales. Its gauge says nothing about its contents while
/// any liquid is left; its weight does.
///
/// ```
/// use model::{Mass, gas_budget::Cylinder};
///
/// let cylinder = Cylinder { tare: Mass::of(11.3), gross: Mass::of(20.37) };
/// assert!((cylinder.contents()?.kilograms() - 9.07).abs() < 1e-9);
/// assert_eq!(cylinder.kegs(Mass::from_grams(295.0)?)?, 30);
/// # Ok::<(), model::Error>(())
/// ```
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Cylinder {
    /// Weight of the empty cylinder, stamped on it.
    pub tare: Mass,
    /// Weight now.
    pub gross: Mass,
}

impl Cylinder {
    /// CO2 left.
    ///
    /// # Errors
    ///
    /// [`Error::OutOfRange`] when it weighs less than its tare.
    ///
    /// See [`Cylinder`] for an example.
    pub fn contents(&self) -> Result<Mass, Error> {
        Ok(Mass::new(self.gross.kilograms() - self.tare.kilograms())?)
    }

    /// Whole kegs it still carbonates and pours, without leaks.
    ///
    /// The last few per cent come out as gas below the pressure of the liquid;
    /// they are counted, as a regulator passes them down to its own setting.
    ///
    /// # Errors
    ///
    /// [`Error::OutOfRange`] when it weighs less than its tare, or for kegs
    /// that take less than a tenth of a gram.
    ///
    /// See [`Cylinder`] for an example.
    pub fn kegs(&self, per_keg: Mass) -> Result<u32, Error> {
        let each = within(per_keg.grams(), "CO2 per keg", "g", 0.1, 1e9)?;
        // A whole number of kegs up to a hair's breadth, far below u32::MAX.
        let kegs = (self.contents()?.grams() / each + 1e-9).floor();
        Ok(kegs.min(f64::from(u32::MAX)) as u32)
    }
}

/// Heat that evaporates a kilogram of liquid CO2, J/kg, -50 to 30 °C.
///
/// Clausius and Clapeyron's equation with the vapour pressure and the two
/// densities of Span & Wagner 1996, see [`span_wagner`]: within 0.1 % of their
/// equation of state.
///
/// # Errors
///
/// [`Error::OutOfRange`] outside that range.
///
/// ```
/// use model::{Temperature, gas_budget};
///
/// let heat = gas_budget::latent_heat(Temperature::of(0.0))?;
/// assert!((heat - 230_900.0).abs() < 100.0);
/// # Ok::<(), model::Error>(())
/// ```
pub fn latent_heat(at: Temperature) -> Result<f64, Error> {
    within(at.celsius(), "temperature of liquid CO2", "°C", -50.0, 30.0)?;
    let kelvin = at.kelvin();
    let growth =
        1.0 / span_wagner::vapour_density(kelvin)? - 1.0 / span_wagner::liquid_density(kelvin)?;
    Ok(kelvin * growth * span_wagner::vapour_pressure_slope(kelvin)? * 1e5)
}

/// Gas that can be drawn for hours without the cylinder falling below
/// `coldest`: what the heat from the room evaporates.
///
/// The conductance comes from [`crate::cooling::conductance`] for the wall wet
/// with liquid, or from experience; no published value was found. Short draws
/// may be faster, as the liquid and the steel give heat too.
///
/// # Errors
///
/// [`Error::OutOfRange`] for `coldest` outside -50 to 30 °C.
///
/// ```
/// use model::{Conductance, Temperature, gas_budget};
///
/// let flow = gas_budget::draw_off_limit(
///     Conductance::of(1.5),
///     Temperature::of(20.0),
///     Temperature::of(0.0),
/// )?;
/// assert!((flow.kilograms_per_hour() - 0.47).abs() < 0.01);
/// # Ok::<(), model::Error>(())
/// ```
pub fn draw_off_limit(
    conductance: Conductance,
    room: Temperature,
    coldest: Temperature,
) -> Result<MassFlow, Error> {
    let watts = conductance.watts_per_kelvin() * (room - coldest).kelvins().max(0.0);
    Ok(MassFlow::new(watts / latent_heat(coldest)? * 3600.0)?)
}
