//! A drink over ice.

use crate::ice::{Mix, mixed};
use crate::load::COLD_DENSITY;
use crate::{AirContent, Carbonation, Error, Fraction, Mass, Temperature, Volume};

/// A drink that has cooled itself on ice.
///
/// See [`over_ice`] for an example.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Iced {
    /// Its temperature once drink and ice agree.
    pub temperature: Temperature,
    /// Ice that has melted into it.
    pub melted: Mass,
    /// Share of the drink that is meltwater by then.
    pub dilution: Fraction,
    /// CO2 in the diluted drink, had none escaped: the upper bound. Ice also
    /// gives bubbles places to form, which no physics here settles.
    pub content: Carbonation,
}

/// What ice does to a drink, before any heat comes in from glass or room.
///
/// # Errors
///
/// [`Error::OutOfRange`] for a drink outside 0 to 110 °C or ice outside -40
/// to 0 °C.
///
/// ```
/// use model::{Carbonation, Mass, Temperature, Volume, serving};
///
/// let glass = serving::over_ice(
///     Volume::of(0.2),
///     Temperature::of(6.0),
///     Carbonation::of(7.9),
///     Mass::of(0.15),
///     Temperature::of(0.0),
/// )?;
/// assert_eq!(glass.temperature, Temperature::FREEZING);
/// assert!((glass.melted.grams() - 15.0).abs() < 0.5);
/// assert!(glass.content < Carbonation::of(7.5));
/// # Ok::<(), model::Error>(())
/// ```
pub fn over_ice(
    volume: Volume,
    drink: Temperature,
    content: Carbonation,
    ice: Mass,
    ice_temperature: Temperature,
) -> Result<Iced, Error> {
    let none = AirContent::of(0.0);
    let mix = mixed(&Mix {
        hot: volume,
        temperature: drink,
        air: none,
        ice,
        ice_temperature,
        ice_air: none,
    })?;
    let melted = ice.kilograms() - mix.unmelted.kilograms();
    let liquid = volume.litres() * COLD_DENSITY;
    let share = if melted > 0.0 {
        melted / (liquid + melted)
    } else {
        0.0
    };
    Ok(Iced {
        temperature: mix.temperature,
        melted: Mass::new(melted)?,
        dilution: Fraction::new(share)?,
        content: Carbonation::new(content.grams_per_litre() * (1.0 - share))?,
    })
}
