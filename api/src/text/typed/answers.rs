//! The answers to the ten questions as they are typed, on the board and on the command line.
//!
//! A field is called as in the answers' JSON, `pots[0].litres`, so that what is refused names the field
//! that was filled in.

use chrono::NaiveTime;
use model::units::Unit;
use scheduler::draft::Answers;
use scheduler::scenario::{Fault, Faults};
use serde_json::{Map, Value, json};

use super::fields::{FIELDS, Field, ROWS, Reads};
use super::{amount, days, time_of_day, whole, zone_of};
use crate::text::units::Units;

/// What was typed: names of fields, and texts. A name may come several times, as ticked days do.
#[derive(Debug, Clone, Default)]
pub(crate) struct Typed(pub(crate) Vec<(String, String)>);

impl Typed {
    /// What somebody would have typed to give these answers, with units.
    pub(crate) fn of(answers: &Answers) -> Self {
        let whole = serde_json::to_value(answers).unwrap_or_default();
        let mut typed = Vec::new();
        for field in &FIELDS {
            let group = match field.list {
                "" => Some(&whole),
                list => whole.get(list),
            };
            match group {
                Some(Value::Array(rows)) => {
                    for (row, value) in rows.iter().enumerate() {
                        typed.extend(written(field, row, &value[field.name]));
                    }
                }
                Some(group) => typed.extend(written(field, 0, &group[field.name])),
                None => {}
            }
        }
        Self(typed)
    }

    /// The same with other words in the place of those for the same fields.
    pub(crate) fn but(mut self, others: &[(String, String)]) -> Self {
        let named = |name: &String| others.iter().any(|(other, _)| other == name);
        self.0.retain(|(name, _)| !named(name));
        self.0.extend_from_slice(others);
        self
    }

    /// What was typed into a field; several texts are put together.
    pub(crate) fn text(&self, name: &str) -> Option<String> {
        let all = self.0.iter().filter(|(known, _)| known == name);
        let all: Vec<&str> = all.map(|(_, text)| text.trim()).collect();
        let text = all.join(" ");
        Some(text).filter(|text| !text.trim().is_empty())
    }

    /// Rows of a list into which something was typed.
    pub(crate) fn rows(&self, list: &str) -> Vec<usize> {
        let told = |row: &usize| {
            let fields = FIELDS.iter().filter(|f| f.list == list && f.tells);
            let mut names = fields.map(|f| f.name_in(*row));
            names.any(|name| self.text(&name).is_some())
        };
        (0..ROWS).filter(told).collect()
    }
}

/// The answers that were typed; bare numbers are in the units somebody reads.
///
/// # Errors
/// Everything that cannot be read, by field.
pub(crate) fn answers(typed: &Typed, units: Units) -> Result<Answers, Faults> {
    let mut reading = Reading {
        typed,
        units,
        faults: Vec::new(),
    };
    let mut whole = Map::new();
    // Where a row was filled in after an empty one, faults name the row that was filled in.
    let mut rows_of = Vec::new();
    for field in &FIELDS {
        if !field.is_list() {
            if let Some(value) = reading.read(field, field.name_in(0)) {
                put(&mut whole, field, value);
            }
        } else if !rows_of.iter().any(|(list, _)| *list == field.list) {
            let rows = typed.rows(field.list);
            let list = rows.iter().map(|row| reading.row(field.list, *row));
            whole.insert(field.list.to_owned(), Value::Array(list.collect()));
            rows_of.push((field.list, rows));
        }
    }
    for group in ["place", "gas", "ice"] {
        whole.entry(group.to_owned()).or_insert(json!({}));
    }
    let mut faults = reading.faults;
    let found = within(Value::Object(whole), &rows_of, &mut faults);
    match found {
        Some(answers) if faults.is_empty() => Ok(answers),
        _ => Err(Faults(faults)),
    }
}

/// Faults of a draft, by the rows that were filled in.
pub(crate) fn as_typed(Faults(faults): Faults, typed: &Typed) -> Faults {
    let lists = FIELDS.iter().filter(|field| field.is_list());
    let rows_of: Vec<_> = lists.map(|f| (f.list, typed.rows(f.list))).collect();
    let faults = faults.into_iter().map(|fault| Fault {
        field: in_rows(&fault.field, &rows_of),
        ..fault
    });
    Faults(faults.collect())
}

/// A value as it is typed; a list of days is ticked one by one.
fn written(field: &Field, row: usize, value: &Value) -> Vec<(String, String)> {
    let one = |text: String| (field.name_in(row), text);
    match value {
        Value::Array(list) => {
            let texts = list.iter().filter_map(Value::as_str);
            texts.map(|text| one(text.to_owned())).collect()
        }
        Value::String(text) => vec![one(text.strip_suffix(":00").unwrap_or(text).to_owned())],
        Value::Number(number) => {
            let plain = number.as_f64().unwrap_or_default();
            vec![one(match field.reads {
                Reads::Amount { metric, .. } => format!("{plain} {}", metric.symbol()),
                _ => format!("{plain}"),
            })]
        }
        Value::Bool(true) => vec![one("yes".to_owned())],
        _ => Vec::new(),
    }
}

