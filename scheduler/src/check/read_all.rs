//! Reading a document so that everything that is wrong with it is told at once.
//!
//! A reader of JSON stops at the first field it cannot take. Here that field is noted, something that
//! can be read is put in its place, taken from a document that is known to be right, and it is read
//! again, until the end is reached.

use serde::de::DeserializeOwned;
use serde_json::Value;

use super::{Fault, Faults};

/// Faults after which a document is given up.
const MOST: usize = 200;

/// Reads a document; `right` is one of its kind that can be read.
///
/// # Errors
/// [`Faults`], every one of them by its field. What fields say about each other is not looked at.
///
/// ```
/// use scheduler::check::read_all;
/// use scheduler::scenario::Scenario;
///
/// let right = serde_json::to_value(scheduler::sample::fixed())?;
/// let mut wrong = right.clone();
/// wrong["setup"]["pots"][1]["power_w"] = (-5).into();
/// wrong["site"]["time_zone"] = "Europe/Atlantis".into();
/// wrong["colour"] = "blue".into();
/// let faults = read_all::<Scenario>(wrong, &right).unwrap_err().0;
/// let mut fields: Vec<&str> = faults.iter().map(|fault| fault.field.as_str()).collect();
/// fields.sort_unstable(); // they come in the order of the document
/// assert_eq!(fields, ["colour", "setup.pots[1].power_w", "site.time_zone"]);
/// # Ok::<(), serde_json::Error>(())
/// ```
pub fn read_all<T: DeserializeOwned>(mut document: Value, right: &Value) -> Result<T, Faults> {
    let mut faults: Vec<Fault> = Vec::new();
    loop {
        let error = match serde_path_to_error::deserialize::<_, T>(&document) {
            Ok(found) if faults.is_empty() => return Ok(found),
            Ok(_) => return Err(Faults(faults)),
            Err(error) => error,
        };
        let path = error.path().to_string();
        let what = error.into_inner().to_string();
        let fault = fault(&path, &what);
        // What was mended and is still wrong cannot be mended.
        let stuck = faults.contains(&fault);
        if !stuck {
            faults.push(fault);
        }
        if stuck || faults.len() >= MOST || !mended(&mut document, right, (&path, &what)) {
            return Err(Faults(faults));
        }
    }
}

/// A fault by the field it is about, which a missing or unknown field is itself.
fn fault(path: &str, what: &str) -> Fault {
    let path = if path == "." { "" } else { path };
    let field = match named_in(what) {
        Some((_, name)) if path.is_empty() => name.to_owned(),
        // The path of an unknown field ends in its name already.
        Some((_, name)) if path == name || path.ends_with(&format!(".{name}")) => path.to_owned(),
        Some((_, name)) => format!("{path}.{name}"),
        None if path.is_empty() => "the document".to_owned(),
        None => path.to_owned(),
    };
    Fault {
        field,
        what: what.to_owned(),
    }
}

/// Whether a field is missing, and its name, where the words are of a missing or unknown one.
fn named_in(what: &str) -> Option<(bool, &str)> {
    let (missing, rest) = match what.strip_prefix("missing field `") {
        Some(rest) => (true, rest),
        None => (false, what.strip_prefix("unknown field `")?),
    };
    Some((missing, rest.split('`').next()?))
}

/// Puts something in the place of what is wrong; false where there is nothing to put there.
fn mended(document: &mut Value, right: &Value, (path, what): (&str, &str)) -> bool {
    let steps = steps(path);
    let Some((missing, name)) = named_in(what) else {
        return replaced(document, right, &steps);
    };
    let parent = match steps.last() {
        Some(last) if last == name => &steps[..steps.len() - 1],
        _ => &steps[..],
    };
    let example = example(right, parent).and_then(|found| found.get(name));
    match (at(document, parent), missing, example) {
        (Some(Value::Object(fields)), false, _) => fields.remove(name).is_some(),
        (Some(Value::Object(fields)), true, Some(example)) => {
            fields.insert(name.to_owned(), example.clone()).is_none()
        }
        _ => replaced(document, right, parent),
    }
}

