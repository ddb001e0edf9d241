//! CO2 that a keg does without because of its air.

use super::air::Keg;
use super::{Fill, Mixing, Purging, air_pressure};
use crate::{Error, Fraction, GaugePressure, water};

/// Share of the CO2 that air keeps out of a keg held at a gauge pressure,
/// against the same keg without air.
///
/// All of it where air and vapour make up the whole pressure.
///
/// # Errors
///
/// As [`air_pressure`], and [`Error::OutOfRange`] for a pressure below vacuum.
///
/// ```
/// use model::{AbsolutePressure, GaugePressure, Temperature, Volume, air};
/// use model::headspace::{self, Fill, Purging};
///
/// let sea_level = AbsolutePressure::STANDARD_ATMOSPHERE;
/// let keg = Fill {
///     brim: Volume::of(19.5),
///     liquid: Volume::of(19.5),
///     air: air::saturated(Temperature::of(2.0), sea_level)?,
///     temperature: Temperature::of(2.0),
///     atmosphere: sea_level,
/// };
/// let third = headspace::loss(&keg, &Purging::NONE, GaugePressure::of(2.0))?;
/// assert!((third.value() - 0.333).abs() < 0.01);
/// # Ok::<(), model::Error>(())
/// ```
pub fn loss(fill: &Fill, purging: &Purging, held: GaugePressure) -> Result<Fraction, Error> {
    let air = air_pressure(fill, purging)?.bar();
    Ok(Fraction::new(
        (air / room_for_gas(fill, held)?).clamp(0.0, 1.0),
    )?)
}

/// Purges that bring the loss down to `allowed`, at most 1000.
///
/// # Errors
///
/// As [`loss`], and [`Error::NotPossible`] when no number of purges does it:
/// purging promptly never removes the dissolved air.
///
/// ```
/// use model::{AbsolutePressure, AirContent, Fraction, GaugePressure, Temperature, Volume};
/// use model::headspace::{self, Fill, Mixing};
///
/// let keg = Fill {
///     brim: Volume::of(19.5),
///     liquid: Volume::of(18.5),
///     air: AirContent::of(4.75),
///     temperature: Temperature::of(2.0),
///     atmosphere: AbsolutePressure::STANDARD_ATMOSPHERE,
/// };
/// let held = GaugePressure::of(2.0);
/// let few = headspace::purges_needed(&keg, held, Mixing::Prompt, held, Fraction::of(0.03))?;
/// assert_eq!(few, 3);
/// # Ok::<(), model::Error>(())
/// ```
pub fn purges_needed(
    fill: &Fill,
    purge: GaugePressure,
    mixing: Mixing,
    held: GaugePressure,
    allowed: Fraction,
) -> Result<u32, Error> {
    const MOST: u32 = 1000;
    let keg = Keg::new(fill)?;
    let kept = Purging {
        gauge: purge,
        count: 0,
        mixing,
    }
    .left_by_one(fill.atmosphere)?;
    let room = room_for_gas(fill, held)?;
    let lost = |count| (keg.pressure(kept, count, mixing) / room).clamp(0.0, 1.0);
    // The loss falls with every purge, so bisection finds the first that is enough.
    if lost(MOST) > allowed.value() {
        return Err(Error::NotPossible {
            what: "loss of CO2 to air after purging",
            wanted: allowed.value(),
            lowest: lost(MOST),
            highest: lost(0),
        });
    }
    let (mut low, mut high) = (0, MOST);
    while low < high {
        let middle = (low + high) / 2;
        if lost(middle) <= allowed.value() {
            high = middle;
        } else {
            low = middle + 1;
        }
    }
    Ok(high)
}

/// Pressure left for gases besides water vapour, bar; a trace at least.
fn room_for_gas(fill: &Fill, held: GaugePressure) -> Result<f64, Error> {
    let total = held.absolute(fill.atmosphere)?.bar();
    Ok((total - water::saturation_bar(fill.temperature)?).max(f64::MIN_POSITIVE))
}
