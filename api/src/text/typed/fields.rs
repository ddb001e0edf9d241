//! The fields of the ten questions: what each is called, how it is asked and how it is read.

use model::units::Unit;
use serde_json::{Value, json};

/// Rows that a list may have.
pub(super) const ROWS: usize = 60;

/// A field of the answers.
#[derive(Debug)]
pub(crate) struct Field {
    /// The list or group it is in; none where it stands by itself.
    pub(crate) list: &'static str,
    pub(crate) name: &'static str,
    /// How it is asked.
    pub(crate) ask: &'static str,
    /// What is needed, where nothing is said.
    pub(crate) what: &'static str,
    pub(crate) reads: Reads,
    pub(crate) needed: bool,
    /// Whether something in it tells that its row is meant, and was not only left as it was shown.
    pub(crate) tells: bool,
}

/// How a field is read.
#[derive(Debug, Clone, Copy)]
pub(crate) enum Reads {
    Text,
    /// Text in capital letters.
    Capitals,
    /// One of some words.
    Word(&'static [&'static str]),
    Zone,
    Whole,
    Number,
    Kilowatts,
    /// An amount, stored in the metric unit; a bare number is in the unit somebody reads.
    Amount {
        metric: Unit,
        us: Unit,
    },
    Days,
    Time,
    Yes,
}

