//! Air in a filled keg, shared between headspace and liquid.

use super::{Mixing, Purging};
use crate::air::{DRY_FRACTIONS, MOLAR_MASSES, solubilities};
use crate::constants::GAS_CONSTANT_CM3_BAR;
use crate::{AbsolutePressure, AirContent, Error, Temperature, Volume, water};

/// A keg just filled: liquid with some dissolved air under a headspace of air
/// at atmospheric pressure.
///
/// ```
/// use model::{AbsolutePressure, AirContent, Temperature, Volume, headspace::Fill};
///
/// let keg = Fill {
///     brim: Volume::of(19.5),
///     liquid: Volume::of(18.5),
///     air: AirContent::of(4.75),
///     temperature: Temperature::of(2.0),
///     atmosphere: AbsolutePressure::STANDARD_ATMOSPHERE,
/// };
/// assert!(keg.liquid < keg.brim);
/// ```
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Fill {
    /// What the keg holds to the brim.
    pub brim: Volume,
    /// Liquid in it.
    pub liquid: Volume,
    /// Air dissolved in the liquid when it was filled.
    pub air: AirContent,
    /// Temperature at which the keg comes to equilibrium, -5 to 150 °C.
    pub temperature: Temperature,
    /// Air pressure of the site.
    pub atmosphere: AbsolutePressure,
}

/// Partial pressure of air once a purged keg has come to equilibrium.
///
/// The dissolved air is taken to have the composition of air-saturated water.
/// With CO2 on top the air neither enters nor leaves.
///
/// # Errors
///
/// [`Error::Overfull`] for more liquid than the brim; [`Error::OutOfRange`]
/// for temperatures outside -5 to 150 °C, purges below the atmosphere or a
/// result above the range of a pressure.
///
/// ```
/// use model::{AbsolutePressure, AirContent, GaugePressure, Temperature, Volume};
/// use model::headspace::{self, Fill, Purging};
///
/// let keg = Fill {
///     brim: Volume::of(19.5),
///     liquid: Volume::of(18.5),
///     air: AirContent::of(4.75),
///     temperature: Temperature::of(2.0),
///     atmosphere: AbsolutePressure::STANDARD_ATMOSPHERE,
/// };
/// let unpurged = headspace::air_pressure(&keg, &Purging::NONE)?;
/// let purged = headspace::air_pressure(&keg, &Purging::prompt(3, GaugePressure::of(2.0)))?;
/// assert!(purged.bar() < 0.15 * unpurged.bar());
/// # Ok::<(), model::Error>(())
/// ```
pub fn air_pressure(fill: &Fill, purging: &Purging) -> Result<AbsolutePressure, Error> {
    let keg = Keg::new(fill)?;
    let kept = purging.left_by_one(fill.atmosphere)?;
    Ok(AbsolutePressure::new(keg.pressure(
        kept,
        purging.count,
        purging.mixing,
    ))?)
}

/// The amounts behind [`air_pressure`], worked out once per fill.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Keg {
    /// mg of each gas in the headspace and in the liquid.
    in_gas: [f64; 3],
    in_liquid: [f64; 3],
    /// mg of each gas that the headspace and the liquid hold per bar.
    gas_capacity: [f64; 3],
    liquid_capacity: [f64; 3],
}

impl Keg {
    pub(crate) fn new(fill: &Fill) -> Result<Self, Error> {
        let (brim, liquid) = (fill.brim.litres(), fill.liquid.litres());
        if liquid > brim {
            return Err(Error::Overfull {
                liquid_litres: liquid,
                brim_litres: brim,
            });
        }
        let dissolves = solubilities(fill.temperature)?;
        let dry = (fill.atmosphere.bar() - water::saturation_bar(fill.temperature)?).max(0.0);
        let weights: f64 = (0..3).map(|gas| dissolves[gas] * DRY_FRACTIONS[gas]).sum();
        let per_mole = 1e6 / (GAS_CONSTANT_CM3_BAR * fill.temperature.kelvin());
        let mut keg = Self {
            in_gas: [0.0; 3],
            in_liquid: [0.0; 3],
            gas_capacity: [0.0; 3],
            liquid_capacity: [0.0; 3],
        };
        for gas in 0..3 {
            keg.gas_capacity[gas] = (brim - liquid) * MOLAR_MASSES[gas] * per_mole;
            keg.liquid_capacity[gas] = liquid * dissolves[gas];
            keg.in_gas[gas] = keg.gas_capacity[gas] * dry * DRY_FRACTIONS[gas];
            let share = dissolves[gas] * DRY_FRACTIONS[gas] / weights;
            keg.in_liquid[gas] = liquid * fill.air.milligrams_per_litre() * share;
        }
        Ok(keg)
    }

    /// Partial pressure of air in bar after `count` purges that each leave the
    /// share `kept` of the headspace air.
    pub(crate) fn pressure(&self, kept: f64, count: u32, mixing: Mixing) -> f64 {
        (0..3)
            .map(|gas| self.pressure_of(gas, kept, count, mixing))
            .sum()
    }

    fn pressure_of(&self, gas: usize, kept: f64, count: u32, mixing: Mixing) -> f64 {
        let capacity = self.gas_capacity[gas] + self.liquid_capacity[gas];
        if capacity <= 0.0 {
            return 0.0; // a keg that holds nothing
        }
        let (first, later) = match mixing {
            Mixing::Prompt => (count, 0),
            Mixing::Reequilibrated => (count.min(1), count.saturating_sub(1)),
        };
        let left = self.in_gas[gas] * kept.powf(f64::from(first)) + self.in_liquid[gas];
        // Each later purge meets a headspace at equilibrium with the liquid.
        let each = (self.gas_capacity[gas] * kept + self.liquid_capacity[gas]) / capacity;
        left * each.powf(f64::from(later)) / capacity
    }
}
