//! A keg carbonated cold, sealed, and left to warm.

use super::verdict::Verdict;
use super::vessel::vessel;
use crate::carbonation::{Liquid, MAX_TOTAL_BAR};
use crate::gas_budget::headspace_litres;
use crate::{
    AbsolutePressure, Error, GaugePressure, SugarContent, Temperature, Volume, carbon_dioxide,
    numeric, water,
};

/// A keg at equilibrium with its gas when it was sealed.
///
/// ```
/// use model::{AbsolutePressure, GaugePressure, SugarContent, Temperature, Volume};
/// use model::limits::{self, SealedKeg};
///
/// let keg = SealedKeg {
///     brim: Volume::of(19.5),
///     liquid: Volume::of(18.5),
///     temperature: Temperature::of(2.0),
///     held: GaugePressure::of(3.0),
///     sugar: SugarContent::of(0.0),
///     atmosphere: AbsolutePressure::STANDARD_ATMOSPHERE,
/// };
/// let warm = limits::warm_pressure(&keg, Temperature::of(30.0))?;
/// assert!((warm.bar() - 8.5).abs() < 0.1);
/// assert!(!limits::vessel(GaugePressure::of(9.0), warm).accepted);
/// # Ok::<(), model::Error>(())
/// ```
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SealedKeg {
    /// What the keg holds to the brim.
    pub brim: Volume,
    /// Liquid in it, at the temperature it was carbonated at.
    pub liquid: Volume,
    /// Temperature it was carbonated at.
    pub temperature: Temperature,
    /// Pressure it was held at.
    pub held: GaugePressure,
    /// Sugar in the drink.
    pub sugar: SugarContent,
    /// Air pressure of the site.
    pub atmosphere: AbsolutePressure,
}

/// Pressure a sealed keg reaches at another temperature.
///
/// The CO2 of keg and headspace stays the same; the liquid swells as water
/// does. Without a headspace there is no answer: such a keg bursts.
///
/// # Errors
///
/// [`Error::OutOfRange`] outside -1 to 40 °C or above 20 bar;
/// [`Error::Overfull`] when the swollen liquid fills the keg.
///
/// See [`SealedKeg`] for an example.
pub fn warm_pressure(keg: &SealedKeg, at: Temperature) -> Result<GaugePressure, Error> {
    let held = keg.held.absolute(keg.atmosphere)?.bar();
    crate::quantity::within(held, "total pressure for CO2", "bar", 0.0, MAX_TOTAL_BAR)?;
    headspace_litres(keg.brim, keg.liquid)?;
    let cold = Contents::new(keg, keg.temperature)?;
    let warm = Contents::new(keg, at)?;
    let grams = cold.grams(held)?;
    if warm.grams(MAX_TOTAL_BAR)? < grams {
        // More than the equations reach; say so with the highest they can answer.
        return Err(Error::NotPossible {
            what: "CO2 in a warm sealed keg, g",
            wanted: grams,
            lowest: 0.0,
            highest: warm.grams(MAX_TOTAL_BAR)?,
        });
    }
    let missing = |bar: f64| Ok::<f64, Error>(warm.grams(bar)? - grams);
    let bar = numeric::crossing(missing, 0.0, MAX_TOTAL_BAR)?;
    Ok(AbsolutePressure::new(bar)?.gauge(keg.atmosphere)?)
}

/// Whether a sealed keg may be left at another temperature: its pressure there
/// against 80 % of the rating stamped on it.
///
/// # Errors
///
/// As [`warm_pressure`]; a keg beyond its equations is beyond any keg's rating.
///
/// ```
/// use model::limits::{self, SealedKeg};
/// use model::{AbsolutePressure, GaugePressure, SugarContent, Temperature, Volume};
///
/// let keg = SealedKeg {
///     brim: Volume::of(19.5),
///     liquid: Volume::of(18.5),
///     temperature: Temperature::of(2.0),
///     held: GaugePressure::of(3.0),
///     sugar: SugarContent::of(0.0),
///     atmosphere: AbsolutePressure::STANDARD_ATMOSPHERE,
/// };
/// let stamp = GaugePressure::of(9.0);
/// assert!(limits::warm_storage(&keg, Temperature::of(20.0), stamp)?.accepted);
/// assert!(!limits::warm_storage(&keg, Temperature::of(30.0), stamp)?.accepted);
/// # Ok::<(), model::Error>(())
/// ```
pub fn warm_storage(
    keg: &SealedKeg,
    at: Temperature,
    rating: GaugePressure,
) -> Result<Verdict, Error> {
    Ok(vessel(rating, warm_pressure(keg, at)?))
}

/// A keg at one temperature.
struct Contents {
    liquid: Liquid,
    litres: f64,
    headspace: f64,
    vapour: f64,
    temperature: Temperature,
}

impl Contents {
    fn new(keg: &SealedKeg, at: Temperature) -> Result<Self, Error> {
        let swelling = water::density(keg.temperature)? / water::density(at)?;
        let litres = keg.liquid.litres() * swelling;
        let headspace = headspace_litres(keg.brim, Volume::new(litres)?)?;
        if headspace <= 0.0 {
            return Err(Error::Overfull {
                liquid_litres: litres,
                brim_litres: keg.brim.litres(),
            });
        }
        Ok(Self {
            liquid: Liquid::new(at, keg.sugar)?,
            litres,
            headspace,
            vapour: water::saturation_bar(at)?,
            temperature: at,
        })
    }

    /// Grams of CO2 in liquid and headspace at a total pressure.
    fn grams(&self, bar: f64) -> Result<f64, Error> {
        let gas = AbsolutePressure::new((bar - self.vapour).max(0.0))?;
        let density = carbon_dioxide::density(self.temperature, gas)?;
        Ok(self.liquid.content(bar, 0.0) * self.litres + density * self.headspace)
    }
}
