//! Henry constants of gases in water: IAPWS Guideline G7-04 (2004), equation 3.
//!
//! Coefficients from memory; the printed check values are reproduced
//! (reference test). Used here for nitrogen, oxygen and argon in hot water
//! only: the guideline is a high-temperature fit that reads 4.5 % low for CO2
//! at 0 °C, and 3 % low for nitrogen.

use crate::OutOfRange;
use crate::quantity::within;

const CRITICAL_KELVIN: f64 = 647.096;
const CRITICAL_GPA: f64 = 0.022_064;

/// A gas the guideline covers.
///
/// ```
/// use model::published::g704::{Solute, henry_constant};
///
/// assert!(henry_constant(Solute::Nitrogen, 300.0)? > henry_constant(Solute::Oxygen, 300.0)?);
/// # Ok::<(), model::OutOfRange>(())
/// ```
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Solute {
    /// N2, fitted 278 to 636 K.
    Nitrogen,
    /// O2, fitted 274 to 616 K.
    Oxygen,
    /// Ar, fitted 273 to 568 K.
    Argon,
    /// CO2, fitted 274 to 643 K; for comparison only.
    CarbonDioxide,
}

impl Solute {
    const fn coefficients(self) -> [f64; 3] {
        match self {
            Self::Nitrogen => [-9.675_78, 4.721_62, 11.705_85],
            Self::Oxygen => [-9.448_33, 4.438_22, 11.420_05],
            Self::Argon => [-8.409_54, 4.295_87, 10.527_79],
            Self::CarbonDioxide => [-8.554_45, 4.011_95, 9.523_45],
        }
    }
}

/// Henry constant kH in GPa: partial pressure over mole fraction, at high dilution.
///
/// # Errors
///
/// [`OutOfRange`] outside 268.15 to 636 K.
///
/// ```
/// use model::published::g704::{Solute, henry_constant};
///
/// assert!((henry_constant(Solute::Nitrogen, 300.0)?.ln() - 2.1716).abs() < 1e-4);
/// # Ok::<(), model::OutOfRange>(())
/// ```
pub fn henry_constant(solute: Solute, kelvin: f64) -> Result<f64, OutOfRange> {
    Ok(Henry::at(kelvin)?.constant(solute))
}

/// The temperature-dependent terms shared by all solutes, worked out once.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Henry {
    terms: [f64; 3],
    vapour_pressure: f64,
}

impl Henry {
    pub(crate) fn at(kelvin: f64) -> Result<Self, OutOfRange> {
        let t = within(kelvin, "temperature for gas solubility", "K", 268.15, 636.0)?;
        let reduced = t / CRITICAL_KELVIN;
        let tau = 1.0 - reduced;
        Ok(Self {
            terms: [
                1.0 / reduced,
                tau.powf(0.355) / reduced,
                reduced.powf(-0.41) * tau.exp(),
            ],
            vapour_pressure: vapour_pressure(reduced, tau),
        })
    }

    pub(crate) fn constant(&self, solute: Solute) -> f64 {
        let [a, b, c] = solute.coefficients();
        let [ta, tb, tc] = self.terms;
        self.vapour_pressure * (a * ta + b * tb + c * tc).exp()
    }
}

/// Vapour pressure of water in GPa as the guideline uses it (its equation 4).
fn vapour_pressure(reduced: f64, tau: f64) -> f64 {
    let root = tau.sqrt();
    let cubed = tau * tau * tau;
    let sum = -7.859_517_83 * tau + 1.844_082_59 * tau * root - 11.786_649_7 * cubed
        + 22.680_741_1 * cubed * root
        - 15.961_871_9 * cubed * tau
        + 1.801_225_02 * cubed * cubed * tau * root;
    CRITICAL_GPA * (sum / reduced).exp()
}
