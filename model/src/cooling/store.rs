//! A cold store with several warm kegs in it, whose cooling may fall short.

use super::curve::decay;
use super::film::Film;
use super::{Container, Surroundings};
use crate::load::liquid_celsius;
use crate::{
    AbsolutePressure, AirSpeed, Conductance, Error, HeatFlow, Power, Temperature, TimeSpan,
};

/// A refrigerated room or cabinet.
///
/// ```
/// use model::{AbsolutePressure, AirSpeed, Conductance, Power, Temperature, cooling::Store};
///
/// let store = Store {
///     set_point: Temperature::of(2.0),
///     power: Power::of(300.0),
///     walls: Conductance::of(2.0),
///     room: Temperature::of(22.0),
///     speed: AirSpeed::of(0.0),
///     atmosphere: AbsolutePressure::STANDARD_ATMOSPHERE,
/// };
/// assert!(store.power > Power::of(0.0));
/// ```
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Store {
    /// Temperature the thermostat holds while it can.
    pub set_point: Temperature,
    /// Most heat the refrigeration carries away.
    pub power: Power,
    /// Conductance of the walls and door, to the room.
    pub walls: Conductance,
    /// Temperature of the room.
    pub room: Temperature,
    /// Speed of the air inside.
    pub speed: AirSpeed,
    /// Air pressure of the site.
    pub atmosphere: AbsolutePressure,
}

/// Containers of one kind and temperature in a store.
///
/// See [`run`] for an example.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Stored {
    /// What they are.
    pub container: Container,
    /// Their temperature now.
    pub temperature: Temperature,
    /// How many there are.
    pub count: u32,
}

/// The air of a store at one moment.
///
/// See [`run`] for an example.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct StoreAir {
    /// Its temperature.
    pub temperature: Temperature,
    /// Heat coming from containers and walls.
    pub load: HeatFlow,
    /// Whether the load has outgrown the cooling power, so that the air is
    /// warmer than the set point.
    pub overloaded: bool,
}

/// The air a store settles at with these containers in it.
///
/// At the set point while the cooling power is enough; above it, where the
/// heat given off and the power balance. The heat stored in the air itself is
/// neglected: it settles within minutes.
///
/// # Errors
///
/// [`Error::OutOfRange`] for containers outside -1 to 110 °C.
///
/// See [`run`] for an example.
pub fn air(store: &Store, contents: &[Stored]) -> Result<StoreAir, Error> {
    for stored in contents {
        liquid_celsius(stored.temperature.celsius())?;
    }
    let set_point = store.set_point.celsius();
    let power = store.power.watts();
    let mut celsius = set_point;
    if load(store, contents, set_point) > power {
        let warmest = contents
            .iter()
            .map(|stored| stored.temperature.celsius())
            .fold(store.room.celsius(), f64::max);
        let short = |t: f64| Ok::<f64, Error>(power - load(store, contents, t));
        celsius = crate::numeric::crossing(short, set_point, warmest.max(set_point))?;
    }
    Ok(StoreAir {
        temperature: Temperature::new(celsius)?,
        load: HeatFlow::new(load(store, contents, celsius))?,
        overloaded: celsius > set_point,
    })
}

/// Cools the contents of a store for a time and tells the air at the end.
///
/// In steps of five minutes at most, each with the air of its middle, carried on
/// from the air of this step's beginning and the last one's.
///
/// # Errors
///
/// [`Error::OutOfRange`] when a container would leave -1 to 110 °C, or for
/// more than a year.
///
/// ```
/// use model::cooling::{self, Container, Store, Stored};
/// use model::{AbsolutePressure, AirSpeed, Conductance, Power, Temperature, TimeSpan};
///
/// let store = Store {
///     set_point: Temperature::of(2.0),
///     power: Power::of(300.0),
///     walls: Conductance::of(2.0),
///     room: Temperature::of(22.0),
///     speed: AirSpeed::of(0.0),
///     atmosphere: AbsolutePressure::STANDARD_ATMOSPHERE,
/// };
/// let hot = Stored {
///     container: Container::STEEL_KEG_19_L,
///     temperature: Temperature::of(60.0),
///     count: 2,
/// };
/// let mut two = [hot];
/// // Two hot kegs and the walls are more than 300 W: the air warms.
/// assert!(cooling::air(&store, &two)?.overloaded);
/// let later = cooling::run(&store, &mut two, TimeSpan::from_hours(24.0)?)?;
/// assert!(!later.overloaded);
/// assert!(two[0].temperature < Temperature::of(15.0));
/// # Ok::<(), model::Error>(())
/// ```
pub fn run(store: &Store, contents: &mut [Stored], time: TimeSpan) -> Result<StoreAir, Error> {
    const STEP: f64 = 300.0;
    crate::quantity::within(time.hours(), "time in a store", "h", 0.0, 24.0 * 366.0)?;
    let mut left = time.seconds();
    let mut last: Option<f64> = None; // °C at the beginning of the last step, of full length
    while left > 0.0 {
        let step = left.min(STEP);
        let now = air(store, contents)?.temperature.celsius();
        let rise = last.map_or(0.0, |before| (now - before) * step / STEP);
        last = Some(now);
        let middle = (now + rise / 2.0).clamp(store.set_point.celsius(), Temperature::MAX);
        let surroundings = Surroundings {
            air: Temperature::new(middle)?,
            speed: store.speed,
            atmosphere: store.atmosphere,
        };
        for stored in contents.iter_mut() {
            stored.temperature = advanced(stored, surroundings, step)?;
        }
        left -= step;
    }
    air(store, contents)
}

/// Temperature of one container after a step in air of constant temperature.
fn advanced(stored: &Stored, around: Surroundings, seconds: f64) -> Result<Temperature, Error> {
    let film = Film::new(&stored.container, around);
    let rate = |t: f64| film.conductance(t) / stored.container.load.capacity(t);
    let gap = decay(
        rate,
        stored.temperature - around.air,
        around.air.celsius(),
        seconds,
    );
    Ok(Temperature::new(liquid_celsius(
        around.air.celsius() + gap,
    )?)?)
}

/// Heat that containers and walls give to air of this temperature, W. It falls
/// as the air warms.
fn load(store: &Store, contents: &[Stored], celsius: f64) -> f64 {
    let walls = store.walls.watts_per_kelvin() * (store.room.celsius() - celsius);
    let Ok(air) = Temperature::new(celsius) else {
        return walls; // between two temperatures in range, so not reached
    };
    let surroundings = Surroundings {
        air,
        speed: store.speed,
        atmosphere: store.atmosphere,
    };
    let contained: f64 = contents
        .iter()
        .map(|stored| {
            let warm = stored.temperature.celsius();
            let each =
                Film::new(&stored.container, surroundings).conductance(warm) * (warm - celsius);
            each * f64::from(stored.count)
        })
        .sum();
    walls + contained
}
