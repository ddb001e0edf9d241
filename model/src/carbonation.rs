//! How much CO2 a drink holds at a pressure, and the pressure a content needs.
//!
//! Henry's law with the solubility of Weiss 1974, corrected for the real gas
//! (fugacity) and for pressure on the liquid (Poynting). Checked at 0 to 20 °C
//! and 0 to 10 bar gauge; quote ±2.5 %, which covers the fit of Carroll et
//! al. 1991, 2.3 % below at 0 °C and 1.6 % above at 20 °C; the errors of the
//! gauge (±3 % per 0.1 bar) and thermometer (±4 % per K) come on top.

use crate::constants::{ATMOSPHERE_BAR, CO2_MOLAR_MASS, GAS_CONSTANT_CM3_BAR};
use crate::published::{kell, sucrose, weiss};
use crate::quantity::within;
use crate::{AbsolutePressure, Carbonation, Error, SugarContent, Temperature, water};

/// CO2 dissolved at equilibrium under a total pressure, part of which is air.
///
/// -1 to 40 °C, total pressure up to 20 bar. `air` is the partial pressure of
/// air in the headspace, see [`crate::headspace`]; `sugar` lowers what a litre
/// takes up (Usher 1910, ±2 %). Where water vapour and air make up the whole
/// pressure the content is zero.
///
/// # Errors
///
/// [`Error::OutOfRange`] outside those ranges.
///
/// ```
/// use model::{AbsolutePressure, GaugePressure, SugarContent, Temperature, carbonation};
///
/// let keg = GaugePressure::of(2.0).absolute(AbsolutePressure::STANDARD_ATMOSPHERE)?;
/// let content = carbonation::dissolved(
///     Temperature::of(2.0),
///     keg,
///     AbsolutePressure::VACUUM,
///     SugarContent::of(0.0),
/// )?;
/// assert!((content.grams_per_litre() - 9.10).abs() < 0.02);
/// # Ok::<(), model::Error>(())
/// ```
pub fn dissolved(
    at: Temperature,
    total: AbsolutePressure,
    air: AbsolutePressure,
    sugar: SugarContent,
) -> Result<Carbonation, Error> {
    let liquid = Liquid::new(at, sugar)?;
    let bar = within(
        total.bar(),
        "total pressure for CO2",
        "bar",
        0.0,
        MAX_TOTAL_BAR,
    )?;
    Ok(Carbonation::new(liquid.content(bar, air.bar()))?)
}

/// Total pressure at which a drink settles at this content.
///
/// The inverse of [`dissolved`]. For no CO2 at all it is the pressure of water
/// vapour and air.
///
/// # Errors
///
/// [`Error::OutOfRange`] outside -1 to 40 °C, or when more than 20 bar would
/// be needed.
///
/// ```
/// use model::{AbsolutePressure, Carbonation, SugarContent, Temperature, carbonation};
///
/// let needed = carbonation::pressure_for(
///     Carbonation::from_volumes(3.7)?,
///     Temperature::of(4.0),
///     AbsolutePressure::VACUUM,
///     SugarContent::of(10.0),
/// )?;
/// assert!((needed.bar() - 1.01325 - 1.84).abs() < 0.02);
/// # Ok::<(), model::Error>(())
/// ```
pub fn pressure_for(
    target: Carbonation,
    at: Temperature,
    air: AbsolutePressure,
    sugar: SugarContent,
) -> Result<AbsolutePressure, Error> {
    let liquid = Liquid::new(at, sugar)?;
    let bar = liquid.pressure(target.grams_per_litre(), air.bar());
    within(bar, "total pressure for CO2", "bar", 0.0, MAX_TOTAL_BAR)?;
    Ok(AbsolutePressure::new(bar)?)
}

/// Highest total pressure the equations are used at, bar.
pub(crate) const MAX_TOTAL_BAR: f64 = 20.0;

/// A drink at one temperature: what [`dissolved`] needs, worked out once.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Liquid {
    /// mol/(kg atm) of fugacity.
    solubility: f64,
    /// (B - v)/RT, 1/bar: fugacity and Poynting together.
    squeeze: f64,
    /// v/RT times one atmosphere.
    reference: f64,
    vapour_bar: f64,
    density: f64,
    sugar_factor: f64,
}

impl Liquid {
    pub(crate) fn new(at: Temperature, sugar: SugarContent) -> Result<Self, Error> {
        let kelvin = at.kelvin();
        let thermal = GAS_CONSTANT_CM3_BAR * kelvin;
        Ok(Self {
            solubility: weiss::solubility(kelvin)?,
            squeeze: (weiss::virial(kelvin)? - weiss::MOLAR_VOLUME_IN_WATER) / thermal,
            reference: weiss::MOLAR_VOLUME_IN_WATER * ATMOSPHERE_BAR / thermal,
            vapour_bar: water::saturation_bar(at)?,
            density: kell::density(at.celsius())? / 1000.0,
            sugar_factor: sucrose::co2_factor(sugar.brix())?,
        })
    }

    /// g/L under `total` bar with `air` bar of air.
    pub(crate) fn content(&self, total: f64, air: f64) -> f64 {
        let partial = (total - self.vapour_bar - air).max(0.0);
        let molality = self.solubility * partial / ATMOSPHERE_BAR
            * (self.squeeze * total + self.reference).exp();
        self.grams_per_litre(molality)
    }

    /// Total pressure, bar, that holds `content` g/L with `air` bar of air.
    pub(crate) fn pressure(&self, content: f64, air: f64) -> f64 {
        let needed = self.molality(content) * ATMOSPHERE_BAR / self.solubility;
        let inert = self.vapour_bar + air;
        // partial = needed · exp(-squeeze·total - reference): a contraction, as
        // |squeeze|·partial < 0.2; Newton on the logarithm converges in a few steps.
        let mut partial = needed;
        for _ in 0..50 {
            let target = needed * (-self.squeeze * (partial + inert) - self.reference).exp();
            let step = (target - partial) / (1.0 + self.squeeze * target);
            partial = (partial + step).clamp(0.0, 10.0 * MAX_TOTAL_BAR);
            if step.abs() <= 1e-14 * partial {
                break;
            }
        }
        partial + inert
    }

    fn grams_per_litre(&self, molality: f64) -> f64 {
        let swelling = molality * weiss::MOLAR_VOLUME_IN_WATER / 1000.0 * self.density;
        self.sugar_factor * molality * CO2_MOLAR_MASS * self.density / (1.0 + swelling)
    }

    fn molality(&self, grams_per_litre: f64) -> f64 {
        let moles = grams_per_litre / (self.sugar_factor * CO2_MOLAR_MASS);
        let swelling = moles * weiss::MOLAR_VOLUME_IN_WATER / 1000.0;
        moles / (self.density * (1.0 - swelling))
    }
}
