//! The ten questions as a form.

use model::units::Unit;
use scheduler::scenario::Fault;

use crate::text::typed::{FIELDS, Field, Reads, Typed};
use crate::text::units::Units;

/// A question with its rows.
pub(super) struct Question {
    pub(super) title: &'static str,
    pub(super) help: &'static str,
    /// Rows that are shown at once.
    pub(super) rows: Vec<Row>,
    /// Rows that are opened where there is more to say, and what they are called.
    pub(super) more: Vec<Row>,
    pub(super) another: &'static str,
    pub(super) open: bool,
}

pub(super) struct Row {
    pub(super) label: String,
    pub(super) inputs: Vec<Input>,
}

/// How an input looks.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Kind {
    Text,
    Number,
    Choice,
    Days,
    Tick,
}

pub(super) struct Input {
    pub(super) kind: Kind,
    pub(super) name: String,
    /// Its place on the page.
    pub(super) id: String,
    pub(super) label: &'static str,
    /// The label with its question, for those who do not see where it stands.
    pub(super) full: String,
    pub(super) unit: &'static str,
    pub(super) value: String,
    pub(super) hint: &'static str,
    pub(super) needed: bool,
    /// A time of day, which is short.
    pub(super) short: bool,
    pub(super) wrong: String,
    pub(super) choices: Vec<Choice>,
}

pub(super) struct Choice {
    pub(super) id: &'static str,
    pub(super) name: &'static str,
    pub(super) chosen: bool,
}

/// A question: what it is about, how many rows are shown and how many there may be.
struct Asked {
    list: &'static str,
    title: &'static str,
    help: &'static str,
    shown: usize,
    most: usize,
    another: &'static str,
}

const ASKED: [Asked; 9] = [
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
const LABELS: [(&str, &str, &str, &str, &str); 31] = [
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

const DAYS: [(&str, &str); 7] = [
    ("mon", "Mo"),
    ("tue", "Tu"),
    ("wed", "We"),
    ("thu", "Th"),
    ("fri", "Fr"),
    ("sat", "Sa"),
    ("sun", "Su"),
];

const WORDS: [(&str, &[(&str, &str)]); 3] = [
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

/// The form, with what was typed, or as it is before anybody typed.
pub(super) fn questions(typed: Option<&Typed>, faults: &[Fault], units: Units) -> Vec<Question> {
    let made = Made {
        typed,
        faults,
        units,
    };
    ASKED.iter().map(|asked| made.question(asked)).collect()
}

/// What is wrong, by where it is on the page and what it is called there.
pub(super) fn told(faults: Vec<Fault>, questions: &[Question]) -> Vec<(String, String, String)> {
    let inputs = || {
        let rows = questions.iter().flat_map(|q| q.rows.iter().chain(&q.more));
        rows.flat_map(|row| &row.inputs)
    };
    let named = faults.into_iter().map(|fault| {
        let found = inputs().find(|input| input.name == fault.field);
        let list = fault.field.split(['[', '.']).next().unwrap_or_default();
        let near = || ASKED.iter().find(|asked| asked.list == list);
        match (found, near()) {
            (Some(input), _) => (input.id.clone(), input.full.clone(), fault.what),
            (None, Some(asked)) => (
                format!("q-{}", asked.list),
                asked.title.to_owned(),
                fault.what,
            ),
            (None, None) => (String::new(), fault.field, fault.what),
        }
    });
    named.collect()
}

struct Made<'a> {
    typed: Option<&'a Typed>,
    faults: &'a [Fault],
    units: Units,
}

impl Made<'_> {
    fn question(&self, asked: &Asked) -> Question {
        let mut rows: Vec<Row> = (0..asked.most).map(|n| self.row(asked, n)).collect();
        let more = rows.split_off(asked.shown);
        let told = self
            .typed
            .map_or(Vec::new(), |typed| typed.rows(asked.list));
        Question {
            title: asked.title,
            help: asked.help,
            open: told.iter().any(|row| *row >= asked.shown),
            rows,
            more,
            another: asked.another,
        }
    }

    fn row(&self, asked: &Asked, n: usize) -> Row {
        let of_it = |field: &&Field| {
            field.list == asked.list || (asked.list == "place" && field.list.is_empty())
        };
        // A number tells rows apart where there are several.
        let label = match (asked.shown, n) {
            (1, 0) => String::new(),
            _ => format!("{}", n + 1),
        };
        let inputs = FIELDS.iter().filter(of_it);
        Row {
            inputs: inputs.map(|field| self.input(asked, field, n)).collect(),
            label,
        }
    }

    fn input(&self, asked: &Asked, field: &Field, row: usize) -> Input {
        let name = field.name_in(row);
        let known = LABELS
            .iter()
            .find(|l| (l.0, l.1) == (field.list, field.name));
        let (label, usual, hint) = known.map_or((field.name, "", ""), |l| (l.2, l.3, l.4));
        let value = match self.typed {
            Some(typed) => typed.text(&name).unwrap_or_default(),
            None => usual.to_owned(),
        };
        let wrong = self.faults.iter().find(|fault| fault.field == name);
        let place = match asked.most {
            1 => asked.title.to_owned(),
            _ => format!("{} {}", asked.title, row + 1),
        };
        Input {
            kind: kind(field.reads),
            id: name.replace(['[', ']', '.'], "-"),
            full: format!("{place}: {label}"),
            label,
            unit: self.unit(field.reads),
            // What a row needs is needed only where the row is meant.
            needed: field.needed && row == 0,
            short: matches!(field.reads, Reads::Time | Reads::Capitals),
            wrong: wrong.map_or_else(String::new, |fault| fault.what.clone()),
            choices: choices(field, &value),
            name,
            value,
            hint,
        }
    }

    fn unit(&self, reads: Reads) -> &'static str {
        match reads {
            Reads::Kilowatts => "kW",
            Reads::Amount { metric, us } => match self.units.of(metric, us) {
                Unit::UsGal => "gal",
                unit => unit.symbol(),
            },
            _ => "",
        }
    }
}

