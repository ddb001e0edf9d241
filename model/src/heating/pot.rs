//! Heating a pot: the energy and the time.

use crate::numeric::integral;
use crate::{Conductance, Energy, Error, Fraction, Load, Power, Temperature, TimeSpan};

/// A heater under or in a pot.
///
/// Typical efficiencies (engineering estimates, weak source): gas burner 0.20
/// to 0.45, induction 0.75 to 0.85, immersed element near 1. An open pot
/// loses a further 5 to 10 %, see [`open_time`](super::open_time).
///
/// ```
/// use model::{Conductance, Fraction, Power, Temperature, heating::Heater};
///
/// let hob = Heater {
///     power: Power::of(3500.0),
///     efficiency: Fraction::of(0.85),
///     loss: Conductance::of(0.0),
///     room: Temperature::of(20.0),
/// };
/// assert_eq!(hob.power, Power::of(3500.0));
/// ```
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Heater {
    /// Rated power.
    pub power: Power,
    /// Share of the power that reaches the pot.
    pub efficiency: Fraction,
    /// Heat the pot loses to the room per kelvin above it.
    pub loss: Conductance,
    /// Temperature of the room.
    pub room: Temperature,
}

impl Heater {
    /// Energy the heater takes in during a time at full power.
    ///
    /// # Errors
    ///
    /// [`Error::OutOfRange`] above the range of an [`Energy`].
    ///
    /// ```
    /// use model::{Conductance, Fraction, Power, Temperature, TimeSpan, heating::Heater};
    ///
    /// let hob = Heater {
    ///     power: Power::of(3500.0),
    ///     efficiency: Fraction::of(0.85),
    ///     loss: Conductance::of(0.0),
    ///     room: Temperature::of(20.0),
    /// };
    /// let used = hob.used_in(TimeSpan::from_hours(1.0)?)?;
    /// assert!((used.kilowatt_hours() - 3.5).abs() < 1e-9);
    /// # Ok::<(), model::Error>(())
    /// ```
    pub fn used_in(&self, time: TimeSpan) -> Result<Energy, Error> {
        Ok(Energy::new(self.power.watts() * time.seconds())?)
    }

    pub(super) fn gain(&self) -> f64 {
        self.power.watts() * self.efficiency.value()
    }

    /// Watts left for the load at this temperature.
    pub(super) fn net(&self, celsius: f64) -> f64 {
        self.gain() - self.loss.watts_per_kelvin() * (celsius - self.room.celsius())
    }
}

/// Time to heat a load; zero when it is already that warm.
///
/// # Errors
///
/// [`Error::OutOfRange`] outside -1 to 110 °C or for more than thirty years;
/// [`Error::LossExceedsPower`] when the pot would stall before `to`.
///
/// ```
/// use model::{Conductance, Fraction, Load, Mass, Power, Temperature, Volume};
/// use model::heating::{self, Heater};
///
/// let pot = Load { liquid: Volume::of(30.0), steel: Mass::of(6.0) };
/// let hob = Heater {
///     power: Power::of(3500.0),
///     efficiency: Fraction::of(0.85),
///     loss: Conductance::of(0.0),
///     room: Temperature::of(20.0),
/// };
/// let time = heating::time(&pot, &hob, Temperature::of(15.0), Temperature::of(95.0))?;
/// assert!((time.minutes() - 57.6).abs() < 0.5);
/// # Ok::<(), model::Error>(())
/// ```
pub fn time(
    load: &Load,
    heater: &Heater,
    from: Temperature,
    to: Temperature,
) -> Result<TimeSpan, Error> {
    let heat = load.heat(to)? - load.heat(from)?;
    if heat <= 0.0 {
        return Ok(TimeSpan::ZERO);
    }
    let (start, end) = (heater.net(from.celsius()), heater.net(to.celsius()));
    if end <= 0.0 {
        let gained_watts = heater.gain();
        return Err(Error::LossExceedsPower {
            gained_watts,
            loss_watts: gained_watts - end,
        });
    }
    let seconds = if start - end < 1e-4 * start {
        // Losses hardly change along the way: integrate over temperature.
        integral(
            |t| load.capacity(t) / heater.net(t),
            from.celsius(),
            to.celsius(),
            4,
        )
    } else {
        // Over the logarithm of the net power, in which the integrand is smooth
        // even close to stalling.
        let loss = heater.loss.watts_per_kelvin();
        let base = heater.gain() / loss + heater.room.celsius();
        let capacity = |u: f64| load.capacity(base - u.exp() / loss);
        integral(capacity, end.ln(), start.ln(), 8) / loss
    };
    Ok(TimeSpan::new(seconds)?)
}
