//! Figures of an answer as people read them.

/// Money, to the cent.
pub(super) fn cents(amount: f64) -> f64 {
    to(amount, 100.0)
}

/// Litres, kilograms and kegs, to a tenth.
pub(super) fn tenths(amount: f64) -> f64 {
    to(amount, 10.0)
}

/// Litres that are told apart where they differ, to a hundredth.
pub(super) fn hundredths(amount: f64) -> f64 {
    to(amount, 100.0)
}

/// Chances, and what is counted on average.
pub(super) fn ten_thousandths(share: f64) -> f64 {
    to(share, 1e4)
}

/// To a part of one; no hair below zero.
fn to(value: f64, parts: f64) -> f64 {
    (value * parts).round() / parts + 0.0
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn figures_are_rounded_and_nothing_is_less_than_zero() {
        assert_eq!(cents(24.705_001).to_string(), "24.71");
        assert_eq!(tenths(-0.26).to_string(), "-0.3");
        assert!(hundredths(-0.001).is_sign_positive());
        assert_eq!(ten_thousandths(0.333_333).to_string(), "0.3333");
    }
}
