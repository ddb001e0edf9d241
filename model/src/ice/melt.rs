//! Heat in ice, and how much ice cools a hot pot.

use crate::load::liquid_celsius;
use crate::published::water_enthalpy;
use crate::{Error, IceFactor, Mass, Temperature, Volume, water};

/// Heat held by a kilogram of ice, J/kg, -40 to 0 °C, on the same zero as
/// [`crate::water::enthalpy`]. Fitted to IAPWS R10-06, see [`water_enthalpy`].
///
/// # Errors
///
/// [`Error::OutOfRange`] outside that range.
///
/// ```
/// use model::{Temperature, ice, water};
///
/// let fusion = water::enthalpy(Temperature::FREEZING)? - ice::enthalpy(Temperature::FREEZING)?;
/// assert!((fusion - 333_427.0).abs() < 100.0);
/// # Ok::<(), model::Error>(())
/// ```
pub fn enthalpy(at: Temperature) -> Result<f64, Error> {
    Ok(water_enthalpy::ice(at.celsius())? * 1000.0)
}

/// Kilograms of ice, melted in the water itself, that cool a kilogram of hot
/// water; 0 when it is already that cold.
///
/// An enthalpy balance without losses, times the ice factor of the site.
///
/// # Errors
///
/// [`Error::OutOfRange`] for water outside 0 to 110 °C or ice outside -40 to 0 °C.
///
/// ```
/// use model::{IceFactor, Temperature, ice};
///
/// let ratio = ice::needed_ratio(
///     Temperature::of(92.0),
///     Temperature::of(4.0),
///     Temperature::of(-5.0),
///     IceFactor::DRY,
/// )?;
/// assert!((ratio - 1.0219).abs() < 0.001);
/// # Ok::<(), model::Error>(())
/// ```
pub fn needed_ratio(
    from: Temperature,
    to: Temperature,
    ice: Temperature,
    factor: IceFactor,
) -> Result<f64, Error> {
    liquid_celsius(from.celsius())?;
    let end = water::enthalpy(Temperature::new(to.celsius().max(0.0))?)?;
    let given = (water::enthalpy(from)? - end).max(0.0);
    liquid_celsius(to.celsius())?;
    Ok(factor.value() * given / (end - enthalpy(ice)?))
}

/// Hot water and ice that together make a volume.
///
/// ```
/// use model::{Mass, Volume, ice::Recipe};
///
/// let recipe = Recipe { hot: Volume::of(9.15), ice: Mass::of(9.35) };
/// assert!(recipe.ice > Mass::of(9.0));
/// ```
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Recipe {
    /// Water to boil, in litres measured cold.
    pub hot: Volume,
    /// Ice to add, wet or dry as the site has it.
    pub ice: Mass,
}

/// How much to boil and how much ice to add for `total` litres (measured cold).
///
/// About half of the water is then melted ice, which brings its own air and
/// chlorine unless it was made from treated, boiled water.
///
/// # Errors
///
/// As [`needed_ratio`].
///
/// ```
/// use model::{IceFactor, Temperature, Volume, ice};
///
/// let recipe = ice::recipe(
///     Volume::of(18.5),
///     Temperature::of(92.0),
///     Temperature::of(4.0),
///     Temperature::of(-5.0),
///     IceFactor::DRY,
/// )?;
/// assert!((recipe.hot.litres() - 9.15).abs() < 0.01);
/// assert!((recipe.ice.kilograms() - 9.35).abs() < 0.01);
/// # Ok::<(), model::Error>(())
/// ```
pub fn recipe(
    total: Volume,
    from: Temperature,
    to: Temperature,
    ice: Temperature,
    factor: IceFactor,
) -> Result<Recipe, Error> {
    let ratio = needed_ratio(from, to, ice, factor)?;
    let hot = total.litres() / (1.0 + ratio);
    let ice_kilograms = (total.litres() - hot) * crate::load::COLD_DENSITY;
    Ok(Recipe {
        hot: Volume::new(hot)?,
        ice: Mass::new(ice_kilograms)?,
    })
}
