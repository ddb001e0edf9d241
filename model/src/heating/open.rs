//! Heating a pot without a lid.

use std::cell::Cell;

use super::pot::Heater;
use super::steam::{Losses, OpenSurface};
use crate::numeric::integral;
use crate::{Error, Load, Mass, Temperature, TimeSpan};

/// What heating an open pot takes.
///
/// See [`open_time`] for an example.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Heated {
    /// How long it takes.
    pub time: TimeSpan,
    /// Water lost as steam on the way.
    pub evaporated: Mass,
}

/// Time to heat a load in an open pot, with the steam it loses.
///
/// The steam is taken from the heat but not from the mass of the load, which
/// it changes by a few per cent at most. Good to a factor 2 in the losses.
///
/// # Errors
///
/// [`Error::LossExceedsPower`] when the pot would stall before `to`;
/// [`Error::OutOfRange`] outside 0 to 110 °C or beyond thirty years.
///
/// ```
/// use model::heating::{self, Heater, OpenSurface};
/// use model::{
///     AbsolutePressure, Area, Conductance, Fraction, Load, Mass, Power, Temperature, Volume,
/// };
///
/// let pot = Load { liquid: Volume::of(30.0), steel: Mass::of(6.0) };
/// let hob = Heater {
///     power: Power::of(3500.0),
///     efficiency: Fraction::of(0.85),
///     loss: Conductance::of(0.0),
///     room: Temperature::of(20.0),
/// };
/// let surface = OpenSurface {
///     area: Area::of(0.1),
///     room: Temperature::of(20.0),
///     humidity: Fraction::of(0.5),
///     atmosphere: AbsolutePressure::STANDARD_ATMOSPHERE,
/// };
/// let (from, to) = (Temperature::of(15.0), Temperature::of(90.0));
/// let open = heating::open_time(&pot, &hob, &surface, from, to)?;
/// let covered = heating::time(&pot, &hob, from, to)?;
/// assert!(open.time > covered);
/// assert!(open.evaporated < Mass::of(1.0));
/// # Ok::<(), model::Error>(())
/// ```
pub fn open_time(
    load: &Load,
    heater: &Heater,
    surface: &OpenSurface,
    from: Temperature,
    to: Temperature,
) -> Result<Heated, Error> {
    if load.heat(to)? <= load.heat(from)? {
        return Ok(Heated {
            time: TimeSpan::ZERO,
            evaporated: Mass::of(0.0),
        });
    }
    crate::quantity::within(surface.room.celsius(), "room temperature", "°C", -4.0, 60.0)?;
    let pot = OpenPot {
        load,
        heater,
        surface,
        stalled: Cell::new(None),
    };
    let (start, end) = (from.celsius(), to.celsius());
    pot.moment(end);
    let seconds = integral(|t| pot.moment(t).0, start, end, PANELS);
    let kilograms = integral(|t| pot.moment(t).1, start, end, PANELS);
    if let Some(loss_watts) = pot.stalled.get() {
        return Err(Error::LossExceedsPower {
            gained_watts: heater.gain(),
            loss_watts,
        });
    }
    Ok(Heated {
        time: TimeSpan::new(seconds)?,
        evaporated: Mass::new(kilograms)?,
    })
}

/// Enough for the steep rise of the losses near the boil.
const PANELS: u32 = 16;

/// What is integrated, and whether the pot stalls anywhere on the way.
struct OpenPot<'a> {
    load: &'a Load,
    heater: &'a Heater,
    surface: &'a OpenSurface,
    /// The losses, W, where they exceed what the heater gives.
    stalled: Cell<Option<f64>>,
}

impl OpenPot<'_> {
    /// Seconds, and kilograms of steam, per kelvin at this temperature.
    fn moment(&self, celsius: f64) -> (f64, f64) {
        let Ok(losses) = Losses::at(self.surface, celsius) else {
            return (0.0, 0.0); // in range by the checks before
        };
        let net = self.heater.net(celsius) - losses.watts;
        if net <= 0.0 {
            self.stalled.set(Some(self.heater.gain() - net));
            return (0.0, 0.0);
        }
        let seconds = self.load.capacity(celsius) / net;
        (seconds, seconds * losses.kilograms_per_second)
    }
}
