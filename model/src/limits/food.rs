//! Drinking water, food ice and the cooling of perishable drinks.

use super::verdict::{Evidence, Limit, Rule, RuleVerdict};

/// Chlorine in drinking water.
pub const CHLORINE: Limit = Limit {
    what: "chlorine in drinking water",
    value: 4.0,
    unit: "mg/L as Cl2",
    source: "40 CFR 141.65, read in a state mirror",
    evidence: Evidence::LookedUp,
};

/// Chloramines in drinking water.
pub const CHLORAMINES: Limit = Limit {
    what: "chloramines in drinking water",
    value: 4.0,
    unit: "mg/L as Cl2",
    source: "40 CFR 141.65, read in a state mirror",
    evidence: Evidence::LookedUp,
};

/// Chlorine dioxide in drinking water.
pub const CHLORINE_DIOXIDE: Limit = Limit {
    what: "chlorine dioxide in drinking water",
    value: 0.8,
    unit: "mg/L as ClO2",
    source: "40 CFR 141.65, read in a state mirror",
    evidence: Evidence::LookedUp,
};

/// Holding food that needs time and temperature control (TCS), such as some
/// juices; plain carbonated water is not TCS.
pub const COLD_HOLDING: Limit = Limit {
    what: "temperature of cold TCS food",
    value: 5.0,
    unit: "°C",
    source: "FDA Food Code 3-501.16(A)(2), read in WAC 246-215-03525",
    evidence: Evidence::LookedUp,
};

/// Cooling cooked TCS food from 57 to 21 °C.
pub const COOLING_TO_21: Limit = Limit {
    what: "time from 57 to 21 °C for cooked TCS food",
    value: 2.0,
    unit: "h",
    source: "FDA Food Code 3-501.14(A)(1), read in 16 Del. Admin. Code 3-501.14",
    evidence: Evidence::LookedUp,
};

/// Cooling cooked TCS food from 57 to 5 °C.
pub const COOLING_TO_5: Limit = Limit {
    what: "time from 57 to 5 °C for cooked TCS food",
    value: 6.0,
    unit: "h",
    source: "FDA Food Code 3-501.14(A)(2), read in 16 Del. Admin. Code 3-501.14",
    evidence: Evidence::LookedUp,
};

/// Cooling TCS food made from ingredients at room temperature to 5 °C.
pub const COOLING_FROM_AMBIENT: Limit = Limit {
    what: "time to 5 °C for TCS food from ingredients at room temperature",
    value: 4.0,
    unit: "h",
    source: "FDA Food Code 3-501.14(B), read in 16 Del. Admin. Code 3-501.14",
    evidence: Evidence::LookedUp,
};

/// What ice must be made of.
pub const ICE_SOURCE: Rule = Rule {
    section: "3-202.16",
    says: "ice used as food or to cool food is made from drinking water",
    source: "FDA Food Code, cited in Conference for Food Protection 2014 issue III-026",
    evidence: Evidence::LookedUp,
};

/// Ice that cooled containers from outside.
pub const COOLANT_ICE: Rule = Rule {
    section: "3-303.11",
    says: "ice used to cool the outside of food or containers is never used as food",
    source: "FDA Food Code",
    evidence: Evidence::FromMemory,
};

/// Ice as a way of cooling.
pub const ICE_AS_COOLING: Rule = Rule {
    section: "3-501.15",
    says: "ice as an ingredient and an ice-water bath are accepted ways of cooling",
    source: "FDA Food Code, read in WAC 246-215-03520",
    evidence: Evidence::LookedUp,
};

/// Where ice comes from and where it goes.
///
/// See [`food_ice`] for an example.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct IceUse {
    /// It was made from drinking water.
    pub from_drinking_water: bool,
    /// It has cooled containers from outside.
    pub cooled_outside: bool,
    /// It goes into a drink, or into water that becomes one.
    pub into_drink: bool,
}

/// Verdicts on ice: what it is made of, whether coolant ice is drunk, and ice
/// as a way of cooling, which is accepted.
///
/// ```
/// use model::limits::{self, IceUse};
///
/// let bath = IceUse { from_drinking_water: true, cooled_outside: true, into_drink: false };
/// assert!(limits::food_ice(bath).iter().all(|verdict| verdict.accepted));
/// let drunk = IceUse { into_drink: true, ..bath };
/// assert!(!limits::food_ice(drunk)[1].accepted);
/// ```
#[must_use]
pub const fn food_ice(ice: IceUse) -> [RuleVerdict; 3] {
    [
        ICE_SOURCE.judge(ice.from_drinking_water),
        COOLANT_ICE.judge(!(ice.cooled_outside && ice.into_drink)),
        ICE_AS_COOLING.judge(true),
    ]
}
