//! Heat passing between the outside of a container and the air.

use super::{Container, Surroundings};
use crate::constants::STEFAN_BOLTZMANN;
use crate::published::air_properties::air;
use crate::published::convection::{forced_factor, forced_with, free_factor, free_with};
use crate::{Conductance, Error, Temperature};

/// Conductance between a container whose surface is this warm and the air.
///
/// Free convection (Churchill & Chu 1975) and forced convection (Churchill &
/// Bernstein 1977) blended as the cube root of the sum of cubes, plus
/// radiation to walls at air temperature. Both kinds of convection weaken with
/// the pressure of the air, by about a tenth at 1600 m.
///
/// # Errors
///
/// [`Error::OutOfRange`] never for quantities in range; the signature follows
/// the correlations.
///
/// ```
/// use model::{AirSpeed, Temperature, cooling::{self, Container, Surroundings}};
///
/// let fan = Surroundings {
///     speed: AirSpeed::of(1.0),
///     ..Surroundings::still(Temperature::of(2.0))
/// };
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
    bar: f64,
    free: Line,
    forced: Line,
}

/// A slowly varying factor, as a straight line over the film temperature.
///
/// The Prandtl number of air changes by 6 % from -30 to 110 °C and its factors
/// by less; a line through two temperatures follows them to 0.1 % from -20 to
/// 75 °C, 0.5 % anywhere, and spares four powers in each step of a curve.
#[derive(Clone, Copy, Debug)]
struct Line {
    start: f64,
    slope: f64,
}

impl Line {
    /// Film temperatures it goes through, K.
    const COLD: f64 = 270.0;
    const WARM: f64 = 320.0;

    fn through(factor: fn(f64) -> f64) -> Self {
        // Both temperatures are in range; air at about 0.71 would do otherwise.
        let at = |kelvin| factor(air(kelvin).map_or(0.71, |film| film.prandtl));
        let slope = (at(Self::WARM) - at(Self::COLD)) / (Self::WARM - Self::COLD);
        Self {
            start: at(Self::COLD) - slope * Self::COLD,
            slope,
        }
    }

    fn at(&self, kelvin: f64) -> f64 {
        self.start + self.slope * kelvin
    }
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
            bar: surroundings.atmosphere.bar(),
            free: Line::through(free_factor),
            forced: Line::through(forced_factor),
        }
    }

    /// W/K at a surface temperature in °C.
    pub(crate) fn conductance(&self, celsius: f64) -> f64 {
        let mean = f64::midpoint(celsius, self.air) + 273.15;
        let Ok(film) = air(mean) else {
            return 0.0; // not reached: temperatures between -60 and 150 °C are in range
        };
        let film = film.under(self.bar);
        let difference = (celsius - self.air).abs();
        let natural = free_with(&film, self.free.at(mean), difference, self.height);
        let convection = if self.speed > 0.0 {
            let blown = forced_with(&film, self.forced.at(mean), self.diameter, self.speed);
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

#[cfg(test)]
mod tests {
    use super::Line;
    use crate::published::air_properties::air;
    use crate::published::convection::{forced_factor, free_factor};

    #[test]
    fn a_line_follows_the_prandtl_factors() {
        for factor in [free_factor, forced_factor] {
            let line = Line::through(factor);
            let off = |kelvin| {
                let exact = factor(air(kelvin).unwrap().prandtl);
                (line.at(kelvin) / exact - 1.0).abs()
            };
            for kelvin in [253.0, 265.0, 290.0, 310.0, 348.0] {
                assert!(off(kelvin) < 1e-3, "{kelvin} K: {}", off(kelvin));
            }
            for kelvin in [213.0, 420.0] {
                assert!(off(kelvin) < 5e-3, "{kelvin} K: {}", off(kelvin));
            }
        }
    }
}
