//! An answer as rows: each figure in the unit people read first, then in the others.

use model::units::Unit;
use serde_json::Value;

use super::super::schema::words;
use crate::text::units::Units;

/// A figure of an answer.
#[derive(Debug, PartialEq)]
pub(super) struct Row {
    pub(super) name: String,
    pub(super) value: String,
    pub(super) unit: String,
    pub(super) others: Vec<String>,
}

/// Units that are read first, by the names fields end with.
fn first(units: Units) -> &'static [&'static str] {
    if units.is_us() {
        &[
            "f", "psi", "us_gal", "lb", "volumes", "mg_per_l", "g", "min", "h", "ft", "w",
        ]
    } else {
        &[
            "c", "bar", "l", "kg", "g_per_l", "mg_per_l", "g", "min", "h", "m", "w",
        ]
    }
}

fn symbol(name: &str) -> String {
    let known = Unit::ALL.iter().find(|unit| unit.name() == name);
    known.map_or_else(|| name.replace('_', " "), |unit| unit.symbol().to_owned())
}

/// A number with four figures that matter, small ones too.
fn figure(value: f64, units: Units) -> String {
    let locale = units.locale;
    if value != 0.0 && value.abs() < 0.001 {
        return locale
            .typed(&format!("{value:.3e}"))
            .replace("e-", " · 10^−")
            .replace('e', " · 10^");
    }
    if value.abs() < 100.0 {
        let digits = if value.abs() < 0.1 { 5 } else { 3 };
        let text = format!("{value:.digits$}");
        return locale.written(text.trim_end_matches('0').trim_end_matches('.'));
    }
    units.number(value)
}

/// A value in several units: its number in the one that is read first, and where that is.
fn in_units(value: &Value, units: Units) -> Option<(&str, f64)> {
    let object = value.as_object()?;
    if object.is_empty() || !object.values().all(Value::is_number) {
        return None;
    }
    let wanted = first(units).iter().find(|name| object.contains_key(**name));
    let (name, value) = match wanted {
        Some(name) => object.get_key_value(*name)?,
        None => object.iter().next()?,
    };
    Some((name.as_str(), value.as_f64()?))
}

/// The figures of an answer, as deep as they lie.
pub(super) fn rows(answer: &Value, units: Units) -> Vec<Row> {
    let mut found = Vec::new();
    collect("", answer, units, &mut found);
    found
}

fn collect(name: &str, value: &Value, units: Units, found: &mut Vec<Row>) {
    let row = |value: String, unit: String, others: Vec<String>| Row {
        name: words(name),
        value,
        unit,
        others,
    };
    if let Some((unit, number)) = in_units(value, units) {
        let object = value.as_object().into_iter().flatten();
        let others = object
            .filter(|(other, _)| *other != unit)
            .filter_map(|(other, value)| {
                Some(format!(
                    "{} {}",
                    figure(value.as_f64()?, units),
                    symbol(other)
                ))
            });
        found.push(row(figure(number, units), symbol(unit), others.collect()));
        return;
    }
    match value {
        Value::Object(object) => {
            for (key, value) in object {
                let deeper = if name.is_empty() {
                    key.clone()
                } else {
                    format!("{name}, {key}")
                };
                collect(&deeper, value, units, found);
            }
        }
        Value::Array(list) => {
            for (n, value) in list.iter().enumerate().take(40) {
                collect(&format!("{name} {}", n + 1), value, units, found);
            }
        }
        Value::Number(number) => {
            found.push(row(
                figure(number.as_f64().unwrap_or(0.0), units),
                String::new(),
                Vec::new(),
            ));
        }
        Value::Bool(yes) => {
            let word = if *yes { "yes" } else { "no" };
            found.push(row(word.to_owned(), String::new(), Vec::new()));
        }
        Value::String(text) => found.push(row(text.replace('_', " "), String::new(), Vec::new())),
        Value::Null => {}
    }
}

/// The first number of an answer, with the unit it is in.
pub(super) fn leading(answer: &Value, units: Units) -> Option<(String, f64, String)> {
    leading_of("", answer, units)
}

fn leading_of(name: &str, value: &Value, units: Units) -> Option<(String, f64, String)> {
    if let Some((unit, number)) = in_units(value, units) {
        return Some((words(name), number, symbol(unit)));
    }
    match value {
        Value::Number(number) => Some((words(name), number.as_f64()?, String::new())),
        Value::Object(object) => object
            .iter()
            .find_map(|(key, value)| leading_of(key, value, units)),
        _ => None,
    }
}

/// What to mind.
pub(super) fn cautions(reply: &Value) -> Vec<String> {
    let list = reply["cautions"].as_array().into_iter().flatten();
    let text = |caution: &Value| {
        let said = caution
            .as_str()
            .or(caution["text"].as_str())
            .or(caution["says"].as_str());
        said.map(str::to_owned)
    };
    list.filter_map(text).collect()
}

#[cfg(test)]
mod tests {
    use serde_json::json;

    use super::*;

    #[test]
    fn figures_stand_in_the_unit_that_is_read() {
        let answer =
            json!({ "final_temperature": { "c": 4.0, "f": 39.2, "k": 277.15 }, "safe": true });
        let metric = rows(&answer, Units::METRIC);
        assert_eq!(
            (metric[0].value.as_str(), metric[0].unit.as_str()),
            ("4", "°C")
        );
        assert_eq!(metric[0].name, "Final temperature");
        assert!(metric[0].others.contains(&"39.2 °F".to_owned()));
        assert_eq!(rows(&answer, Units::US)[0].value, "39.2");
        assert_eq!(metric[1].value, "yes");
        assert!((leading(&answer, Units::US).unwrap().1 - 39.2).abs() < 1e-9);
    }

    #[test]
    fn small_figures_keep_what_matters() {
        assert_eq!(figure(0.000_123_4, Units::METRIC), "1.234 · 10^−4");
        assert_eq!(figure(0.033_93, Units::METRIC), "0.03393");
        assert_eq!(figure(12.3456, Units::METRIC), "12.346");
        assert_eq!(figure(0.0, Units::METRIC), "0");
    }
}
