//! How near the model must come.

/// The tolerance column of a row.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) enum Tolerance {
    /// Context, not a check.
    Data,
    /// A limit: must be the same.
    Equal,
    Relative(f64),
    Absolute(f64),
}

impl Tolerance {
    pub(crate) fn parse(text: &str) -> Result<Self, String> {
        let number = |digits: &str| {
            digits
                .parse::<f64>()
                .map_err(|_| format!("tolerance {text:?} is not understood"))
        };
        match text.split_once(' ') {
            None if text == "data" => Ok(Self::Data),
            None if text == "limit" => Ok(Self::Equal),
            Some(("rel", digits)) => Ok(Self::Relative(number(digits)?)),
            Some(("abs", digits)) => Ok(Self::Absolute(number(digits)?)),
            _ => Err(format!("tolerance {text:?} is not understood")),
        }
    }

    pub(crate) fn allows(self, value: f64, published: f64) -> bool {
        self.used(value, published) <= 1.0
    }

    /// The share of the tolerance that a deviation uses up.
    pub(crate) fn used(self, value: f64, published: f64) -> f64 {
        let distance = (value - published).abs();
        match self {
            Self::Data => 0.0,
            Self::Equal => distance / 1e-12,
            Self::Relative(part) => distance / (part * published.abs()),
            Self::Absolute(most) => distance / most,
        }
    }
}
