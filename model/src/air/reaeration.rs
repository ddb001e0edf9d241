//! Air getting back into water that stands open.

use super::removal::saturated;
use crate::{AbsolutePressure, AirContent, Error, Length, SurfaceTransfer, Temperature, TimeSpan};

/// Surface transfer of open, still water: 2e-5 m/s (from memory). A cover or a
/// blanket of CO2 stops it; stirring multiplies it.
pub const OPEN_AND_STILL: SurfaceTransfer = SurfaceTransfer::of(2e-5);

/// Water standing open to the air.
///
/// ```
/// use model::{AbsolutePressure, Length, Temperature, air::{OPEN_AND_STILL, Standing}};
///
/// let pot = Standing {
///     temperature: Temperature::of(20.0),
///     atmosphere: AbsolutePressure::STANDARD_ATMOSPHERE,
///     depth: Length::of(0.3),
///     transfer: OPEN_AND_STILL,
/// };
/// assert!((pot.time_constant()?.hours() - 4.2).abs() < 0.1);
/// # Ok::<(), model::Error>(())
/// ```
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Standing {
    /// Temperature of the water.
    pub temperature: Temperature,
    /// Air pressure of the site.
    pub atmosphere: AbsolutePressure,
    /// Volume over surface.
    pub depth: Length,
    /// How fast gas crosses the surface.
    pub transfer: SurfaceTransfer,
}

impl Standing {
    /// Time in which the gap to saturation falls to 37 %.
    ///
    /// # Errors
    ///
    /// [`Error::OutOfRange`] beyond thirty years, as under a cover.
    ///
    /// See [`Standing`] for an example.
    pub fn time_constant(&self) -> Result<TimeSpan, Error> {
        Ok(TimeSpan::new(
            self.depth.metres() / self.transfer.metres_per_second(),
        )?)
    }
}

/// Air in the water after standing open for a time; it falls where there was
/// more than saturation.
///
/// dC/dt = kL/depth (Cs - C), the water mixed throughout.
///
/// # Errors
///
/// [`Error::OutOfRange`] outside -5 to 150 °C.
///
/// ```
/// use model::{AbsolutePressure, AirContent, Length, Temperature, TimeSpan};
/// use model::air::{self, OPEN_AND_STILL, Standing};
///
/// let pot = Standing {
///     temperature: Temperature::of(20.0),
///     atmosphere: AbsolutePressure::STANDARD_ATMOSPHERE,
///     depth: Length::of(0.3),
///     transfer: OPEN_AND_STILL,
/// };
/// let boiled = AirContent::of(3.9);
/// let later = air::reaerated(&pot, boiled, TimeSpan::from_hours(4.0)?)?;
/// assert!(later > AirContent::of(15.0));
/// # Ok::<(), model::Error>(())
/// ```
pub fn reaerated(
    standing: &Standing,
    start: AirContent,
    time: TimeSpan,
) -> Result<AirContent, Error> {
    let full = saturated(standing.temperature, standing.atmosphere)?.milligrams_per_litre();
    let rate = standing.transfer.metres_per_second() / standing.depth.metres();
    let closed = -(-rate * time.seconds()).exp_m1();
    let before = start.milligrams_per_litre();
    Ok(AirContent::new(before + (full - before) * closed)?)
}

/// How long water may stand open before it holds this much air; zero when it
/// already does.
///
/// # Errors
///
/// [`Error::NotPossible`] when saturation stays below `limit`;
/// [`Error::OutOfRange`] outside -5 to 150 °C or beyond thirty years.
///
/// ```
/// use model::{AbsolutePressure, AirContent, Length, Temperature};
/// use model::air::{self, OPEN_AND_STILL, Standing};
///
/// let pot = Standing {
///     temperature: Temperature::of(20.0),
///     atmosphere: AbsolutePressure::STANDARD_ATMOSPHERE,
///     depth: Length::of(0.3),
///     transfer: OPEN_AND_STILL,
/// };
/// let time = air::time_to_reaerate(&pot, AirContent::of(3.9), AirContent::of(6.0))?;
/// assert!((time.minutes() - 27.0).abs() < 2.0);
/// # Ok::<(), model::Error>(())
/// ```
pub fn time_to_reaerate(
    standing: &Standing,
    start: AirContent,
    limit: AirContent,
) -> Result<TimeSpan, Error> {
    if limit <= start {
        return Ok(TimeSpan::ZERO);
    }
    let full = saturated(standing.temperature, standing.atmosphere)?.milligrams_per_litre();
    let (before, after) = (start.milligrams_per_litre(), limit.milligrams_per_litre());
    if after >= full {
        return Err(Error::NotPossible {
            what: "air content of standing water, mg/L",
            wanted: after,
            lowest: before,
            highest: full,
        });
    }
    let constants = ((full - before) / (full - after)).ln();
    let rate = standing.transfer.metres_per_second() / standing.depth.metres();
    Ok(TimeSpan::new(constants / rate)?)
}