struct Reading<'a> {
    typed: &'a Typed,
    units: Units,
    faults: Vec<Fault>,
}

impl Reading<'_> {
    fn row(&mut self, list: &str, row: usize) -> Value {
        let mut found = Map::new();
        for field in FIELDS.iter().filter(|field| field.list == list) {
            if let Some(value) = self.read(field, field.name_in(row)) {
                found.insert(field.name.to_owned(), value);
            }
        }
        Value::Object(found)
    }

    /// The value of a field; one that could not be read stands for something that can, so that what
    /// comes after it is looked at as well.
    fn read(&mut self, field: &Field, name: String) -> Option<Value> {
        let found = match self.typed.text(&name) {
            Some(text) => read(field, &text, self.units),
            None if field.needed => Err(format!("nothing found; {} is needed", field.what)),
            None => return None,
        };
        Some(found.unwrap_or_else(|what| {
            self.faults.push(Fault { field: name, what });
            field.example()
        }))
    }
}

/// Reads one field.
///
/// # Errors
/// What was found and what is allowed.
pub(crate) fn read(field: &Field, text: &str, units: Units) -> Result<Value, String> {
    match field.reads {
        Reads::Text => Ok(json!(text.trim())),
        Reads::Capitals => Ok(json!(text.trim().to_uppercase())),
        Reads::Word(words) => word(words, text),
        Reads::Zone => zone_of(text).map(|zone| json!(zone)),
        Reads::Whole => whole(text).map(|number| json!(number)),
        Reads::Kilowatts => kilowatts(text).map(|number| json!(number)),
        Reads::Number => number(text).map(|number| json!(number)),
        Reads::Amount { metric, us } => {
            let usual = units.of(metric, us);
            amount(text, usual, metric).map(|number| json!(number))
        }
        Reads::Days => days(text).map(|days| json!(days)),
        Reads::Time => time_of_day(text).map(|at: NaiveTime| json!(at)),
        Reads::Yes => yes(text).map(|yes| json!(yes)),
    }
}

/// A word out of some, in any case, with blanks or dashes where the word has `_`.
fn word(words: &[&str], text: &str) -> Result<Value, String> {
    let told = text.trim().to_lowercase().replace([' ', '-'], "_");
    let known = words.iter().find(|word| **word == told);
    known.map(|word| json!(word)).ok_or_else(|| {
        let said: Vec<String> = words.iter().map(|word| word.replace('_', " ")).collect();
        format!("{} found; {} are allowed", text.trim(), said.join(", "))
    })
}

/// Kilowatts are meant where no unit is written.
fn kilowatts(text: &str) -> Result<f64, String> {
    let ring = text.to_lowercase().contains("ring");
    if ring {
        return Err("a gas ring has no kilowatts on it: leave this blank for one".to_owned());
    }
    match number(text) {
        Ok(number) => Ok(number),
        Err(_) => amount(text, Unit::W, Unit::W).map(|watts| watts / 1000.0),
    }
}

fn number(text: &str) -> Result<f64, String> {
    amount(text, Unit::PerOne, Unit::PerOne)
}

fn yes(text: &str) -> Result<bool, String> {
    match text.trim().to_lowercase().as_str() {
        "yes" | "y" | "true" | "on" | "sweet" => Ok(true),
        "no" | "n" | "false" | "dry" | "not" => Ok(false),
        other => Err(format!("{other} found; yes and no are allowed")),
    }
}

fn put(whole: &mut Map<String, Value>, field: &Field, value: Value) {
    if field.list.is_empty() {
        whole.insert(field.name.to_owned(), value);
        return;
    }
    let group = whole.entry(field.list.to_owned()).or_insert(json!({}));
    group[field.name] = value;
}

/// The answers, if every value is in its range; whatever is not is told, and stood in for by an
/// example so that the others are looked at as well.
fn within(
    mut whole: Value,
    rows_of: &[(&str, Vec<usize>)],
    faults: &mut Vec<Fault>,
) -> Option<Answers> {
    for _ in 0..ROWS * FIELDS.len() {
        let error = match serde_path_to_error::deserialize::<_, Answers>(&whole) {
            Ok(answers) => return Some(answers),
            Err(error) => error,
        };
        let path = error.path().to_string();
        faults.push(Fault {
            field: in_rows(&path, rows_of),
            what: error.into_inner().to_string(),
        });
        let pointer = format!("/{}", path.replace(['[', '.'], "/").replace(']', ""));
        let name = pointer.rsplit('/').next().unwrap_or_default();
        let list = path.split(['[', '.']).next().unwrap_or_default();
        let known = FIELDS
            .iter()
            .find(|f| f.name == name && (f.list == list || f.list.is_empty()));
        match (known, whole.pointer_mut(&pointer)) {
            (Some(field), Some(place)) => *place = field.example(),
            _ => return None,
        }
    }
    None
}

