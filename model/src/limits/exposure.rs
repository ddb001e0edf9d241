//! CO2 in the air people breathe.

use super::verdict::{Evidence, Limit, Rule};

const fn exposure(what: &'static str, value: f64, source: &'static str) -> Limit {
    Limit {
        what,
        value,
        unit: "ppm",
        source,
        evidence: Evidence::LookedUp,
    }
}

/// Average over eight hours, OSHA.
pub const OSHA_EIGHT_HOURS: Limit = exposure(
    "CO2 in room air, mean of eight hours",
    5000.0,
    "29 CFR 1910.1000 Table Z-1, quoted by the NIOSH IDLH documentation",
);

/// Average over eight hours, ACGIH.
pub const ACGIH_EIGHT_HOURS: Limit = exposure(
    "CO2 in room air, mean of eight hours",
    5000.0,
    "ACGIH TLV, quoted by NIOSH (1993-94 list)",
);

/// Average over fifteen minutes, NIOSH.
pub const NIOSH_CEILING_15_MINUTES: Limit = exposure(
    "CO2 in room air, mean of fifteen minutes",
    30_000.0,
    "NIOSH REL, NIOSH IDLH documentation",
);

/// Average over fifteen minutes, ACGIH.
pub const ACGIH_CEILING_15_MINUTES: Limit = exposure(
    "CO2 in room air, mean of fifteen minutes",
    30_000.0,
    "ACGIH TLV, quoted by NIOSH (1993-94 list)",
);

/// Immediately dangerous to life or health.
pub const IMMEDIATE_DANGER: Limit = exposure(
    "CO2 in room air, at any moment",
    40_000.0,
    "NIOSH IDLH documentation, revised IDLH",
);

/// OSHA has no short-term limit for CO2 in force.
pub const OSHA_SHORT_TERM: Rule = Rule {
    section: "none in force",
    says: "the short-term values of 1989 were vacated; use those of NIOSH and ACGIH",
    source: "29 CFR 1910.1000 Table Z-1",
    evidence: Evidence::FromMemory,
};