fn kind(reads: Reads) -> Kind {
    match reads {
        Reads::Word(_) => Kind::Choice,
        Reads::Days => Kind::Days,
        Reads::Yes => Kind::Tick,
        Reads::Whole | Reads::Number => Kind::Number,
        // Units may be typed, so these take letters too.
        Reads::Amount { .. } | Reads::Kilowatts => Kind::Number,
        Reads::Text | Reads::Capitals | Reads::Zone | Reads::Time => Kind::Text,
    }
}

fn choices(field: &Field, value: &str) -> Vec<Choice> {
    let days = matches!(field.reads, Reads::Days);
    let words = WORDS.iter().find(|(name, _)| *name == field.name);
    let all: &[(&str, &str)] = match (days, words) {
        (true, _) => &DAYS,
        (false, Some((_, words))) => words,
        (false, None) => &[],
    };
    let chosen = |id: &str| match days {
        true => value.split(' ').any(|day| day == id),
        false => value == id,
    };
    all.iter()
        .map(|(id, name)| Choice {
            id,
            name,
            chosen: chosen(id),
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_field_is_asked_once_under_its_own_name() {
        let questions = questions(None, &[], Units::METRIC);
        assert!(questions.len() <= 10);
        for field in &FIELDS {
            let name = field.name_in(0);
            let inputs = questions
                .iter()
                .flat_map(|q| &q.rows)
                .flat_map(|r| &r.inputs);
            let found: Vec<&Input> = inputs.filter(|input| input.name == name).collect();
            assert_eq!(found.len(), 1, "{name}");
            assert_ne!(found[0].label, field.name, "{name} has no label");
        }
    }

    #[test]
    fn what_is_wrong_stands_at_its_field_and_what_was_typed_stays() {
        let typed = Typed(vec![("pots[1].litres".to_owned(), "lots".to_owned())]);
        let fault = Fault {
            field: "pots[1].litres".to_owned(),
            what: "lots found".to_owned(),
        };
        let questions = questions(Some(&typed), std::slice::from_ref(&fault), Units::US);
        let pots = &questions[1];
        assert!(pots.open);
        let input = &pots.more[0].inputs[0];
        assert_eq!(
            (input.value.as_str(), input.wrong.as_str()),
            ("lots", "lots found")
        );
        assert_eq!(input.unit, "gal");
        assert_eq!(told(vec![fault], &questions)[0].1, "Pots 2: Holds");
    }
}
