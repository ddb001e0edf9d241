//! The cooling curve at a fixed step, into a slice the caller owns.

use super::film::Film;
use super::{Container, State, Surroundings};
use crate::load::liquid_celsius;
use crate::{Error, HeatFlow, Temperature, TemperatureDifference, TimeSpan};

/// Temperatures at the start of each step, and the mean heat given off during it.
///
/// Fills `out` from its first element on; nothing is allocated. The heat times
/// the step adds up exactly to what the contents lose.
///
/// # Errors
///
/// [`Error::OutOfRange`] when the contents would leave -1 to 110 °C.
///
/// ```
/// use model::{Temperature, TimeSpan, cooling::{self, Container, State, Surroundings}};
///
/// let store = Surroundings::still(Temperature::of(2.0));
/// let mut half_hours = [State::BLANK; 72];
/// cooling::curve(
///     &Container::STEEL_KEG_19_L,
///     store,
///     Temperature::of(60.0),
///     TimeSpan::from_minutes(30.0)?,
///     &mut half_hours,
/// )?;
/// assert_eq!(half_hours[0].temperature, Temperature::of(60.0));
/// assert!((half_hours[0].heat.watts() - 185.0).abs() < 10.0);
/// assert!(half_hours[71].temperature < Temperature::of(4.5));
/// # Ok::<(), model::Error>(())
/// ```
pub fn curve(
    container: &Container,
    surroundings: Surroundings,
    from: Temperature,
    step: TimeSpan,
    out: &mut [State],
) -> Result<(), Error> {
    let film = Film::new(container, surroundings);
    let load = &container.load;
    let air = surroundings.air;
    let rate = |t: f64| film.conductance(t) / load.capacity(t);
    let (mut temperature, mut heat) = (from, load.heat(from)?);
    for state in out {
        let gap = decay(rate, temperature - air, air.celsius(), step.seconds());
        let next = Temperature::new(liquid_celsius(air.celsius() + gap)?)?;
        let left = load.heat(next)?;
        let watts = if step.seconds() > 0.0 {
            (heat - left) / step.seconds()
        } else {
            film.conductance(temperature.celsius()) * gap
        };
        *state = State {
            temperature,
            heat: HeatFlow::new(watts)?,
        };
        (temperature, heat) = (next, left);
    }
    Ok(())
}

/// Distance from the surroundings after a time, for a rate (1/s) that depends
/// on the temperature: the exponential midpoint rule in steps of a tenth of
/// the time constant.
pub(crate) fn decay(
    rate: impl Fn(f64) -> f64,
    gap: TemperatureDifference,
    surroundings: f64,
    seconds: f64,
) -> f64 {
    const STEP: f64 = 0.1;
    const NOTHING: f64 = 1e-12;
    let mut gap = gap.kelvins();
    let mut left = seconds;
    while left > 0.0 && gap.abs() > NOTHING {
        let fast = rate(surroundings + gap);
        if fast <= 0.0 {
            return gap;
        }
        if !fast.is_finite() {
            return 0.0; // no heat capacity at all: at the surroundings at once
        }
        let step = left.min(STEP / fast);
        let halfway = gap * (-fast * step / 2.0).exp();
        gap *= (-rate(surroundings + halfway) * step).exp();
        left -= step;
        if step <= left * f64::EPSILON {
            return 0.0; // hardly any heat capacity: the steps no longer advance time
        }
    }
    gap
}
