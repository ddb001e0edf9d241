//! From one unit to another.

use super::{Kind, Unit};
use crate::Error;

/// The same quantity in another unit, checked: temperatures are above absolute
/// zero, and what cannot be negative is not.
///
/// # Errors
///
/// [`Error::DifferentKinds`] for units of different kinds;
/// [`Error::NotPossible`] below what the kind allows, or for a value too large
/// to be written in the other unit.
///
/// ```
/// use model::units::{Unit, convert};
///
/// assert!((convert(41.0, Unit::F, Unit::C)? - 5.0).abs() < 1e-9);
/// assert!((convert(4.0, Unit::Volumes, Unit::GPerL)? - 7.907).abs() < 1e-3);
/// assert!(convert(4.0, Unit::Psi, Unit::C).is_err());
/// assert!(convert(-300.0, Unit::C, Unit::K).is_err());
/// # Ok::<(), model::Error>(())
/// ```
pub fn convert(value: f64, from: Unit, to: Unit) -> Result<f64, Error> {
    if from.kind() != to.kind() {
        return Err(Error::DifferentKinds {
            from: from.symbol(),
            to: to.symbol(),
        });
    }
    let lowest = from.of_si(from.kind().lowest());
    let found = converted(value, from, to);
    if value >= lowest && found.is_finite() {
        return Ok(found);
    }
    Err(Error::NotPossible {
        what: from.kind().name(),
        wanted: value,
        lowest,
        highest: f64::MAX,
    })
}

/// The same quantity in another unit of the same kind, unchecked: for numbers
/// that come from a quantity.
///
/// ```
/// use model::units::{Unit, converted};
///
/// assert!((converted(2.0, Unit::Bar, Unit::Psi) - 29.0).abs() < 0.01);
/// ```
#[must_use]
pub fn converted(value: f64, from: Unit, to: Unit) -> f64 {
    match (from, to) {
        _ if from == to => value, // to the last digit
        // Straight, without the rounding of the way through kelvin.
        (Unit::C, Unit::F) => value * 1.8 + 32.0,
        (Unit::F, Unit::C) => (value - 32.0) / 1.8,
        _ => to.of_si(from.to_si(value)),
    }
}

impl Kind {
    /// The lowest value there can be, in SI.
    fn lowest(self) -> f64 {
        match self {
            Self::TemperatureDifference | Self::Pressure | Self::Power | Self::Length => f64::MIN,
            _ => 0.0,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::{convert, converted};
    use crate::units::Unit;

    #[test]
    fn every_unit_comes_back_from_si() {
        for unit in Unit::ALL {
            let back = unit.of_si(unit.to_si(12.5));
            assert!((back - 12.5).abs() < 1e-9, "{unit:?}: {back}");
            assert!(converted(12.5, unit, unit.kind().si()).is_finite());
        }
    }

    #[test]
    fn what_is_not_possible_is_refused() {
        assert!(convert(-1.0, Unit::L, Unit::M3).is_err());
        assert!(convert(-1.0, Unit::Bar, Unit::Psi).is_ok());
        assert!(convert(f64::NAN, Unit::L, Unit::M3).is_err());
        assert!(convert(f64::MAX, Unit::M3, Unit::L).is_err());
    }
}
