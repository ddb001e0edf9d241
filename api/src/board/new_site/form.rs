//! The ten questions as a form.

use model::units::Unit;
use scheduler::scenario::Fault;

use super::asked::{ASKED, Asked, DAYS, LABELS, WORDS};
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
