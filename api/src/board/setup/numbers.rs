//! The main numbers of a setup, and what they are called.

use model::units::Unit;

/// Numbers of a list: where it is, and for each number its name, its label and its unit.
pub(super) type Numbers = &'static [(&'static str, &'static str, Option<Unit>)];

const POTS: Numbers = &[
    ("volume_l", "holds", Some(Unit::L)),
    ("smallest_fill_l", "at least", Some(Unit::L)),
    ("power_w", "heater, W", None),
    ("efficiency", "part that reaches the water", None),
];
const STORES: Numbers = &[
    ("places", "places", None),
    ("air_c", "air", Some(Unit::C)),
    ("cooling_w", "cooling left, W", None),
];
const STATIONS: Numbers = &[("connections", "connections", None)];
const KEGS: Numbers = &[
    ("fill_l", "filled with", Some(Unit::L)),
    ("rating_bar", "stamped", Some(Unit::Bar)),
];
const PRODUCTS: Numbers = &[
    ("carbonation_g_per_l", "CO2, g/L or vol", None),
    ("sugar_brix", "sugar, °Bx", None),
    ("shelf_days", "keeps, days", None),
    ("on_tap_h", "on tap, h", None),
];
const SHIFTS: Numbers = &[("hands", "hands", None)];

/// The lists that are shown, with their numbers.
pub(super) const LISTS: [(&str, &str, Numbers); 6] = [
    ("Pots", "/setup/pots", POTS),
    ("Cold stores", "/setup/cold_stores", STORES),
    ("Gassing points", "/setup/gas_stations", STATIONS),
    ("Kegs", "/setup/keg_types", KEGS),
    ("Products", "/setup/products", PRODUCTS),
    ("Shifts", "/setup/crew/shifts", SHIFTS),
];

/// Single numbers, each with its own pointer.
pub(super) const ICE: Numbers = &[
    ("rate_kg_per_h", "made in an hour", Some(Unit::Kg)),
    ("bin_kg", "bin holds", Some(Unit::Kg)),
    ("temperature_c", "in the bin", Some(Unit::C)),
];
pub(super) const WASH: Numbers = &[
    ("stations", "kegs at once", None),
    ("minutes", "minutes", None),
    ("hands_min", "minutes of hands each", None),
];
pub(super) const POLICY: Numbers = &[
    ("gas_at_c", "gassed at most at", Some(Unit::C)),
    ("purges", "purges", None),
    ("purge_bar", "each to", Some(Unit::Bar)),
    ("agent_margin", "agent over the dose", None),
    ("serving_loss", "lost to foam and lines", None),
];
