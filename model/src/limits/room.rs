//! CO2 let into a room.

use super::exposure::{IMMEDIATE_DANGER, NIOSH_CEILING_15_MINUTES, OSHA_EIGHT_HOURS};
use super::verdict::Verdict;
use crate::{AbsolutePressure, Error, GasInRoom, Mass, Temperature, Volume, carbon_dioxide};

/// Volume that released CO2 takes up in a room at 20 °C and one atmosphere.
///
/// # Errors
///
/// [`Error::OutOfRange`] for more than a [`Volume`] can be.
///
/// ```
/// use model::{Mass, limits};
///
/// let gas = limits::released(Mass::of(1.0))?;
/// assert!((gas.litres() - 543.5).abs() < 1.5);
/// # Ok::<(), model::Error>(())
/// ```
pub fn released(mass: Mass) -> Result<Volume, Error> {
    let gas =
        carbon_dioxide::density(Temperature::of(20.0), AbsolutePressure::STANDARD_ATMOSPHERE)?;
    Ok(Volume::new(mass.grams() / gas)?)
}

/// CO2 in the air of an unventilated room after a release mixes in.
///
/// Gas volume over room volume, the cautious estimate; the 420 ppm of outdoor
/// air are left out. CO2 is heavier than air: at the floor of a cellar it is
/// worse than mixed.
///
/// # Errors
///
/// [`Error::OutOfRange`] for more gas than a [`Volume`] can be.
///
/// ```
/// use model::limits::{self, IMMEDIATE_DANGER};
/// use model::{Mass, Volume};
///
/// // A full cylinder of 9.07 kg in 50 m³.
/// let air = limits::room_after_release(Mass::of(9.07), Volume::of(50_000.0))?;
/// assert!((air.ppm() / 99_000.0 - 1.0).abs() < 0.01);
/// assert!(!IMMEDIATE_DANGER.judge(air.ppm()).accepted);
/// # Ok::<(), model::Error>(())
/// ```
pub fn room_after_release(mass: Mass, room: Volume) -> Result<GasInRoom, Error> {
    let gas = released(mass)?.litres();
    let share = if gas < room.litres() {
        gas / room.litres()
    } else {
        1.0
    };
    let none = mass.kilograms() <= 0.0;
    Ok(GasInRoom::new(if none { 0.0 } else { share * 1e6 })?)
}

/// Verdicts on a release into an unventilated room: against the mean of eight
/// hours, the mean of fifteen minutes, and immediate danger.
///
/// # Errors
///
/// As [`room_after_release`].
///
/// ```
/// use model::{Mass, Volume, limits};
///
/// // 0.3 kg in 50 m³ stays below all three; a full 2.27 kg cylinder in 20 m³ passes them.
/// let purges = limits::release(Mass::of(0.3), Volume::of(50_000.0))?;
/// assert!(purges.iter().all(|verdict| verdict.accepted));
/// let burst = limits::release(Mass::of(2.27), Volume::of(20_000.0))?;
/// assert!(burst.iter().all(|verdict| !verdict.accepted));
/// # Ok::<(), model::Error>(())
/// ```
pub fn release(mass: Mass, room: Volume) -> Result<[Verdict; 3], Error> {
    let ppm = room_after_release(mass, room)?.ppm();
    Ok(
        [OSHA_EIGHT_HOURS, NIOSH_CEILING_15_MINUTES, IMMEDIATE_DANGER]
            .map(|limit| limit.judge(ppm)),
    )
}