impl Field {
    /// The lists that have rows.
    const LISTS: [&'static str; 6] = ["pots", "cold", "kegs", "crew", "drinks", "nights"];

    pub(crate) fn is_list(&self) -> bool {
        Self::LISTS.contains(&self.list)
    }

    /// What it is called in a row, if it is in a list.
    pub(crate) fn name_in(&self, row: usize) -> String {
        match (self.list, self.is_list()) {
            ("", _) => self.name.to_owned(),
            (list, true) => format!("{list}[{row}].{}", self.name),
            (group, false) => format!("{group}.{}", self.name),
        }
    }

    /// Whether it is called so, in any row.
    pub(crate) fn is_called(&self, name: &str) -> bool {
        (0..ROWS).any(|row| self.name_in(row) == name)
    }

    /// A value that is allowed.
    pub(crate) fn example(&self) -> Value {
        match self.reads {
            Reads::Text => json!("Bar"),
            Reads::Capitals => json!("EUR"),
            Reads::Word(words) => json!(words[0]),
            Reads::Zone => json!("UTC"),
            Reads::Whole => json!(2),
            Reads::Number | Reads::Kilowatts => json!(3.0),
            Reads::Amount { metric, .. } if metric.kind() == Unit::Bar.kind() => json!(2.0),
            Reads::Amount { .. } => json!(19.0),
            Reads::Days => json!(["fri"]),
            Reads::Time => json!("18:00:00"),
            Reads::Yes => json!(false),
        }
    }
}

const LITRES: Reads = Reads::Amount {
    metric: Unit::L,
    us: Unit::UsGal,
};
const KILOS: Reads = Reads::Amount {
    metric: Unit::Kg,
    us: Unit::Lb,
};
const DEGREES: Reads = Reads::Amount {
    metric: Unit::C,
    us: Unit::F,
};
const METRES: Reads = Reads::Amount {
    metric: Unit::M,
    us: Unit::Ft,
};
const PRESSURE: Reads = Reads::Amount {
    metric: Unit::Bar,
    us: Unit::Psi,
};
const FRIDGES: Reads = Reads::Word(&["under_counter", "upright", "walk_in"]);
const FIZZ: Reads = Reads::Word(&["low", "medium", "high", "very_high"]);
const WAYS: Reads = Reads::Word(&["rest", "shake"]);

/// A field that must be filled in.
const fn needed(
    (list, name): (&'static str, &'static str),
    ask: &'static str,
    what: &'static str,
    reads: Reads,
) -> Field {
    Field {
        list,
        name,
        ask,
        what,
        reads,
        needed: true,
        tells: true,
    }
}

/// A field that may be left blank.
const fn open(
    (list, name): (&'static str, &'static str),
    ask: &'static str,
    reads: Reads,
) -> Field {
    Field {
        needed: false,
        ..needed((list, name), ask, "", reads)
    }
}

/// The same where a form shows something in it before anybody typed.
const fn shown(field: Field) -> Field {
    Field {
        tells: false,
        ..field
    }
}

/// Every field, in the order in which it is asked.
pub(crate) const FIELDS: [Field; 31] = [
    needed(
        ("", "name"),
        "What is the bar called?",
        "a name",
        Reads::Text,
    ),
    needed(
        ("place", "time_zone"),
        "Where is it? A large town near it, or its time zone",
        "a town or a time zone",
        Reads::Zone,
    ),
    open(
        ("place", "elevation_m"),
        "How high above the sea (if you know it)?",
        METRES,
    ),
    open(
        ("place", "tap_c"),
        "How cold is the tap's water (if you know it)?",
        DEGREES,
    ),
    open(
        ("place", "currency"),
        "Which money (three letters, EUR where nothing is said)?",
        Reads::Capitals,
    ),
    needed(
        ("pots", "litres"),
        "A pot: how much does it hold?",
        "how much it holds",
        LITRES,
    ),
    open(
        ("pots", "kw"),
        "How many kW does its heater take (nothing for a gas ring)?",
        Reads::Kilowatts,
    ),
    shown(open(
        ("pots", "count"),
        "How many such pots (1 where nothing is said)?",
        Reads::Whole,
    )),
    shown(needed(
        ("cold", "kind"),
        "A fridge: under counter, upright or walk in?",
        "under counter, upright or walk in",
        FRIDGES,
    )),
    needed(
        ("cold", "kegs"),
        "How many kegs fit in (crates, if you have bottles)?",
        "how many fit in",
        Reads::Whole,
    ),
    open(
        ("cold", "air_c"),
        "How cold is it in there (if you know it)?",
        DEGREES,
    ),
    needed(
        ("kegs", "litres"),
        "Kegs, the usual ones first: what size?",
        "their size",
        LITRES,
    ),
    needed(
        ("kegs", "count"),
        "How many of them (crates, if they are bottles)?",
        "how many there are",
        Reads::Whole,
    ),
    open(
        ("kegs", "bottles_per_crate"),
        "PET bottles in a crate (nothing for steel kegs)?",
        Reads::Whole,
    ),
    needed(
        ("gas", "connections"),
        "The gas board: how many connections for kegs?",
        "how many there are",
        Reads::Whole,
    ),
    open(
        ("gas", "regulators"),
        "How many regulators (1 where nothing is said)?",
        Reads::Whole,
    ),
    needed(
        ("gas", "highest_bar"),
        "The highest pressure they can be set to?",
        "a pressure",
        PRESSURE,
    ),
    open(
        ("gas", "way"),
        "Do kegs rest under pressure, or are they shaken: rest or shake (nothing if you leave it to us)?",
        WAYS,
    ),
    open(
        ("ice", "kg_per_day"),
        "An ice machine: how much a day by its label (nothing if there is none)?",
        KILOS,
    ),
    open(
        ("ice", "bin_kg"),
        "What does its bin hold (if you know it)?",
        KILOS,
    ),
    open(
        ("ice", "bag_kg"),
        "Ice in bags: what does a bag weigh (nothing if none is bought)?",
        KILOS,
    ),
    needed(
        ("crew", "days"),
        "Who works on it, and when: on which days (such as wed-sat)?",
        "days",
        Reads::Days,
    ),
    needed(("crew", "from"), "From when?", "a time", Reads::Time),
    needed(("crew", "to"), "Until when?", "a time", Reads::Time),
    shown(open(
        ("crew", "hands"),
        "How many people (1 where nothing is said)?",
        Reads::Whole,
    )),
    needed(
        ("drinks", "name"),
        "A drink: what is it called?",
        "a name",
        Reads::Text,
    ),
    shown(needed(
        ("drinks", "fizz"),
        "How fizzy: low, medium, high or very high?",
        "low, medium, high or very high",
        FIZZ,
    )),
    shown(open(
        ("drinks", "sweet"),
        "Is it sweet: yes or no?",
        Reads::Yes,
    )),
    needed(
        ("nights", "days"),
        "Nights you are open, those alike together: on which days (such as fri, sat)?",
        "days",
        Reads::Days,
    ),
    shown(needed(
        ("nights", "opens"),
        "When is the first drink poured?",
        "a time",
        Reads::Time,
    )),
    needed(
        ("nights", "kegs"),
        "How many kegs does such a night pour, all drinks together (crates, if you have bottles)?",
        "how many",
        Reads::Number,
    ),
];

/// A field by the list it is in and its name.
#[cfg(test)]
pub(crate) fn field(list: &str, name: &str) -> &'static Field {
    let found = FIELDS.iter().find(|f| (f.list, f.name) == (list, name));
    found.unwrap()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_field_is_called_as_in_the_answers() {
        assert_eq!(field("", "name").name_in(3), "name");
        assert_eq!(field("gas", "highest_bar").name_in(3), "gas.highest_bar");
        assert_eq!(field("pots", "litres").name_in(3), "pots[3].litres");
    }
}
