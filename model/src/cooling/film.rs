//! Heat passing between the outside of a container and the air.

use super::{Container, Surroundings};
use crate::constants::STEFAN_BOLTZMANN;
use crate::published::air_properties::air;
use crate::published::convection::{forced, free};
use crate::{Conductance, Error, Temperature};

/// Conductance between a container whose surface is this warm and the air.
///
/// Free convection (Churchill & Chu 1975) and forced convection (Churchill &
/// Bernstein 1977) blended as the cube root of the sum of cubes, plus
/// radiation to walls at air temperature.
///
/// # Errors
///
/// [`Error::OutOfRange`] never for quantities in range; the signature follows
/// the correlations.
///
/// ```
/// use model::{AirSpeed, Temperature, cooling::{self, Container, Surroundings}};
///
/// let fan = Surroundings { air: Temperature::of(2.0), speed: AirSpeed::of(1.0) };
/// let ua = cooling::conductance(&Container::STEEL_KEG_19_L, Temperature::of(20.0), fan)?;
/// assert!((ua.watts_per_kelvin() - 4.3).abs() < 0.2);
/// # Ok::<(), model::Error>(())
/// ```
pub fn conductance(
    container: &Container,
    surface: Temperature,
    surroundings: Surroundings,
) -> Result<Conductance, Error> {
    let film = Film::new(container, surroundings);
    Ok(Conductance::new(film.conductance(surface.celsius()))?)
}

/// A container in its surroundings, ready for many temperatures.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Film {
    surface: f64,
    height: f64,
    diameter: f64,
    emissivity: f64,
    air: f64,
    speed: f64,
}

impl Film {
    pub(crate) fn new(container: &Container, surroundings: Surroundings) -> Self {
        Self {
            surface: container.surface(),
            height: container.height.metres(),
            diameter: container.diameter.metres(),
            emissivity: container.emissivity.value(),
            air: surroundings.air.celsius(),
            speed: surroundings.speed.metres_per_second(),
        }
    }

    /// W/K at a surface temperature in °C.
    pub(crate) fn conductance(&self, celsius: f64) -> f64 {
        let mean = f64::midpoint(celsius, self.air) + 273.15;
        let Ok(film) = air(mean) else {
            return 0.0; // not reached: temperatures between -60 and 150 °C are in range
        };
        let natural = free(&film, (celsius - self.air).abs(), self.height);
        let convection = if self.speed > 0.0 {
            let blown = forced(&film, self.diameter, self.speed);
            (natural.powi(3) + blown.powi(3)).cbrt()
        } else {
            natural
        };
        (convection + self.radiation(celsius)) * self.surface
    }

    fn radiation(&self, celsius: f64) -> f64 {
        let (hot, cold) = (celsius + 273.15, self.air + 273.15);
        self.emissivity * STEFAN_BOLTZMANN * (hot + cold) * (hot * hot + cold * cold)
    }
}
