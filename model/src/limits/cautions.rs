//! Things to mind, and all limits and rules in one list each.

use super::verdict::{Caution, Evidence, Limit, Rule};
use super::{
    ACGIH_CEILING_15_MINUTES, ACGIH_EIGHT_HOURS, BACKFLOW, CHLORAMINES, CHLORINE, CHLORINE_DIOXIDE,
    COLD_HOLDING, COOLANT_ICE, COOLING_FROM_AMBIENT, COOLING_TO_5, COOLING_TO_21, COPPER,
    GLASS_JUMP, ICE_AS_COOLING, ICE_SOURCE, IMMEDIATE_DANGER, NIOSH_CEILING_15_MINUTES,
    OSHA_EIGHT_HOURS, OSHA_SHORT_TERM, PET_HOTTEST_FILL, STEEL_KEG_RATING,
};

/// Every limit with a number, for lists shown to people.
pub const LIMITS: [Limit; 15] = [
    STEEL_KEG_RATING,
    PET_HOTTEST_FILL,
    GLASS_JUMP,
    OSHA_EIGHT_HOURS,
    ACGIH_EIGHT_HOURS,
    NIOSH_CEILING_15_MINUTES,
    ACGIH_CEILING_15_MINUTES,
    IMMEDIATE_DANGER,
    CHLORINE,
    CHLORAMINES,
    CHLORINE_DIOXIDE,
    COLD_HOLDING,
    COOLING_TO_21,
    COOLING_TO_5,
    COOLING_FROM_AMBIENT,
];

/// Every rule without a number.
pub const RULES: [Rule; 6] = [
    OSHA_SHORT_TERM,
    ICE_SOURCE,
    COOLANT_ICE,
    ICE_AS_COOLING,
    BACKFLOW,
    COPPER,
];

/// Hot water in a closed keg.
pub const HOT_SEALED: Caution = Caution {
    when: "hot water is sealed in a keg",
    says: "it contracts by 1.7 % from 60 to 4 °C and its vapour collapses; put CO2 on before \
           cooling, or the lid draws in air",
    source: "density and vapour pressure of water: Kell 1975, IAPWS-IF97",
    evidence: Evidence::LookedUp,
};

/// A sealed keg that warms.
pub const WARM_KEG: Caution = Caution {
    when: "a carbonated keg is left to warm",
    says: "its pressure more than doubles from 2 to 30 °C; keep it cold or vent it, and never \
           above 80 % of its rating",
    source: "solubility of CO2: Weiss 1974",
    evidence: Evidence::LookedUp,
};

/// CO2 in closed rooms.
pub const GAS_RELEASE: Caution = Caution {
    when: "CO2 leaks or is vented",
    says: "it is half as heavy again as air and gathers in cellars and pits; ventilate, and \
           have an alarm where a full cylinder could pass the limits",
    source: "molar masses; exposure limits of OSHA, NIOSH and ACGIH",
    evidence: Evidence::LookedUp,
};

/// Ice as an ingredient.
pub const ICE_IN_WATER: Caution = Caution {
    when: "ice goes into the water",
    says: "about half of the water is then melted ice, with its own air and chlorine; make \
           the ice from treated, boiled water",
    source: "enthalpy of water and ice: IAPWS",
    evidence: Evidence::LookedUp,
};

/// Boiled water without a cover.
pub const STANDING_OPEN: Caution = Caution {
    when: "boiled water stands open",
    says: "it takes up air again within hours; cover it or blanket it with CO2",
    source: "surface transfer coefficient 2e-5 m/s",
    evidence: Evidence::FromMemory,
};

/// A gauge that does not show contents.
pub const CYLINDER_GAUGE: Caution = Caution {
    when: "the gauge of a CO2 cylinder is read",
    says: "it shows the temperature, not the contents, while any liquid is left; weigh it",
    source: "vapour pressure of CO2: Span & Wagner 1996",
    evidence: Evidence::LookedUp,
};

/// Hot water on the skin.
pub const HOT_WATER: Caution = Caution {
    when: "water is hotter than 50 °C",
    says: "it scalds: 60 °C burns the skin in about five seconds, 90 °C at once; lift no full pot, \
           keep the lid on, wear gloves",
    source: "Moritz & Henriques 1947, Am. J. Pathol. 23:695",
    evidence: Evidence::FromMemory,
};

/// Vessels under pressure.
pub const UNDER_PRESSURE: Caution = Caution {
    when: "a vessel is put under pressure",
    says: "the rating stamped on it goes first; stay below 80 % of it, and vent it before it is \
           opened",
    source: "stamp on the vessel; 80 % is common practice, no source",
    evidence: Evidence::FromMemory,
};

/// Gas that goes on dissolving.
pub const HIGH_PRESSURE: Caution = Caution {
    when: "a keg is carbonated above its serving pressure",
    says: "it goes on taking up CO2: turn it down at the time given, or it is over-carbonated",
    source: "solubility of CO2: Weiss 1974",
    evidence: Evidence::LookedUp,
};

/// Water that reaches this temperature is [`HOT_WATER`], °C.
pub const HOT_FROM: f64 = 50.0;

/// What to mind at the work itself.
pub const CAUTIONS: [Caution; 9] = [
    UNDER_PRESSURE,
    HOT_WATER,
    HOT_SEALED,
    WARM_KEG,
    HIGH_PRESSURE,
    GAS_RELEASE,
    ICE_IN_WATER,
    STANDING_OPEN,
    CYLINDER_GAUGE,
];

#[cfg(test)]
mod tests {
    use super::{CAUTIONS, LIMITS, RULES};

    #[test]
    fn each_states_its_source() {
        assert!(
            LIMITS
                .iter()
                .all(|limit| !limit.source.is_empty() && limit.value > 0.0)
        );
        assert!(
            RULES
                .iter()
                .all(|rule| !rule.source.is_empty() && !rule.says.is_empty())
        );
        assert!(CAUTIONS.iter().all(|caution| !caution.source.is_empty()));
    }
}
