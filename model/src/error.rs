//! Why a calculation has no answer.

use crate::{OutOfRange, Temperature};

/// Why a calculation has no answer for otherwise valid quantities.
///
/// # Examples
///
/// ```
/// use model::{AbsolutePressure, Error, SugarContent, Temperature, carbonation};
///
/// let hot = Temperature::of(80.0);
/// let refused = carbonation::dissolved(
///     hot,
///     AbsolutePressure::of(3.0),
///     AbsolutePressure::of(0.0),
///     SugarContent::of(0.0),
/// );
/// assert!(matches!(refused, Err(Error::OutOfRange(_))));
/// ```
#[derive(Clone, Copy, Debug, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum Error {
    /// An input or a result is outside the range the formula is good for.
    #[error(transparent)]
    OutOfRange(#[from] OutOfRange),

    /// The end temperature cannot be reached from the start with these
    /// surroundings, however long one waits.
    #[error("{to} is never reached from {from} with surroundings at {surroundings}")]
    NeverReached {
        /// Where it starts.
        from: Temperature,
        /// Where it should end.
        to: Temperature,
        /// The temperature it tends to.
        surroundings: Temperature,
    },

    /// The heater gives no more than the losses take.
    #[error("the heat loss of {loss_watts} W leaves nothing of the {gained_watts} W put in")]
    LossExceedsPower {
        /// Heat put in, W.
        gained_watts: f64,
        /// Heat lost at the hottest point, W.
        loss_watts: f64,
    },

    /// The wanted value lies outside what is possible here.
    #[error("{what}: {wanted} is not possible, only {lowest} to {highest}")]
    NotPossible {
        /// What was wanted.
        what: &'static str,
        /// The value wanted.
        wanted: f64,
        /// The lowest possible.
        lowest: f64,
        /// The highest possible.
        highest: f64,
    },

    /// More liquid than the container holds to the brim.
    #[error("{liquid_litres} L do not fit into a container of {brim_litres} L")]
    Overfull {
        /// Liquid, L.
        liquid_litres: f64,
        /// Brim volume, L.
        brim_litres: f64,
    },

    /// A unit cannot be turned into one that measures something else.
    #[error("{from} and {to} do not measure the same")]
    DifferentKinds {
        /// The unit given.
        from: &'static str,
        /// The unit wanted.
        to: &'static str,
    },

    /// Too few readings, or readings too alike, to say anything.
    #[error("the readings do not determine {what}")]
    NotDetermined {
        /// What was to be found.
        what: &'static str,
    },
}