/// A field of the answers under the row that was filled in.
fn in_rows(field: &str, rows_of: &[(&str, Vec<usize>)]) -> String {
    let Some((list, rest)) = field.split_once('[') else {
        return field.to_owned();
    };
    let Some((n, rest)) = rest.split_once(']') else {
        return field.to_owned();
    };
    let rows = rows_of.iter().find(|(known, _)| *known == list);
    let row = rows.and_then(|(_, rows)| rows.get(n.parse::<usize>().ok()?));
    row.map_or_else(|| field.to_owned(), |row| format!("{list}[{row}]{rest}"))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn typed(all: &[(&str, &str)]) -> Typed {
        let all = all
            .iter()
            .map(|(name, text)| ((*name).to_owned(), (*text).to_owned()));
        Typed(all.collect())
    }

    fn bar() -> Vec<(&'static str, &'static str)> {
        vec![
            ("name", "Corner bar"),
            ("place.time_zone", "madrid"),
            ("pots[0].litres", "10 gal"),
            ("pots[0].kw", "3"),
            ("pots[1].count", "1"),
            ("cold[0].kind", "under counter"),
            ("cold[0].kegs", "8"),
            ("kegs[0].litres", "19"),
            ("kegs[0].count", "10"),
            ("gas.connections", "4"),
            ("gas.highest_bar", "36 psi"),
            ("ice.bag_kg", "44 lb"),
            ("crew[0].days", "wed"),
            ("crew[0].days", "thu"),
            ("crew[0].from", "half past ten in the morning"),
            ("crew[0].to", "5pm"),
            ("drinks[0].name", "Plain soda"),
            ("drinks[0].fizz", "high"),
            ("drinks[2].name", "Tonic"),
            ("drinks[2].fizz", "very high"),
            ("drinks[2].sweet", "yes"),
            ("nights[0].days", "thu-sat"),
            ("nights[0].opens", "half past five"),
            ("nights[0].kegs", "2"),
        ]
    }

    #[test]
    fn what_is_typed_becomes_answers() {
        let found = answers(&typed(&bar()), Units::METRIC).unwrap();
        assert!((found.pots[0].litres.litres() - 37.854).abs() < 1e-3);
        assert_eq!(found.pots.len(), 1, "a count alone is no pot");
        assert_eq!(found.crew[0].days.len(), 2);
        assert_eq!(found.crew[0].to.to_string(), "17:00:00");
        assert_eq!(found.nights[0].opens.to_string(), "17:30:00");
        assert_eq!(found.drinks.len(), 2);
        assert!(found.drinks[1].sweet);
        let us = answers(&typed(&bar()), Units::US).unwrap();
        assert!((us.kegs[0].litres.litres() - 71.92).abs() < 0.01, "{us:?}");
    }

    #[test]
    fn everything_that_cannot_be_read_is_told_at_once() {
        let mut said = bar();
        said.retain(|(name, _)| *name != "gas.connections" && *name != "name");
        said.push(("pots[3].kw", "lots"));
        said.push(("drinks[4].name", "Beer"));
        said.push(("drinks[4].fizz", "flat"));
        said.push(("kegs[2].litres", "5000"));
        said.push(("kegs[2].count", "3"));
        let Faults(faults) = answers(&typed(&said), Units::METRIC).unwrap_err();
        let mut fields: Vec<&str> = faults.iter().map(|f| f.field.as_str()).collect();
        fields.sort_unstable();
        assert_eq!(
            fields,
            [
                "drinks[4].fizz",
                "gas.connections",
                "kegs[2].litres",
                "name",
                "pots[3].kw",
                "pots[3].litres"
            ]
        );
    }

    #[test]
    fn answers_are_typed_and_read_again() {
        for one in scheduler::draft::shelf() {
            let typed = Typed::of(&one.answers);
            for units in [Units::METRIC, Units::US] {
                assert_eq!(answers(&typed, units).unwrap(), one.answers, "{}", one.id);
            }
            let other = typed.but(&[("name".to_owned(), "Other".to_owned())]);
            assert_eq!(answers(&other, Units::METRIC).unwrap().name, "Other");
        }
    }

    #[test]
    fn a_fault_of_a_draft_names_the_row_that_was_filled_in() {
        let fault = Fault {
            field: "drinks[1].fizz".to_owned(),
            what: String::new(),
        };
        let Faults(found) = as_typed(Faults(vec![fault]), &typed(&bar()));
        assert_eq!(found[0].field, "drinks[2].fizz");
    }
}
