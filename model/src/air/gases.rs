//! Nitrogen, oxygen and argon, each on its own.

use crate::constants::{
    ARGON_MOLAR_MASS, ATMOSPHERE_BAR, NITROGEN_MOLAR_MASS, OXYGEN_MOLAR_MASS, WATER_MOLAR_MASS,
};
use crate::published::g704::{Henry, Solute};
use crate::published::{cold_air, kell};
use crate::{AbsolutePressure, AirContent, Error, Temperature, water};

/// Mole fractions of dry air (carbon dioxide and traces left out).
///
/// ```
/// let sum = model::air::DryAir::NITROGEN + model::air::DryAir::OXYGEN + model::air::DryAir::ARGON;
/// assert!((sum - 1.0).abs() < 0.001);
/// ```
#[derive(Clone, Copy, Debug)]
pub struct DryAir;

impl DryAir {
    /// N2.
    pub const NITROGEN: f64 = 0.78084;
    /// O2.
    pub const OXYGEN: f64 = 0.20946;
    /// Ar.
    pub const ARGON: f64 = 0.00934;
}

/// The three gases of air dissolved in water.
///
/// ```
/// use model::{AbsolutePressure, Temperature, air};
///
/// let gases = air::saturated_gases(Temperature::of(10.0), AbsolutePressure::STANDARD_ATMOSPHERE)?;
/// assert!(gases.nitrogen > gases.oxygen && gases.oxygen > gases.argon);
/// # Ok::<(), model::Error>(())
/// ```
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Gases {
    /// Nitrogen.
    pub nitrogen: AirContent,
    /// Oxygen.
    pub oxygen: AirContent,
    /// Argon.
    pub argon: AirContent,
}

impl Gases {
    /// All three together.
    ///
    /// # Errors
    ///
    /// [`Error::OutOfRange`] above the range of [`AirContent`].
    ///
    /// ```
    /// use model::{AirContent, air::Gases};
    ///
    /// let one = AirContent::of(1.0);
    /// let total = Gases { nitrogen: one, oxygen: one, argon: one }.total()?;
    /// assert!((total.milligrams_per_litre() - 3.0).abs() < 1e-12);
    /// # Ok::<(), model::Error>(())
    /// ```
    pub fn total(&self) -> Result<AirContent, Error> {
        let sum = self.nitrogen.milligrams_per_litre()
            + self.oxygen.milligrams_per_litre()
            + self.argon.milligrams_per_litre();
        Ok(AirContent::new(sum)?)
    }
}

/// The gases of air in water at equilibrium with moist air at this pressure,
/// -5 to 150 °C; none at or above the boil.
///
/// # Errors
///
/// [`Error::OutOfRange`] outside that range.
///
/// ```
/// use model::{AbsolutePressure, Temperature, air};
///
/// let gases = air::saturated_gases(Temperature::of(20.0), AbsolutePressure::STANDARD_ATMOSPHERE)?;
/// assert!((gases.oxygen.milligrams_per_litre() / 9.092 - 1.0).abs() < 0.001);
/// # Ok::<(), model::Error>(())
/// ```
pub fn saturated_gases(at: Temperature, atmosphere: AbsolutePressure) -> Result<Gases, Error> {
    let dry = (atmosphere.bar() - water::saturation_bar(at)?).max(0.0);
    let [nitrogen, oxygen, argon] = solubilities(at)?;
    Ok(Gases {
        nitrogen: AirContent::new(nitrogen * DryAir::NITROGEN * dry)?,
        oxygen: AirContent::new(oxygen * DryAir::OXYGEN * dry)?,
        argon: AirContent::new(argon * DryAir::ARGON * dry)?,
    })
}

/// mg/L per bar of partial pressure, for nitrogen, oxygen and argon: the
/// cold-water measurements up to 30 °C, IAPWS G7-04 from 50 °C on, and a smooth
/// passage from one to the other in between.
pub(crate) fn solubilities(at: Temperature) -> Result<[f64; 3], Error> {
    const COLD: f64 = 30.0;
    const HOT: f64 = 50.0;
    let t = at.celsius();
    if t <= COLD {
        return cold_solubilities(at);
    }
    let hot = hot_solubilities(at)?;
    if t >= HOT {
        return Ok(hot);
    }
    let cold = cold_solubilities(at)?;
    let way = (t - COLD) / (HOT - COLD);
    let share = way * way * (3.0 - 2.0 * way);
    Ok(std::array::from_fn(|gas| {
        cold[gas] + share * (hot[gas] - cold[gas])
    }))
}

fn hot_solubilities(at: Temperature) -> Result<[f64; 3], Error> {
    let henry = Henry::at(at.kelvin())?;
    let density = kell::density(at.celsius())?;
    // kg/m³ of water over its molar mass is mol/L; times g/mol is g/L; kH is in GPa = 1e4 bar.
    let each = |solute, molar_mass: f64| {
        density / WATER_MOLAR_MASS * molar_mass * 1000.0 / (henry.constant(solute) * 1e4)
    };
    Ok([
        each(Solute::Nitrogen, NITROGEN_MOLAR_MASS),
        each(Solute::Oxygen, OXYGEN_MOLAR_MASS),
        each(Solute::Argon, ARGON_MOLAR_MASS),
    ])
}

/// From what water holds under moist air of one atmosphere.
fn cold_solubilities(at: Temperature) -> Result<[f64; 3], Error> {
    let t = at.celsius();
    let kilograms = kell::density(t)? / 1000.0; // per litre
    let dry = ATMOSPHERE_BAR - water::saturation_bar(at)?;
    // µmol/kg times g/mol is µg/kg.
    let measured = [
        cold_air::nitrogen(t)? * NITROGEN_MOLAR_MASS * kilograms / 1000.0,
        cold_air::oxygen(t)?,
        cold_air::argon(t)? * ARGON_MOLAR_MASS * kilograms / 1000.0,
    ];
    Ok(std::array::from_fn(|gas| {
        measured[gas] / (DRY_FRACTIONS[gas] * dry)
    }))
}

/// Molar masses, g/mol, in the order of [`solubilities`].
pub(crate) const MOLAR_MASSES: [f64; 3] =
    [NITROGEN_MOLAR_MASS, OXYGEN_MOLAR_MASS, ARGON_MOLAR_MASS];

/// Mole fractions in dry air, in the order of [`solubilities`].
pub(crate) const DRY_FRACTIONS: [f64; 3] = [DryAir::NITROGEN, DryAir::OXYGEN, DryAir::ARGON];
