//! Driving air out by heating.

use super::gases::saturated_gases;
use crate::{AbsolutePressure, AirContent, Error, Fraction, Temperature, water};

/// Air in water saturated at this temperature, as from the tap.
///
/// # Errors
///
/// [`Error::OutOfRange`] outside -5 to 150 °C.
///
/// ```
/// use model::{AbsolutePressure, Temperature, air};
///
/// let tap = air::saturated(Temperature::of(10.0), AbsolutePressure::STANDARD_ATMOSPHERE)?;
/// assert!((tap.milligrams_per_litre() / 30.3 - 1.0).abs() < 0.025);
/// # Ok::<(), model::Error>(())
/// ```
pub fn saturated(at: Temperature, atmosphere: AbsolutePressure) -> Result<AirContent, Error> {
    saturated_gases(at, atmosphere)?.total()
}

/// Air left once water has come to equilibrium at `to` in an open pot.
///
/// This is the least that can be left: real removal needs stirring, bubbles or
/// time. Water that held less before keeps what it has, so take the smaller of
/// the two. At the boil nothing is left.
///
/// # Errors
///
/// [`Error::OutOfRange`] outside -5 to 150 °C.
///
/// ```
/// use model::{AbsolutePressure, Temperature, air};
///
/// let left = air::after_heating(Temperature::of(90.0), AbsolutePressure::STANDARD_ATMOSPHERE)?;
/// assert!((left.milligrams_per_litre() / 4.75 - 1.0).abs() < 0.02);
/// # Ok::<(), model::Error>(())
/// ```
pub fn after_heating(to: Temperature, atmosphere: AbsolutePressure) -> Result<AirContent, Error> {
    saturated(to, atmosphere)
}

/// Share of the dissolved air that heating from saturation at `from` to
/// equilibrium at `to` removes; none when `to` is the colder.
///
/// # Errors
///
/// [`Error::OutOfRange`] outside -5 to 150 °C.
///
/// ```
/// use model::{AbsolutePressure, Temperature, air};
///
/// let sea_level = AbsolutePressure::STANDARD_ATMOSPHERE;
/// let removed = air::removed(Temperature::of(10.0), Temperature::of(90.0), sea_level)?;
/// assert!((removed.value() - 0.84).abs() < 0.01);
/// # Ok::<(), model::Error>(())
/// ```
pub fn removed(
    from: Temperature,
    to: Temperature,
    atmosphere: AbsolutePressure,
) -> Result<Fraction, Error> {
    let before = saturated(from, atmosphere)?.milligrams_per_litre();
    if before <= 0.0 {
        return Ok(Fraction::NONE); // already boiling: there is nothing to remove
    }
    let after = after_heating(to, atmosphere)?.milligrams_per_litre();
    Ok(Fraction::new((1.0 - after / before).clamp(0.0, 1.0))?)
}

/// Temperature at which equilibrium removes this share of the air of water
/// saturated at `from`; all of it at the boiling point.
///
/// # Errors
///
/// [`Error::OutOfRange`] for `from` outside 0 °C to the boiling point.
///
/// ```
/// use model::{AbsolutePressure, Fraction, Temperature, air};
///
/// let sea_level = AbsolutePressure::STANDARD_ATMOSPHERE;
/// let needed = air::temperature_for_removal(Fraction::of(0.9), Temperature::of(10.0), sea_level)?;
/// assert!((needed.celsius() - 94.0).abs() < 0.3);
/// # Ok::<(), model::Error>(())
/// ```
pub fn temperature_for_removal(
    wanted: Fraction,
    from: Temperature,
    atmosphere: AbsolutePressure,
) -> Result<Temperature, Error> {
    let boil = water::boiling_point(atmosphere)?;
    crate::quantity::within(
        from.celsius(),
        "start temperature",
        "°C",
        0.0,
        boil.celsius(),
    )?;
    let keep = saturated(from, atmosphere)?.milligrams_per_litre() * wanted.rest().value();
    let (mut low, mut high) = (from.celsius(), boil.celsius());
    for _ in 0..60 {
        let middle = f64::midpoint(low, high);
        let left = saturated(Temperature::new(middle)?, atmosphere)?.milligrams_per_litre();
        if left > keep {
            low = middle
        } else {
            high = middle
        }
    }
    Ok(Temperature::new(high)?)
}
