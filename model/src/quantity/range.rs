//! The error every bounded quantity gives, and nothing else.

use std::fmt;

/// A value that a quantity does not allow.
///
/// The text names the quantity, its unit and its range, so that it can be shown
/// to the person who typed the value.
///
/// # Examples
///
/// ```
/// let error = model::Temperature::new(1000.0).unwrap_err();
/// assert_eq!(
///     error.to_string(),
///     "1000 °C is outside what temperature allows: -60 to 150 °C",
/// );
/// ```
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct OutOfRange {
    /// What the quantity is called.
    pub quantity: &'static str,
    /// The unit of the three numbers; empty for a plain ratio.
    pub unit: &'static str,
    /// The smallest value allowed.
    pub min: f64,
    /// The largest value allowed.
    pub max: f64,
    /// The value that was offered; may be NaN or infinite.
    pub value: f64,
}

impl fmt::Display for OutOfRange {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let Self {
            quantity,
            unit,
            min,
            max,
            value,
        } = self;
        let space = if unit.is_empty() { "" } else { " " };
        write!(
            f,
            "{value}{space}{unit} is outside what {quantity} allows: {min} to {max}{space}{unit}"
        )
    }
}

impl std::error::Error for OutOfRange {}

/// Checks that `value` lies in `min..=max`, for ranges of a function rather
/// than of a quantity.
pub(crate) fn within(
    value: f64,
    quantity: &'static str,
    unit: &'static str,
    min: f64,
    max: f64,
) -> Result<f64, OutOfRange> {
    if value >= min && value <= max {
        Ok(value)
    } else {
        Err(OutOfRange {
            quantity,
            unit,
            min,
            max,
            value,
        })
    }
}
