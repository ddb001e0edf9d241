//! One container: time to a temperature, and temperature after a time.

use super::curve::decay;
use super::film::Film;
use super::{Container, Surroundings};
use crate::ice_bath::approach;
use crate::load::liquid_celsius;
use crate::numeric::integral;
use crate::{Error, HeatFlow, Temperature, TimeSpan};

/// A container at one moment.
///
/// ```
/// use model::{HeatFlow, Temperature, cooling::State};
///
/// let now = State { temperature: Temperature::of(4.0), heat: HeatFlow::of(3.0) };
/// assert!(now.heat > HeatFlow::of(0.0));
/// ```
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct State {
    /// Temperature of the contents.
    pub temperature: Temperature,
    /// Heat given to the air; negative while the container warms.
    pub heat: HeatFlow,
}

impl State {
    /// Something to fill a slice with before [`curve`](super::curve) writes it.
    pub const BLANK: Self = Self {
        temperature: Temperature::FREEZING,
        heat: HeatFlow::of(0.0),
    };
}

/// Time for the contents to go from one temperature to another; zero when they
/// are the same.
///
/// # Errors
///
/// [`Error::NeverReached`] when `to` is not between `from` and the air;
/// [`Error::OutOfRange`] outside -1 to 110 °C or beyond thirty years.
///
/// ```
/// use model::{Temperature, cooling::{self, Container, Surroundings}};
///
/// let store = Surroundings::still(Temperature::of(2.0));
/// let keg = Container::STEEL_KEG_19_L;
/// let time = cooling::time_to(&keg, store, Temperature::of(60.0), Temperature::of(4.0))?;
/// assert!((time.hours() - 36.1).abs() < 0.7);
/// # Ok::<(), model::Error>(())
/// ```
pub fn time_to(
    container: &Container,
    surroundings: Surroundings,
    from: Temperature,
    to: Temperature,
) -> Result<TimeSpan, Error> {
    liquid_celsius(from.celsius())?;
    liquid_celsius(to.celsius())?;
    let air = surroundings.air;
    let Some((wide, narrow)) = approach(from, to, air)? else {
        return Ok(TimeSpan::ZERO);
    };
    let film = Film::new(container, surroundings);
    let sign = if from > air { 1.0 } else { -1.0 };
    // Over the logarithm of the distance from the air the integrand is smooth.
    let seconds = |u: f64| {
        let celsius = air.celsius() + sign * u.exp();
        container.load.capacity(celsius) / film.conductance(celsius)
    };
    let (start, end) = (narrow.ln(), wide.ln());
    let panels = ((end - start).ceil() as u32).clamp(2, 1000);
    Ok(TimeSpan::new(integral(seconds, start, end, panels))?)
}

/// The container after a time in these surroundings.
///
/// # Errors
///
/// [`Error::OutOfRange`] when the contents would leave -1 to 110 °C, as in a
/// freezer.
///
/// ```
/// use model::{Temperature, TimeSpan, cooling::{self, Container, Surroundings}};
///
/// let store = Surroundings::still(Temperature::of(2.0));
/// let keg = Container::STEEL_KEG_19_L;
/// let later = cooling::after(&keg, store, Temperature::of(60.0), TimeSpan::from_hours(36.1)?)?;
/// assert!((later.temperature.celsius() - 4.0).abs() < 0.1);
/// assert!(later.heat.watts() < 5.0);
/// # Ok::<(), model::Error>(())
/// ```
pub fn after(
    container: &Container,
    surroundings: Surroundings,
    from: Temperature,
    time: TimeSpan,
) -> Result<State, Error> {
    liquid_celsius(from.celsius())?;
    let film = Film::new(container, surroundings);
    let rate = |t: f64| film.conductance(t) / container.load.capacity(t);
    let air = surroundings.air;
    let gap = decay(rate, from - air, air.celsius(), time.seconds());
    let celsius = liquid_celsius(air.celsius() + gap)?;
    Ok(State {
        temperature: Temperature::new(celsius)?,
        heat: HeatFlow::new(film.conductance(celsius) * gap)?,
    })
}
