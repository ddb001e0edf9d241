//! Steam and warm air leaving an open pot.

use crate::constants::{ATMOSPHERE_BAR, GAS_CONSTANT, GRAVITY, WATER_MOLAR_MASS};
use crate::published::air_properties::air;
use crate::published::if97;
use crate::{AbsolutePressure, Area, Error, Fraction, MassFlow, Power, Temperature, water};

/// The open surface of a pot, and the room above it.
///
/// ```
/// use model::{AbsolutePressure, Area, Fraction, Temperature, heating::OpenSurface};
///
/// let pot = OpenSurface {
///     area: Area::of(0.1),
///     room: Temperature::of(20.0),
///     humidity: Fraction::of(0.5),
///     atmosphere: AbsolutePressure::STANDARD_ATMOSPHERE,
/// };
/// assert!(pot.area > Area::of(0.0));
/// ```
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct OpenSurface {
    /// Surface of the water.
    pub area: Area,
    /// Temperature of the room, -4 to 60 °C.
    pub room: Temperature,
    /// Relative humidity of the room.
    pub humidity: Fraction,
    /// Air pressure of the site.
    pub atmosphere: AbsolutePressure,
}

/// What an open pot loses through its surface.
///
/// See [`steam`] for an example.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Steam {
    /// Water that evaporates.
    pub water: MassFlow,
    /// Heat that goes with it and by convection.
    pub heat: Power,
}

/// Steam and heat leaving an open pot that does not boil.
///
/// Free convection over a plate facing up, Sh = 0.15 Ra^(1/3) (Lloyd & Moran
/// 1974, from memory), driven by warm and moist air, with the heat–mass
/// analogy. The vapour blown out at the surface both thickens the layer of air
/// and helps the transfer; neither is counted, which agrees with engineering
/// tables (about 11 kW/m² at 90 °C, from memory). Good to a factor 2.
///
/// # Errors
///
/// [`Error::OutOfRange`] for water outside 0 to 110 °C or a room outside -4
/// to 60 °C.
///
/// ```
/// use model::{AbsolutePressure, Area, Fraction, Temperature};
/// use model::heating::{self, OpenSurface};
///
/// let pot = OpenSurface {
///     area: Area::of(0.1),
///     room: Temperature::of(20.0),
///     humidity: Fraction::of(0.5),
///     atmosphere: AbsolutePressure::STANDARD_ATMOSPHERE,
/// };
/// let warm = heating::steam(&pot, Temperature::of(60.0))?;
/// let hot = heating::steam(&pot, Temperature::of(90.0))?;
/// assert!(hot.water > warm.water && hot.heat > warm.heat);
/// # Ok::<(), model::Error>(())
/// ```
pub fn steam(surface: &OpenSurface, at: Temperature) -> Result<Steam, Error> {
    crate::load::liquid_celsius(at.celsius())?;
    crate::quantity::within(surface.room.celsius(), "room temperature", "°C", -4.0, 60.0)?;
    let losses = Losses::at(surface, at.celsius())?;
    Ok(Steam {
        water: MassFlow::new(losses.kilograms_per_second * 3600.0)?,
        heat: Power::new(losses.watts)?,
    })
}

/// The losses in SI units.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Losses {
    pub(crate) kilograms_per_second: f64,
    pub(crate) watts: f64,
}

impl Losses {
    const NONE: Self = Self {
        kilograms_per_second: 0.0,
        watts: 0.0,
    };

    pub(crate) fn at(surface: &OpenSurface, celsius: f64) -> Result<Self, Error> {
        let (hot, cold) = (celsius + 273.15, surface.room.kelvin());
        let total = surface.atmosphere.bar();
        let room = if97::saturation_pressure(cold)? * 10.0 * surface.humidity.value();
        let above = (if97::saturation_pressure(hot)? * 10.0).min(total);
        if total <= room {
            return Ok(Self::NONE); // no air to speak of: the formula does not apply
        }
        // Virtual temperatures: moist air is light (Mw/Mair = 0.622).
        let light = |kelvin: f64, vapour: f64| kelvin / (1.0 - 0.378 * vapour / total);
        let lift = (light(hot, above) - light(cold, room)) / light(cold, room);
        if lift <= 0.0 {
            return Ok(Self::NONE);
        }
        let film = air(f64::midpoint(hot, cold))?.under(total);
        // Vapour in air, from memory; the thinner the air, the faster.
        let diffusivity = 2.5e-5 * (film.kelvin / 298.15).powf(1.8) * ATMOSPHERE_BAR / total;
        let viscosity = film.kinematic_viscosity;
        let plume = 0.15 * (GRAVITY * lift / (viscosity * diffusivity)).cbrt();
        let drive = (above - room).max(0.0) * 1e5; // Pa
        let moles = plume * diffusivity * drive / (GAS_CONSTANT * film.kelvin);
        let area = surface.area.square_metres();
        let kilograms_per_second = (moles * WATER_MOLAR_MASS / 1000.0 * area).max(0.0);
        let convection = (plume * film.conductivity * (hot - cold) * area).max(0.0);
        let vaporisation = water::vaporisation_heat(Temperature::new(celsius)?)?;
        Ok(Self {
            kilograms_per_second,
            watts: kilograms_per_second * vaporisation + convection,
        })
    }
}
