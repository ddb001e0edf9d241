//! What the form of a new bar asks, and how it says so.

/// A question: what it is about, how many rows are shown and how many there may be.
pub(super) struct Asked {
    pub(super) list: &'static str,
    pub(super) title: &'static str,
    pub(super) help: &'static str,
    pub(super) shown: usize,
    pub(super) most: usize,
    pub(super) another: &'static str,
}

/// The questions, in the order in which they are asked.
pub(super) const ASKED: [Asked; 9] = [
    Asked {
        list: "place",
        title: "Where",
        help: "A large town near you tells the time zone.",
        shown: 1,
        most: 1,
        another: "",
    },
    Asked {
        list: "pots",
        title: "Pots",
        help: "What water is heated in. No kW means a gas ring.",
        shown: 1,
        most: 4,
        another: "Another pot",
    },
    Asked {
        list: "cold",
        title: "Cold",
        help: "What keeps kegs cold, and how many fit in (crates, if you have bottles).",
        shown: 1,
        most: 3,
        another: "Another fridge",
    },
    Asked {
        list: "kegs",
        title: "Kegs",
        help: "The usual ones first. Bottles are counted in crates.",
        shown: 1,
        most: 3,
        another: "Another size",
    },
    Asked {
        list: "gas",
        title: "Gas board",
        help: "With one regulator for several connections, one keg at a time is planned: they would all get the same pressure.",
        shown: 1,
        most: 1,
        another: "",
    },
    Asked {
        list: "ice",
        title: "Ice",
        help: "A machine, by its label, or bags that you buy, or both.",
        shown: 1,
        most: 1,
        another: "",
    },
    Asked {
        list: "crew",
        title: "Who works when",
        help: "Only hours in which somebody can work on the soda. 5pm and half past five are understood.",
        shown: 1,
        most: 4,
        another: "Other hours",
    },
    Asked {
        list: "drinks",
        title: "Drinks",
        help: "",
        shown: 3,
        most: 8,
        another: "More drinks",
    },
    Asked {
        list: "nights",
        title: "Nights",
        help: "When you are open, and how many kegs such a night pours, all drinks together.",
        shown: 2,
        most: 4,
        another: "Other nights",
    },
];

/// What an input is called, what is in it before anybody types, and a hint.
pub(super) const LABELS: [(&str, &str, &str, &str, &str); 31] = [
    ("", "name", "The bar's name", "", ""),
    ("place", "time_zone", "Town or time zone", "", "Lisbon"),
    (
        "place",
        "elevation_m",
        "Height above the sea",
        "",
        "if known",
    ),
    ("place", "tap_c", "Tap water", "", "if known"),
    ("place", "currency", "Money", "", "EUR"),
    ("pots", "litres", "Holds", "", ""),
    ("pots", "kw", "Heater", "", "gas ring"),
    ("pots", "count", "How many", "1", ""),
    ("cold", "kind", "Kind", "under_counter", ""),
    ("cold", "kegs", "Kegs that fit", "", ""),
    ("cold", "air_c", "How cold", "", "if known"),
    ("kegs", "litres", "Size", "", ""),
    ("kegs", "count", "How many", "", ""),
    (
        "kegs",
        "bottles_per_crate",
        "Bottles in a crate",
        "",
        "steel kegs",
    ),
    ("gas", "connections", "Connections", "", ""),
    ("gas", "regulators", "Regulators", "1", ""),
    ("gas", "highest_bar", "Highest pressure", "", ""),
    ("gas", "way", "How kegs are gassed", "", ""),
    ("ice", "kg_per_day", "Machine, a day", "", "none"),
    ("ice", "bin_kg", "Its bin holds", "", "if known"),
    ("ice", "bag_kg", "A bag weighs", "", "none"),
    ("crew", "days", "Days", "", ""),
    ("crew", "from", "From", "", "10am"),
    ("crew", "to", "Until", "", "5pm"),
    ("crew", "hands", "People", "1", ""),
    ("drinks", "name", "Name", "", ""),
    ("drinks", "fizz", "Fizz", "high", ""),
    ("drinks", "sweet", "Sweet", "", ""),
    ("nights", "days", "Days", "", ""),
    ("nights", "opens", "Open from", "18:00", ""),
    ("nights", "kegs", "Kegs a night", "", ""),
];

/// Days as the page says them.
pub(super) const DAYS: [(&str, &str); 7] = [
    ("mon", "Mo"),
    ("tue", "Tu"),
    ("wed", "We"),
    ("thu", "Th"),
    ("fri", "Fr"),
    ("sat", "Sa"),
    ("sun", "Su"),
];

/// What can be chosen, in words, by field.
pub(super) const WORDS: [(&str, &[(&str, &str)]); 3] = [
    (
        "kind",
        &[
            ("under_counter", "under the counter"),
            ("upright", "upright, with a fan"),
            ("walk_in", "walk-in"),
        ],
    ),
    (
        "fizz",
        &[
            ("low", "low"),
            ("medium", "medium"),
            ("high", "high"),
            ("very_high", "very high"),
        ],
    ),
    (
        "way",
        &[
            ("", "as the board allows"),
            ("rest", "rest under pressure"),
            ("shake", "are shaken"),
        ],
    ),
];
