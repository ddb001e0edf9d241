//! Whether a container cools a perishable drink fast enough.

use super::food::{COLD_HOLDING, COOLING_FROM_AMBIENT, COOLING_TO_5, COOLING_TO_21};
use super::verdict::Verdict;
use crate::cooling::{Container, Surroundings, time_to};
use crate::{Error, Temperature};

/// Verdicts on cooling from 57 °C to 21 °C and to 5 °C, as the Food Code asks
/// for cooked food that needs time and temperature control (TCS). Plain
/// carbonated water is not TCS; some juices are.
///
/// # Errors
///
/// [`Error::NeverReached`] in air that is not below 5 °C.
///
/// ```
/// use model::cooling::{Container, Surroundings};
/// use model::{Temperature, limits};
///
/// let store = Surroundings::still(Temperature::of(2.0));
/// let [to_21, to_5] = limits::perishable_cooling(&Container::STEEL_KEG_19_L, store)?;
/// // A full keg in still air is far too slow for such drinks.
/// assert!(!to_21.accepted && !to_5.accepted);
/// # Ok::<(), model::Error>(())
/// ```
pub fn perishable_cooling(
    container: &Container,
    surroundings: Surroundings,
) -> Result<[Verdict; 2], Error> {
    let hot = Temperature::of(57.0);
    let time = |to: Temperature| time_to(container, surroundings, hot, to);
    Ok([
        COOLING_TO_21.judge(time(Temperature::of(21.0))?.hours()),
        COOLING_TO_5.judge(time(Temperature::new(COLD_HOLDING.value)?)?.hours()),
    ])
}

/// Verdict on cooling from room temperature to 5 °C, as the Food Code asks for
/// such food made from ingredients at room temperature.
///
/// # Errors
///
/// [`Error::NeverReached`] in air that is not below 5 °C, or from below it.
///
/// ```
/// use model::cooling::{Container, Surroundings};
/// use model::{Temperature, limits};
///
/// let store = Surroundings::still(Temperature::of(2.0));
/// let keg = Container::STEEL_KEG_19_L;
/// let slow = limits::perishable_cooling_from(&keg, store, Temperature::of(20.0))?;
/// assert!(!slow.accepted);
/// # Ok::<(), model::Error>(())
/// ```
pub fn perishable_cooling_from(
    container: &Container,
    surroundings: Surroundings,
    room: Temperature,
) -> Result<Verdict, Error> {
    let cold = Temperature::new(COLD_HOLDING.value)?;
    let hours = time_to(container, surroundings, room, cold)?.hours();
    Ok(COOLING_FROM_AMBIENT.judge(hours))
}
