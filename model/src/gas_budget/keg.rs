//! CO2 that a keg takes, from filling to the last glass.

use crate::{
    AbsolutePressure, Error, GaugePressure, Mass, SugarContent, Temperature, Volume,
    carbon_dioxide, carbonation,
};

/// A keg to be gassed and poured.
///
/// ```
/// use model::{AbsolutePressure, GaugePressure, SugarContent, Temperature, Volume};
/// use model::gas_budget::{self, GassedKeg};
///
/// let budget = gas_budget::keg(&GassedKeg {
///     brim: Volume::of(19.5),
///     liquid: Volume::of(18.5),
///     temperature: Temperature::of(2.0),
///     held: GaugePressure::of(2.0),
///     purge: GaugePressure::of(2.0),
///     purges: 3,
///     sugar: SugarContent::of(0.0),
///     atmosphere: AbsolutePressure::STANDARD_ATMOSPHERE,
/// })?;
/// assert!((budget.dissolved.grams() - 168.0).abs() < 1.0);
/// assert!((budget.total()?.grams() - 295.0).abs() < 2.0);
/// # Ok::<(), model::Error>(())
/// ```
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct GassedKeg {
    /// What the keg holds to the brim.
    pub brim: Volume,
    /// Liquid in it.
    pub liquid: Volume,
    /// Temperature of both, -1 to 40 °C.
    pub temperature: Temperature,
    /// Pressure the keg is carbonated and poured at.
    pub held: GaugePressure,
    /// Pressure before each vent of a purge.
    pub purge: GaugePressure,
    /// Number of purges.
    pub purges: u32,
    /// Sugar in the drink.
    pub sugar: SugarContent,
    /// Air pressure of the site.
    pub atmosphere: AbsolutePressure,
}

/// Where the CO2 of one keg goes.
///
/// See [`GassedKeg`] for an example.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Budget {
    /// Dissolved in the drink.
    pub dissolved: Mass,
    /// In the headspace once carbonated.
    pub headspace: Mass,
    /// Vented in purging.
    pub purges: Mass,
    /// Gas that takes the place of the poured drink.
    pub push: Mass,
}

impl Budget {
    /// Everything together, without leaks.
    ///
    /// # Errors
    ///
    /// [`Error::OutOfRange`] above the range of a [`Mass`].
    ///
    /// See [`GassedKeg`] for an example.
    pub fn total(&self) -> Result<Mass, Error> {
        let parts = [self.dissolved, self.headspace, self.purges, self.push];
        Ok(Mass::new(parts.iter().map(|part| part.kilograms()).sum())?)
    }
}

/// CO2 for one keg, were it free of air.
///
/// # Errors
///
/// [`Error::Overfull`] for more liquid than the brim; [`Error::OutOfRange`]
/// outside -1 to 40 °C or 20 bar.
///
/// See [`GassedKeg`] for an example.
pub fn keg(keg: &GassedKeg) -> Result<Budget, Error> {
    let headspace = headspace_litres(keg.brim, keg.liquid)?;
    let held = keg.held.absolute(keg.atmosphere)?;
    let content =
        carbonation::dissolved(keg.temperature, held, AbsolutePressure::VACUUM, keg.sugar)?;
    let gas = carbon_dioxide::density(keg.temperature, held)?;
    let high = carbon_dioxide::density(keg.temperature, keg.purge.absolute(keg.atmosphere)?)?;
    let vented = high - carbon_dioxide::density(keg.temperature, keg.atmosphere)?;
    let liquid = keg.liquid.litres();
    Ok(Budget {
        dissolved: Mass::from_grams(content.grams_per_litre() * liquid)?,
        headspace: Mass::from_grams(gas * headspace)?,
        purges: Mass::from_grams(vented.max(0.0) * headspace * f64::from(keg.purges))?,
        push: Mass::from_grams(gas * liquid)?,
    })
}

/// CO2 that fills an empty vessel, as when water is pushed out of a keg to
/// leave it full of gas.
///
/// # Errors
///
/// [`Error::OutOfRange`] outside -8 to 46 °C or 20 bar.
///
/// ```
/// use model::{AbsolutePressure, GaugePressure, Temperature, Volume, gas_budget};
///
/// let pushed = gas_budget::filling_with_gas(
///     Volume::of(19.5),
///     GaugePressure::of(0.5),
///     Temperature::of(20.0),
///     AbsolutePressure::STANDARD_ATMOSPHERE,
/// )?;
/// assert!((pushed.grams() - 53.5).abs() < 1.0);
/// # Ok::<(), model::Error>(())
/// ```
pub fn filling_with_gas(
    vessel: Volume,
    at: GaugePressure,
    temperature: Temperature,
    atmosphere: AbsolutePressure,
) -> Result<Mass, Error> {
    let gas = carbon_dioxide::density(temperature, at.absolute(atmosphere)?)?;
    Ok(Mass::from_grams(gas * vessel.litres())?)
}

/// Litres above the liquid.
pub(crate) fn headspace_litres(brim: Volume, liquid: Volume) -> Result<f64, Error> {
    let (brim_litres, liquid_litres) = (brim.litres(), liquid.litres());
    if liquid_litres > brim_litres {
        return Err(Error::Overfull {
            liquid_litres,
            brim_litres,
        });
    }
    Ok(brim_litres - liquid_litres)
}
