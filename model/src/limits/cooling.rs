//! Whether a container cools a perishable drink fast enough.

use super::food::{COLD_HOLDING, COOLING_TO_5, COOLING_TO_21};
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
