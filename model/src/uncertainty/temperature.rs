//! Temperature of water with ice in it, and of a keg in a fridge.

use super::budget::{Budget, Input, budget, plus_minus, times};
use crate::cooling::{self, Container, Surroundings};
use crate::ice::{self, Mix};
use crate::{Error, Mass, Temperature, TimeSpan, Volume};

const PRACTICE: &str = "common practice, no source";

/// Hot water that is chilled by ice in it.
///
/// ```
/// use model::ice::Mix;
/// use model::uncertainty::IcedWater;
/// use model::{AirContent, Mass, Temperature, Volume};
///
/// let pot = IcedWater(Mix {
///     hot: Volume::of(9.2),
///     temperature: Temperature::of(92.0),
///     air: AirContent::of(4.0),
///     ice: Mass::of(9.4),
///     ice_temperature: Temperature::of(-5.0),
///     ice_air: AirContent::of(15.0),
/// });
/// let budget = pot.budget()?;
/// assert!((budget.value - 4.0).abs() < 0.5 && budget.up() > 2.0);
/// # Ok::<(), model::Error>(())
/// ```
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct IcedWater(
    /// Water and ice as they are measured out.
    pub Mix,
);

impl IcedWater {
    /// How far off its temperature may be.
    ///
    /// # Errors
    ///
    /// [`Error::OutOfRange`] where a spread leaves the range of [`ice::mixed`].
    ///
    /// See [`IcedWater`] for an example.
    pub fn budget(&self) -> Result<Budget, Error> {
        let mix = self.0;
        let litres = mix.hot.litres();
        let inputs = [
            Input::new(
                "ice that is water already",
                (1.0, [1.0 / 1.05, 1.05]),
                "±5 %",
                "wet ice takes 1.05 to 1.15 of theory: engineering estimate",
            ),
            Input::new(
                "weight of the ice",
                plus_minus(mix.ice.kilograms(), 0.05),
                "±0.05 kg",
                "ice is told to 0.1 kg",
            ),
            Input::new(
                "hot water",
                plus_minus(litres, 0.02 * litres),
                "±2 %",
                "marks in a pot, and what has steamed off: common practice, no source",
            ),
            Input::new(
                "temperature of the hot water",
                plus_minus(mix.temperature.celsius(), 1.0),
                "±1 K",
                PRACTICE,
            ),
            Input::new(
                "temperature of the ice",
                (
                    mix.ice_temperature.celsius(),
                    [
                        (mix.ice_temperature.celsius() - 3.0).max(-40.0),
                        (mix.ice_temperature.celsius() + 3.0).min(0.0),
                    ],
                ),
                "±3 K, 0 °C at most",
                PRACTICE,
            ),
        ];
        let gives = ("temperature of iced water", "°C");
        budget(gives, inputs, |[dry, ice, hot, hot_c, ice_c]| {
            let mixed = ice::mixed(&Mix {
                hot: Volume::new(hot)?,
                temperature: Temperature::new(hot_c)?,
                ice: Mass::new(ice * dry)?,
                ice_temperature: Temperature::new(ice_c)?,
                ..mix
            })?;
            // What clings to wet ice is water of 0 °C.
            let (wet, rest) = (ice * (1.0 - dry.min(1.0)), hot + ice * dry);
            Ok(mixed.temperature.celsius() * rest / (rest + wet).max(f64::MIN_POSITIVE))
        })
    }
}

/// A filled keg that has stood in a cold store for a time.
///
/// ```
/// use model::cooling::{Container, Surroundings};
/// use model::uncertainty::CooledKeg;
/// use model::{AbsolutePressure, AirSpeed, Temperature, TimeSpan};
///
/// let keg = CooledKeg {
///     container: Container::STEEL_KEG_19_L,
///     store: Surroundings {
///         air: Temperature::of(2.0),
///         speed: AirSpeed::of(1.0),
///         atmosphere: AbsolutePressure::STANDARD_ATMOSPHERE,
///     },
///     filled: Temperature::of(20.0),
///     time: TimeSpan::from_hours(12.0)?,
/// };
/// assert!(keg.budget()?.up() > 1.0);
/// # Ok::<(), model::Error>(())
/// ```
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct CooledKeg {
    /// The keg and its contents.
    pub container: Container,
    /// The store.
    pub store: Surroundings,
    /// Temperature it was filled at.
    pub filled: Temperature,
    /// How long it has stood.
    pub time: TimeSpan,
}

impl CooledKeg {
    /// How far off its temperature may be.
    ///
    /// # Errors
    ///
    /// As [`cooling::after`].
    ///
    /// See [`CooledKeg`] for an example.
    pub fn budget(&self) -> Result<Budget, Error> {
        let inputs = [
            Input::new(
                "how fast a keg cools",
                times(1.5),
                "within a factor of 1.5",
                "air in a packed store: an estimate",
            ),
            Input::new(
                "air of the store",
                plus_minus(self.store.air.celsius(), 1.0),
                "±1 K",
                PRACTICE,
            ),
            Input::new(
                "temperature at filling",
                plus_minus(self.filled.celsius(), 2.0),
                "±2 K",
                PRACTICE,
            ),
        ];
        let gives = ("temperature of a keg in a store", "°C");
        budget(gives, inputs, |[speed, air, filled]| {
            let store = Surroundings {
                air: Temperature::new(air)?,
                ..self.store
            };
            let time = TimeSpan::from_hours(self.time.hours() * speed)?;
            let at = cooling::after(&self.container, store, Temperature::new(filled)?, time)?;
            Ok(at.temperature.celsius())
        })
    }
}
