//! Coefficients to plan with until a site has its own.

use crate::MassTransfer;

/// A range of mass-transfer coefficients derived from correlations, not
/// measured on kegs.
///
/// ```
/// use model::kinetics::{SHAKEN, STILL_KEG_19_L};
///
/// assert!(SHAKEN.low > STILL_KEG_19_L.high);
/// assert!(SHAKEN.typical() > SHAKEN.low && SHAKEN.typical() < SHAKEN.high);
/// ```
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PlanningRange {
    /// Slow end.
    pub low: MassTransfer,
    /// Fast end.
    pub high: MassTransfer,
    /// Where it comes from.
    pub source: &'static str,
}

impl PlanningRange {
    /// The geometric mean of both ends.
    ///
    /// See [`PlanningRange`] for an example.
    #[must_use]
    pub fn typical(&self) -> MassTransfer {
        // Between two values in range, so the fallback is never taken.
        let mean = (self.low.per_second() * self.high.per_second()).sqrt();
        MassTransfer::new(mean).unwrap_or(self.low)
    }
}

/// A 19 L steel keg standing still under pressure.
pub const STILL_KEG_19_L: PlanningRange = PlanningRange {
    low: MassTransfer::of(3e-6),
    high: MassTransfer::of(1e-5),
    source: "derived: Sh = 0.15 Ra^(1/3), Lloyd & Moran 1974 (from memory)",
};

/// A keg shaken hard by hand.
pub const SHAKEN: PlanningRange = PlanningRange {
    low: MassTransfer::of(3e-3),
    high: MassTransfer::of(1.5e-2),
    source: "derived: eddy model, Linek et al. 2004, Chem. Eng. Process. 43:1511",
};

/// CO2 bubbled through a porous stone at 0.5 to 2 L/min into an open keg; under
/// pressure see [`sparged`](crate::kinetics::sparged). The gas supply is then
/// the tighter limit, see [`supply_time`](crate::kinetics::supply_time).
pub const STONE: PlanningRange = PlanningRange {
    low: MassTransfer::of(5e-4),
    high: MassTransfer::of(1.7e-3),
    source: "derived: kLa = 0.32 u^0.7, Heijnen & van 't Riet 1984 (from memory)",
};
