//! Cooling a covered pot or a keg in ice water.

use crate::numeric::integral;
use crate::{Conductance, Error, IceFactor, Load, Mass, Temperature, TimeSpan, ice, water};

/// A 19 L steel keg standing in still ice water to 0.38 m² of its wall:
/// an engineering estimate (from memory), to be calibrated on site.
pub const STILL_KEG_19_L: Conductance = Conductance::of(45.0);

/// Time to cool (or warm) a load in a bath of constant temperature.
///
/// Newton's law with the heat capacity of water at each temperature; zero when
/// it is already there.
///
/// # Errors
///
/// [`Error::NeverReached`] when `to` is not between `from` and the bath;
/// [`Error::OutOfRange`] outside -1 to 110 °C or beyond thirty years.
///
/// ```
/// use model::{Load, Mass, Temperature, Volume, ice_bath};
///
/// let keg = Load { liquid: Volume::of(18.5), steel: Mass::of(4.2) };
/// let time = ice_bath::time(
///     &keg,
///     Temperature::of(60.0),
///     Temperature::of(4.0),
///     Temperature::of(0.0),
///     ice_bath::STILL_KEG_19_L,
/// )?;
/// assert!((time.hours() - 1.33).abs() < 0.02);
/// # Ok::<(), model::Error>(())
/// ```
pub fn time(
    load: &Load,
    from: Temperature,
    to: Temperature,
    bath: Temperature,
    conductance: Conductance,
) -> Result<TimeSpan, Error> {
    load.heat_between(from, to)?;
    let Some((wide, narrow)) = approach(from, to, bath)? else {
        return Ok(TimeSpan::ZERO);
    };
    let sign = if from > bath { 1.0 } else { -1.0 };
    let capacity = |u: f64| load.capacity(bath.celsius() + sign * u.exp());
    let joules_per_kelvin = integral(capacity, narrow.ln(), wide.ln(), 8);
    let ua = conductance.watts_per_kelvin();
    if ua <= 0.0 {
        return Err(Error::NeverReached {
            from,
            to,
            surroundings: bath,
        });
    }
    Ok(TimeSpan::new(joules_per_kelvin / ua)?)
}

/// Temperature of a load after a time in a bath of constant temperature.
///
/// # Errors
///
/// [`Error::OutOfRange`] when the load would leave -1 to 110 °C.
///
/// ```
/// use model::{Load, Mass, Temperature, TimeSpan, Volume, ice_bath};
///
/// let keg = Load { liquid: Volume::of(18.5), steel: Mass::of(4.2) };
/// let cooled = ice_bath::after(
///     &keg,
///     Temperature::of(60.0),
///     Temperature::of(0.0),
///     ice_bath::STILL_KEG_19_L,
///     TimeSpan::of(4790.0),
/// )?;
/// assert!((cooled.celsius() - 4.0).abs() < 0.05);
/// # Ok::<(), model::Error>(())
/// ```
pub fn after(
    load: &Load,
    from: Temperature,
    bath: Temperature,
    conductance: Conductance,
    time: TimeSpan,
) -> Result<Temperature, Error> {
    crate::load::liquid_celsius(from.celsius())?;
    let rate = |t: f64| conductance.watts_per_kelvin() / load.capacity(t);
    let gap = crate::cooling::decay(rate, from - bath, bath.celsius(), time.seconds());
    let celsius = crate::load::liquid_celsius(bath.celsius() + gap)?;
    Ok(Temperature::new(celsius)?)
}

/// Ice that melts while a load is cooled in a bath kept at 0 °C.
///
/// Without the ice that was there to keep the bath cold at the end, and
/// without heat from the room, which the ice factor stands for.
///
/// # Errors
///
/// [`Error::OutOfRange`] for a load outside -1 to 110 °C or ice outside -40 to 0 °C.
///
/// ```
/// use model::{IceFactor, Load, Mass, Temperature, Volume, ice_bath};
///
/// let keg = Load { liquid: Volume::of(18.5), steel: Mass::of(4.2) };
/// let ice = ice_bath::ice_used(
///     &keg,
///     Temperature::of(60.0),
///     Temperature::of(4.0),
///     Temperature::of(-5.0),
///     IceFactor::DRY,
/// )?;
/// assert!((ice.kilograms() - 12.95).abs() < 0.1);
/// # Ok::<(), model::Error>(())
/// ```
pub fn ice_used(
    load: &Load,
    from: Temperature,
    to: Temperature,
    ice_temperature: Temperature,
    factor: IceFactor,
) -> Result<Mass, Error> {
    let given = (load.heat(from)? - load.heat(to)?).max(0.0);
    let taken = water::enthalpy(Temperature::FREEZING)? - ice::enthalpy(ice_temperature)?;
    Ok(Mass::new(factor.value() * given / taken)?)
}

/// Distances from the surroundings at the start and the end, or none when the
/// end is where it started.
pub(crate) fn approach(
    from: Temperature,
    to: Temperature,
    surroundings: Temperature,
) -> Result<Option<(f64, f64)>, Error> {
    let start = (from - surroundings).kelvins();
    let end = (to - surroundings).kelvins();
    if from == to {
        return Ok(None);
    }
    let toward = start * end > 0.0 && end.abs() < start.abs();
    if toward {
        Ok(Some((start.abs(), end.abs())))
    } else {
        Err(Error::NeverReached {
            from,
            to,
            surroundings,
        })
    }
}
