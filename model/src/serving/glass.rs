//! A cold drink in a warm glass.

use crate::load::{COLD_DENSITY, liquid_celsius};
use crate::{
    AbsolutePressure, Carbonation, Error, Fraction, Mass, SugarContent, Temperature, Volume,
    carbonation,
};

/// Heat capacity of glass, J/(kg K), from memory.
const GLASS_HEAT_CAPACITY: f64 = 800.0;
/// Heat capacity of cold water between 0 and 40 °C, J/(kg K).
const WATER_HEAT_CAPACITY: f64 = 4190.0;

/// The glass a drink is poured into.
///
/// ```
/// use model::{Mass, Temperature, serving::Glass};
///
/// let tumbler = Glass { mass: Mass::of(0.35), temperature: Temperature::of(22.0) };
/// assert!(tumbler.mass > Mass::of(0.0));
/// ```
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Glass {
    /// Its mass.
    pub mass: Mass,
    /// Its temperature.
    pub temperature: Temperature,
}

/// A drink once drink and glass have the same temperature.
///
/// See [`poured`] for an example.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Poured {
    /// That temperature.
    pub temperature: Temperature,
    /// CO2 the drink keeps however long it stands, were the air above it pure
    /// CO2: the equilibrium at the pressure of the site.
    pub stable: Carbonation,
    /// Share of its CO2 that is more than that, free to leave as bubbles. How
    /// much of it leaves in the pour depends on foam, nozzle and glass: no
    /// physics here settles it.
    pub at_risk: Fraction,
    /// CO2 that it would keep in a glass as cold as itself and does not in this one: what a warm
    /// glass costs at the least. A colder glass costs nothing.
    pub cost: Carbonation,
}

/// What becomes of a drink in a glass, without ice and without heat from the
/// hand or the room.
///
/// # Errors
///
/// [`Error::OutOfRange`] for a mix outside -1 to 40 °C.
///
/// ```
/// use model::{AbsolutePressure, Carbonation, Mass, SugarContent, Temperature, Volume};
/// use model::serving::{self, Glass};
///
/// let poured = serving::poured(
///     Volume::of(0.25),
///     Temperature::of(4.0),
///     Carbonation::of(7.9),
///     SugarContent::of(0.0),
///     Glass { mass: Mass::of(0.35), temperature: Temperature::of(22.0) },
///     AbsolutePressure::STANDARD_ATMOSPHERE,
/// )?;
/// assert!((poured.temperature.celsius() - 7.8).abs() < 0.1);
/// assert!(poured.at_risk.value() > 0.6);
/// assert!((poured.cost.grams_per_litre() - 0.35).abs() < 0.05);
/// # Ok::<(), model::Error>(())
/// ```
pub fn poured(
    volume: Volume,
    drink: Temperature,
    content: Carbonation,
    sugar: SugarContent,
    glass: Glass,
    atmosphere: AbsolutePressure,
) -> Result<Poured, Error> {
    liquid_celsius(drink.celsius())?;
    let temperature = mixed(volume, drink, glass)?;
    let stable = carbonation::dissolved(temperature, atmosphere, AbsolutePressure::VACUUM, sugar)?;
    let cold = carbonation::dissolved(drink, atmosphere, AbsolutePressure::VACUUM, sugar)?;
    let cost = cold.grams_per_litre() - stable.grams_per_litre();
    let (now, kept) = (content.grams_per_litre(), stable.grams_per_litre());
    let at_risk = if now > kept { (now - kept) / now } else { 0.0 };
    Ok(Poured {
        temperature,
        stable,
        at_risk: Fraction::new(at_risk)?,
        cost: Carbonation::new(cost.max(0.0))?,
    })
}

/// Common temperature of drink and glass; that of the drink if there is neither.
fn mixed(volume: Volume, drink: Temperature, glass: Glass) -> Result<Temperature, Error> {
    let liquid = volume.litres() * COLD_DENSITY * WATER_HEAT_CAPACITY;
    let solid = glass.mass.kilograms() * GLASS_HEAT_CAPACITY;
    if liquid + solid <= 0.0 {
        return Ok(drink);
    }
    let share = solid / (liquid + solid);
    let warming = (glass.temperature - drink).kelvins() * share;
    Ok(Temperature::new(drink.celsius() + warming)?)
}
