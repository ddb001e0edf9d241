//! Connecting a carbonator to the water main.

use super::verdict::{Evidence, Rule};

/// Carbonated water must not get back into the main.
pub const BACKFLOW: Rule = Rule {
    section: "5-203.15",
    says: "an air gap, or a dual check valve with an intermediate vent behind a screen of 100 \
           mesh, upstream of the carbonator and downstream of any copper",
    source: "FDA Food Code, read in 2VAC5-585-2270 and 25-D DCMR 714",
    evidence: Evidence::LookedUp,
};

/// Carbonated water (pH about 3.5) dissolves copper.
pub const COPPER: Rule = Rule {
    section: "4-101.14",
    says: "no copper or brass in contact with food below pH 6, nor between the backflow device \
           and the carbonator",
    source: "FDA Food Code, read in Okla. 310:257-7-4 and Wis. ATCP 75",
    evidence: Evidence::LookedUp,
};
