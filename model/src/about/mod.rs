//! What stands behind each calculation: its equation, source, range and uncertainty.
//!
//! Data for whoever shows a result: a number is only as good as what is said
//! here. Where nothing is published the uncertainty says *not published*.

mod air;
mod co2;
mod dispensing;
mod heat;
mod kegs;
mod site;

pub use air::{AIR_AFTER_PURGING, AIR_IN_WATER, REAERATION};
pub use co2::{
    ACIDITY, CO2_GAS, CO2_IN_SUGAR, CO2_IN_WATER, CO2_VAPOUR, SEALED_KEG, SHAKING, SPARGING,
    STILL_UPTAKE, SUPPLY,
};
pub use dispensing::DISPENSING;
pub use heat::{
    COLD_STORE, COOLING_IN_AIR, FREEZING_POINT, HEATING, ICE_BALANCE, ICE_BATH, ICE_PROPERTIES,
    OPEN_POT, STEAM, WATER_PROPERTIES,
};
pub use kegs::{
    ASCORBATE, CARBON_FILTER, DRAW_OFF, GLASS, LIMITS, REGRESSION, ROOM_AIR, WEIGHING, YIELD,
};
pub use site::{BOILING, STANDARD_ATMOSPHERE, UNITS};

/// An equation as it is used here.
///
/// ```
/// use model::about::{Basis, CO2_IN_WATER};
///
/// assert_eq!(CO2_IN_WATER.uncertainty.relative, Some(0.025));
/// assert_eq!(CO2_IN_WATER.uncertainty.basis, Basis::Compared);
/// ```
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Equation {
    /// What it gives.
    pub gives: &'static str,
    /// Its form in words or symbols.
    pub form: &'static str,
    /// Where it is written.
    pub source: &'static str,
    /// Where it holds.
    pub valid: &'static str,
    /// How far off it may be.
    pub uncertainty: Uncertainty,
}

/// How far off a calculation may be.
///
/// See [`Equation`] for an example.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Uncertainty {
    /// In words.
    pub says: &'static str,
    /// Half width of the range over the value, where one number says it; for
    /// *within a factor f* it is f - 1.
    pub relative: Option<f64>,
    /// What it rests on.
    pub basis: Basis,
}

/// What an uncertainty rests on.
///
/// See [`Equation`] for an example.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Basis {
    /// A definition or a balance: exact for exact inputs.
    Exact,
    /// The spread against published data or other equations.
    Compared,
    /// Nothing is published: an estimate.
    Estimate,
}

/// Every equation here, for lists shown to people.
pub const EQUATIONS: [Equation; 36] = [
    UNITS,
    STANDARD_ATMOSPHERE,
    BOILING,
    CO2_IN_WATER,
    CO2_IN_SUGAR,
    ACIDITY,
    CO2_GAS,
    CO2_VAPOUR,
    SEALED_KEG,
    STILL_UPTAKE,
    SHAKING,
    SPARGING,
    SUPPLY,
    AIR_IN_WATER,
    REAERATION,
    AIR_AFTER_PURGING,
    WATER_PROPERTIES,
    STEAM,
    ICE_PROPERTIES,
    HEATING,
    OPEN_POT,
    ICE_BALANCE,
    ICE_BATH,
    COOLING_IN_AIR,
    COLD_STORE,
    FREEZING_POINT,
    ASCORBATE,
    CARBON_FILTER,
    DRAW_OFF,
    WEIGHING,
    ROOM_AIR,
    LIMITS,
    DISPENSING,
    GLASS,
    YIELD,
    REGRESSION,
];

const fn exact(says: &'static str) -> Uncertainty {
    Uncertainty {
        says,
        relative: Some(0.0),
        basis: Basis::Exact,
    }
}

const fn compared(relative: f64, says: &'static str) -> Uncertainty {
    Uncertainty {
        says,
        relative: Some(relative),
        basis: Basis::Compared,
    }
}

const fn estimate(relative: Option<f64>, says: &'static str) -> Uncertainty {
    Uncertainty {
        says,
        relative,
        basis: Basis::Estimate,
    }
}

#[cfg(test)]
mod tests {
    use super::{Basis, EQUATIONS};

    #[test]
    fn each_says_where_it_comes_from_and_how_good_it_is() {
        for equation in EQUATIONS {
            for text in [
                equation.gives,
                equation.form,
                equation.source,
                equation.valid,
                equation.uncertainty.says,
            ] {
                assert!(text.len() > 3, "{equation:?}");
            }
            let uncertainty = equation.uncertainty;
            let admitted = uncertainty.says.contains("not published");
            assert_eq!(
                admitted,
                uncertainty.basis == Basis::Estimate,
                "{equation:?}"
            );
        }
    }
}