/// Puts what a right document has in the place of something; what it leaves out is left out.
fn replaced(document: &mut Value, right: &Value, steps: &[String]) -> bool {
    for n in 1..=steps.len() {
        if example(right, &steps[..n]).is_some() {
            continue;
        }
        return match at(document, &steps[..n - 1]) {
            Some(Value::Object(fields)) => fields.remove(&steps[n - 1]).is_some(),
            _ => false,
        };
    }
    match (example(right, steps), at(document, steps)) {
        (Some(example), Some(place)) if !steps.is_empty() => {
            *place = example.clone();
            true
        }
        _ => false,
    }
}

/// `setup.pots[0].power_w` in its steps.
fn steps(path: &str) -> Vec<String> {
    let plain = path.replace('[', ".").replace(']', "");
    let steps = plain.split('.').filter(|step| !step.is_empty());
    steps.map(str::to_owned).collect()
}

fn at<'a>(document: &'a mut Value, steps: &[String]) -> Option<&'a mut Value> {
    steps.iter().try_fold(document, |value, step| match value {
        Value::Array(list) => list.get_mut(step.parse::<usize>().ok()?),
        Value::Object(fields) => fields.get_mut(step),
        _ => None,
    })
}

/// What a right document has at a place; of a list it is the first.
fn example<'a>(right: &'a Value, steps: &[String]) -> Option<&'a Value> {
    steps.iter().try_fold(right, |value, step| match value {
        Value::Array(list) => list.first(),
        Value::Object(fields) => fields.get(step),
        _ => None,
    })
}

#[cfg(test)]
mod tests {
    use serde_json::json;

    use super::*;
    use crate::scenario::Scenario;

    fn fields(change: impl Fn(&mut Value)) -> Vec<String> {
        let right = serde_json::to_value(crate::sample::fixed()).unwrap();
        let mut wrong = right.clone();
        change(&mut wrong);
        match read_all::<Scenario>(wrong, &right) {
            Ok(_) => Vec::new(),
            Err(Faults(faults)) => faults.into_iter().map(|fault| fault.field).collect(),
        }
    }

    #[test]
    fn what_can_be_read_is_read() {
        assert!(fields(|_| ()).is_empty());
    }

    #[test]
    fn missing_unknown_and_wrong_fields_are_told_together() {
        let found = fields(|wrong| {
            let site = wrong["site"].as_object_mut().unwrap();
            site.remove("name");
            wrong["setup"]["pots"][1]["efficiency"] = json!(85);
            wrong["setup"]["pots"][0]["colour"] = json!("blue");
            wrong["setup"]["gas_stations"][0]["method"] = json!({ "kind": "magic" });
            wrong["setup"]["cylinders"] = json!({ "coupled": "two" });
            wrong["demand"] = json!("lots");
        });
        let mut found: Vec<&str> = found.iter().map(String::as_str).collect();
        found.sort_unstable();
        assert!(
            found.contains(&"demand") && found.contains(&"site.name"),
            "{found:?}"
        );
        assert!(found.contains(&"setup.pots[0].colour"), "{found:?}");
        assert!(found.contains(&"setup.pots[1].efficiency"), "{found:?}");
        assert!(
            found
                .iter()
                .any(|f| f.starts_with("setup.gas_stations[0].method")),
            "{found:?}"
        );
        assert!(
            found.iter().any(|f| f.starts_with("setup.cylinders")),
            "{found:?}"
        );
    }

    #[test]
    fn what_is_nothing_like_a_scenario_is_given_up() {
        let right = serde_json::to_value(crate::sample::fixed()).unwrap();
        let Faults(faults) = read_all::<Scenario>(json!([1, 2]), &right).unwrap_err();
        assert!(!faults.is_empty());
    }
}
