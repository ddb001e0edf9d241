//! The container that cools, and the air it stands in.

use crate::{AbsolutePressure, AirSpeed, Fraction, Length, Load, Mass, Temperature, Volume};

/// A filled upright cylinder.
///
/// ```
/// use model::{Volume, cooling::Container};
///
/// assert_eq!(Container::STEEL_KEG_19_L.load.liquid, Volume::of(18.5));
/// assert!((Container::STEEL_KEG_19_L.surface() - 0.463).abs() < 0.001);
/// ```
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Container {
    /// Contents and steel.
    pub load: Load,
    /// Outer diameter.
    pub diameter: Length,
    /// Outer height.
    pub height: Length,
    /// Emissivity of the outside: 0.2 for stainless steel, 0.9 for plastic or
    /// paint (from memory).
    pub emissivity: Fraction,
}

/// The air around a container.
///
/// ```
/// use model::{AirSpeed, Temperature, cooling::Surroundings};
///
/// let still = Surroundings::still(Temperature::of(2.0));
/// let fan = Surroundings { speed: AirSpeed::of(1.0), ..still };
/// assert!(fan.speed > still.speed);
/// ```
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Surroundings {
    /// Temperature of the air and of the walls seen.
    pub air: Temperature,
    /// Speed of the air past the container; 0 without a fan.
    pub speed: AirSpeed,
    /// Air pressure of the site: thin air carries less heat.
    pub atmosphere: AbsolutePressure,
}

impl Container {
    /// A 19 L steel keg with 18.5 L in it: 4.2 kg of steel, 0.22 m wide and
    /// 0.56 m high.
    pub const STEEL_KEG_19_L: Self = Self {
        load: Load {
            liquid: Volume::of(18.5),
            steel: Mass::of(4.2),
        },
        diameter: Length::of(0.22),
        height: Length::of(0.56),
        emissivity: Fraction::of(0.2),
    };

    /// Outer surface with both ends, m².
    ///
    /// See [`Container`] for an example.
    #[must_use]
    pub fn surface(&self) -> f64 {
        let diameter = self.diameter.metres();
        std::f64::consts::PI * diameter * (self.height.metres() + diameter / 2.0)
    }
}

impl Surroundings {
    /// Air at sea level that only the container itself moves.
    ///
    /// See [`Surroundings`] for an example.
    #[must_use]
    pub const fn still(air: Temperature) -> Self {
        Self {
            air,
            speed: AirSpeed::of(0.0),
            atmosphere: AbsolutePressure::STANDARD_ATMOSPHERE,
        }
    }

    /// The same air under the pressure of a site.
    ///
    /// ```
    /// use model::cooling::{Container, Surroundings, time_to};
    /// use model::{Elevation, Temperature, atmosphere};
    ///
    /// let sea_level = Surroundings::still(Temperature::of(2.0));
    /// let high = sea_level.at(atmosphere::pressure_at(Elevation::of(1600.0))?);
    /// let (from, to) = (Temperature::of(60.0), Temperature::of(4.0));
    /// let keg = Container::STEEL_KEG_19_L;
    /// assert!(time_to(&keg, high, from, to)? > time_to(&keg, sea_level, from, to)?);
    /// # Ok::<(), model::Error>(())
    /// ```
    #[must_use]
    pub const fn at(self, atmosphere: AbsolutePressure) -> Self {
        Self { atmosphere, ..self }
    }
}
