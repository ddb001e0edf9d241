//! What comes of pouring ice into hot water.

use crate::load::{COLD_DENSITY, liquid_celsius};
use crate::published::water_enthalpy;
use crate::{AirContent, Error, Fraction, Mass, Temperature, Volume, ice, water};

/// Hot water and the ice that goes into it.
///
/// ```
/// use model::{AirContent, Mass, Temperature, Volume, ice::{self, Mix}};
///
/// let mixed = ice::mixed(&Mix {
///     hot: Volume::of(9.15),
///     temperature: Temperature::of(92.0),
///     air: AirContent::of(3.9),
///     ice: Mass::of(9.35),
///     ice_temperature: Temperature::of(-5.0),
///     ice_air: AirContent::of(30.0),
/// })?;
/// assert!((mixed.temperature.celsius() - 4.0).abs() < 0.1);
/// assert!((mixed.air.milligrams_per_litre() - 17.0).abs() < 0.3);
/// # Ok::<(), model::Error>(())
/// ```
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Mix {
    /// Hot water, litres measured cold.
    pub hot: Volume,
    /// Its temperature.
    pub temperature: Temperature,
    /// Air left in it.
    pub air: AirContent,
    /// Ice added.
    pub ice: Mass,
    /// Temperature of the ice.
    pub ice_temperature: Temperature,
    /// Air in the ice, per litre of its meltwater: 0 for clear ice, 39 at most
    /// for cloudy ice (estimate).
    pub ice_air: AirContent,
}

/// The cooled water.
///
/// See [`Mix`] for an example.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Mixed {
    /// Litres measured cold, once everything has melted.
    pub volume: Volume,
    /// Final temperature; 0 °C where ice is left.
    pub temperature: Temperature,
    /// Air in the mix, from both.
    pub air: AirContent,
    /// Share of the mix that was ice.
    pub ice_share: Fraction,
    /// Ice that is left because there was more than the water could melt.
    pub unmelted: Mass,
}

/// Mixes hot water with ice, without losses.
///
/// # Errors
///
/// [`Error::OutOfRange`] for water outside 0 to 110 °C or ice outside -40 to 0 °C.
///
/// ```
/// use model::{AirContent, Mass, Temperature, Volume, ice::{self, Mix}};
///
/// let too_much = ice::mixed(&Mix {
///     hot: Volume::of(1.0),
///     temperature: Temperature::of(20.0),
///     air: AirContent::of(0.0),
///     ice: Mass::of(1.0),
///     ice_temperature: Temperature::of(0.0),
///     ice_air: AirContent::of(0.0),
/// })?;
/// assert_eq!(too_much.temperature, Temperature::FREEZING);
/// assert!((too_much.unmelted.kilograms() - 0.75).abs() < 0.01);
/// # Ok::<(), model::Error>(())
/// ```
pub fn mixed(mix: &Mix) -> Result<Mixed, Error> {
    liquid_celsius(mix.temperature.celsius())?;
    let hot = mix.hot.litres() * COLD_DENSITY;
    let ice = mix.ice.kilograms();
    let total = hot + ice;
    if total <= 0.0 {
        return Ok(Mixed {
            volume: Volume::of(0.0),
            temperature: mix.temperature,
            air: mix.air,
            ice_share: Fraction::NONE,
            unmelted: Mass::of(0.0),
        });
    }
    let heat = hot * water::enthalpy(mix.temperature)? + ice * ice::enthalpy(mix.ice_temperature)?;
    let (temperature, unmelted) = settle(heat, total, mix)?;
    let melted = ice - unmelted;
    let air = (hot * mix.air.milligrams_per_litre() + melted * mix.ice_air.milligrams_per_litre())
        / (hot + melted);
    Ok(Mixed {
        volume: Volume::new((hot + melted) / COLD_DENSITY)?,
        temperature,
        air: AirContent::new(air)?,
        ice_share: Fraction::new((melted / (hot + melted)).clamp(0.0, 1.0))?,
        unmelted: Mass::new(unmelted)?,
    })
}

/// Final temperature and ice left, from the heat of the whole.
fn settle(heat: f64, total: f64, mix: &Mix) -> Result<(Temperature, f64), Error> {
    let freezing = water::enthalpy(Temperature::FREEZING)?;
    let surplus = heat - total * freezing;
    if surplus >= 0.0 {
        let warmest = mix.temperature.celsius().max(0.0);
        let excess = |t: f64| -> Result<f64, Error> {
            Ok(water_enthalpy::liquid(t)? * 1000.0 - heat / total)
        };
        let celsius = crate::numeric::crossing(excess, 0.0, warmest)?;
        return Ok((Temperature::new(celsius)?, 0.0));
    }
    let fusion = freezing - ice::enthalpy(Temperature::FREEZING)?;
    // Ice left at 0 °C; never more than was there, even if the ice was so cold
    // that it would freeze some of the water.
    Ok((
        Temperature::FREEZING,
        (-surplus / fusion).min(mix.ice.kilograms()),
    ))
}
