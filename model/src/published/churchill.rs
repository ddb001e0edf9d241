//! Friction in pipes: Churchill, S. W., "Friction-factor equation spans all fluid-flow regimes",
//! Chemical Engineering 84 (1977), 91–92 (coefficients from memory, and the same as those of the
//! open-source library `fluids`, against which it is checked).

use crate::OutOfRange;
use crate::quantity::within;

/// Darcy's friction factor at a Reynolds number and a roughness over the bore.
///
/// Laminar (64/Re), turbulent (within about 2 % of Colebrook 1939) and, by a smooth passage
/// between them from about 2000 to 4000, what no equation predicts: there it is ±30 % or worse.
///
/// # Errors
///
/// [`OutOfRange`] outside Reynolds numbers of 1e-6 to 1e8 and relative roughnesses of 0 to 0.05.
///
/// ```
/// use model::published::churchill;
///
/// let laminar = churchill::friction_factor(1000.0, 0.0)?;
/// assert!((laminar - 0.064).abs() < 1e-4);
/// // White, Fluid Mechanics, chapter 6 (from memory): 0.0201 by Colebrook.
/// let turbulent = churchill::friction_factor(72_600.0, 0.0002)?;
/// assert!((turbulent - 0.0201).abs() < 3e-4);
/// # Ok::<(), model::OutOfRange>(())
/// ```
pub fn friction_factor(reynolds: f64, roughness: f64) -> Result<f64, OutOfRange> {
    let re = within(reynolds, "Reynolds number", "", 1e-6, 1e8)?;
    let rough = within(roughness, "relative roughness", "", 0.0, 0.05)?;
    let turbulent = (2.457 * ((7.0 / re).powf(0.9) + 0.27 * rough).recip().ln()).powi(16);
    let passage = (37_530.0 / re).powi(16);
    // In logarithms the twelfth power of a slow flow stays finite.
    let laminar = 12.0 * (8.0 / re).ln();
    let other = -1.5 * (turbulent + passage).ln();
    let (high, low) = (laminar.max(other), laminar.min(other));
    Ok(8.0 * ((high + (low - high).exp().ln_1p()) / 12.0).exp())
}

#[cfg(test)]
mod tests {
    use super::friction_factor;

    /// Colebrook 1939, solved by iteration: 1/√f = -2 log10(ε/3.7 + 2.51/(Re √f)).
    fn colebrook(re: f64, rough: f64) -> f64 {
        let mut root = 8.0;
        for _ in 0..60 {
            root = -2.0 * (rough / 3.7 + 2.51 * root / re).log10();
        }
        1.0 / (root * root)
    }

    #[test]
    fn is_64_over_reynolds_when_slow_and_colebrook_when_fast() {
        for re in [1e-6, 1.0, 100.0, 1800.0] {
            let found = friction_factor(re, 1e-4).unwrap();
            assert!((found * re / 64.0 - 1.0).abs() < 2e-3, "{re}: {found}");
        }
        for re in [5e3, 2e4, 1e6, 1e8] {
            for rough in [0.0, 3e-4, 0.01, 0.05] {
                let (found, other) = (friction_factor(re, rough).unwrap(), colebrook(re, rough));
                assert!(
                    (found / other - 1.0).abs() < 0.035,
                    "{re} {rough}: {found}, {other}"
                );
            }
        }
    }
}
