//! A part of the setup, read back from the form that was sent.
//!
//! What was not touched keeps its value to the last digit; what the form does not name stays.

use serde_json::{Map, Value, json};

use super::super::fields::Fields;
use super::form::About;
use super::shape::{Member, Shape, of_kind};
use crate::domain::Refusal;
use model::units::converted;

impl About<'_> {
    /// What a form says a value is to be; nothing where it is to be left out.
    pub(super) fn read(
        &self,
        member: &Member,
        pointer: &str,
        was: &Value,
        fields: &Fields,
    ) -> Result<Value, Refusal> {
        match &member.shape {
            Shape::Object(members) => {
                let shown = fields.get(&format!("shown {pointer}")).is_some();
                if !member.needed && shown && fields.get(&format!("has {pointer}")).is_none() {
                    return Ok(Value::Null);
                }
                if !member.needed && !shown && was.is_null() {
                    return Ok(Value::Null);
                }
                self.object(members, pointer, was, fields)
            }
            Shape::Kinds(kinds) => {
                let is = was["kind"].as_str().unwrap_or_default();
                let kind = fields.text(&format!("{pointer}/kind")).unwrap_or(is);
                let found = kinds.iter().find(|(known, _)| known == kind);
                let Some((kind, members)) = found else {
                    let what = format!("{kind} found; one of the kinds that are listed is allowed");
                    return Err(Refusal::field(format!("{pointer}/kind"), what));
                };
                if kind != is {
                    return Ok(of_kind(kind, members, self.document));
                }
                let mut value = self.object(members, pointer, was, fields)?;
                value["kind"] = json!(kind);
                Ok(value)
            }
            Shape::List(of) => {
                let list = self.read_list(member, of, pointer, was, fields)?;
                // What is left out where it is empty stays left out.
                let nothing = list.as_array().is_some_and(Vec::is_empty) && was.is_null();
                Ok(if nothing { Value::Null } else { list })
            }
            _ => self.read_one(member, pointer, was, fields),
        }
    }

    fn object(
        &self,
        members: &[Member],
        pointer: &str,
        was: &Value,
        fields: &Fields,
    ) -> Result<Value, Refusal> {
        let mut found = Map::new();
        for member in members {
            let place = format!("{pointer}/{}", member.name);
            let value = self.read(member, &place, &was[&member.name], fields)?;
            if !value.is_null() {
                found.insert(member.name.clone(), value);
            }
        }
        Ok(Value::Object(found))
    }

    fn read_list(
        &self,
        member: &Member,
        of: &Shape,
        pointer: &str,
        was: &Value,
        fields: &Fields,
    ) -> Result<Value, Refusal> {
        let empty = Vec::new();
        let list = was.as_array().unwrap_or(&empty);
        match of {
            Shape::Object(_) => {
                let row = member.listed(of);
                let rows = list
                    .iter()
                    .enumerate()
                    .map(|(n, was)| self.read(&row, &format!("{pointer}/{n}"), was, fields));
                Ok(Value::Array(rows.collect::<Result<_, _>>()?))
            }
            Shape::Word(_) | Shape::Id(_) => {
                if fields.get(&format!("shown {pointer}")).is_none() {
                    return Ok(was.clone());
                }
                let chosen: Vec<&str> = fields.all(pointer).collect();
                let is = |value: &Value| value.as_str().is_some_and(|id| chosen.contains(&id));
                let mut kept: Vec<Value> = list.iter().filter(|value| is(value)).cloned().collect();
                let more = chosen
                    .iter()
                    .filter(|id| list.iter().all(|value| value != *id));
                kept.extend(more.map(|id| json!(id)));
                Ok(Value::Array(kept))
            }
            _ => match fields.get(pointer).map(str::trim) {
                None => Ok(was.clone()),
                Some(text) if text == self.shown(member, was) => Ok(was.clone()),
                Some(text) => several(of, pointer, text),
            },
        }
    }

    fn read_one(
        &self,
        member: &Member,
        pointer: &str,
        was: &Value,
        fields: &Fields,
    ) -> Result<Value, Refusal> {
        let Some(text) = fields.get(pointer).map(str::trim) else {
            return Ok(was.clone());
        };
        if text == self.shown(member, was) {
            return Ok(was.clone());
        }
        if text.is_empty() {
            if !member.needed {
                return Ok(Value::Null);
            }
            return Err(Refusal::field(
                pointer,
                "nothing found; something is needed",
            ));
        }
        match &member.shape {
            Shape::Number { whole, unit } => {
                let number: f64 = fields.number(pointer)?.unwrap_or_default();
                let number = unit.map_or(number, |unit| {
                    converted(number, self.units.read_in(unit), unit)
                });
                Ok(number_of(number, *whole))
            }
            Shape::YesNo => Ok(json!(text == "true")),
            _ => Ok(json!(text)),
        }
    }
}

fn number_of(number: f64, whole: bool) -> Value {
    if whole && number.fract().abs() < 1e-9 {
        json!(number as i64)
    } else {
        json!(number)
    }
}

/// Numbers or words in one field, with semicolons or room between them.
fn several(of: &Shape, pointer: &str, text: &str) -> Result<Value, Refusal> {
    let parts = text.split([';', ' ']).map(str::trim);
    let parts = parts.filter(|part| !part.is_empty());
    let one = |part: &str| match of {
        Shape::Number { whole, .. } => {
            let number = part.replace(',', ".").parse();
            let wrong = |_| Refusal::field(pointer, format!("{part} found; numbers are allowed"));
            number
                .map(|number| number_of(number, *whole))
                .map_err(wrong)
        }
        _ => Ok(json!(part)),
    };
    Ok(Value::Array(parts.map(one).collect::<Result<_, _>>()?))
}

/// Adds an entry to the list at a place in a part: like the last one, or from the contract's example.
pub(super) fn add(part: &Member, pointer: &str, place: &str, document: &mut Value) {
    let steps = place.strip_prefix(pointer).unwrap_or_default();
    let steps: Vec<&str> = steps.split('/').skip(1).collect();
    let Some((member, Shape::List(of))) = found(part, &part.shape, &steps) else {
        return;
    };
    let row = member.listed(of);
    let example = row.example(document);
    let Some(list) = list_at(document, place) else {
        return;
    };
    let mut new = list.last().cloned().unwrap_or(example);
    for called in ["id", "name"] {
        if new.get(called).is_some() {
            new[called] = json!("");
        }
    }
    list.push(new);
}

/// Takes an entry out of the list it is in.
pub(super) fn take_out(place: &str, document: &mut Value) {
    let Some((list, n)) = place.rsplit_once('/') else {
        return;
    };
    let n = n.parse().unwrap_or(usize::MAX);
    match document.pointer_mut(list) {
        Some(Value::Array(list)) if n < list.len() => {
            list.remove(n);
        }
        _ => {}
    }
}

/// The list at a place, which is put there where it was left out.
fn list_at<'a>(document: &'a mut Value, place: &str) -> Option<&'a mut Vec<Value>> {
    let (parent, name) = place.rsplit_once('/')?;
    let parent = document.pointer_mut(parent)?.as_object_mut()?;
    let list = parent.entry(name).or_insert_with(|| json!([]));
    list.as_array_mut()
}

/// What is declared at the end of some steps into a part.
fn found<'a>(
    member: &'a Member,
    shape: &'a Shape,
    steps: &[&str],
) -> Option<(&'a Member, &'a Shape)> {
    let Some((step, rest)) = steps.split_first() else {
        return Some((member, shape));
    };
    let among = |members: &'a [Member]| {
        let next = members.iter().find(|member| member.name == *step)?;
        found(next, &next.shape, rest)
    };
    match shape {
        Shape::Object(members) => among(members),
        Shape::Kinds(kinds) => kinds.iter().find_map(|(_, members)| among(members)),
        Shape::List(of) => found(member, of, rest),
        _ => None,
    }
}

#[cfg(test)]
mod tests {
    use super::super::part::PARTS;
    use super::*;
    use crate::domain::setup::SetupDocument;
    use crate::text::units::Units;

    fn document() -> Value {
        let scenario = scheduler::sample::fixed();
        let document = SetupDocument {
            setup: scenario.setup,
            policy: scenario.policy,
        };
        serde_json::to_value(document).unwrap()
    }

    fn about(document: &Value, units: Units) -> About<'_> {
        About {
            document,
            stored: document,
            units,
            typed: None,
            assumed: &[],
        }
    }

    /// What a browser sends of a form that nobody touched.
    fn sent(page: &str) -> Fields {
        let mut form = form_urlencoded::Serializer::new(String::new());
        let value = |tag: &str, name: &str| {
            let after = tag.split(&format!(" {name}=\"")).nth(1)?;
            Some(
                after
                    .split('"')
                    .next()?
                    .replace("&#34;", "\"")
                    .replace("&#38;", "&"),
            )
        };
        for tag in page.split("<input").skip(1) {
            let tag = tag.split('>').next().unwrap();
            let boxed = tag.contains("type=\"checkbox\"");
            if !boxed || tag.contains(" checked") {
                form.append_pair(&value(tag, "name").unwrap(), &value(tag, "value").unwrap());
            }
        }
        for select in page.split("<select").skip(1) {
            let select = select.split("</select>").next().unwrap();
            let chosen = select
                .split("<option")
                .skip(1)
                .find(|o| o.contains(" selected"));
            let chosen = chosen.or(select.split("<option").nth(1)).unwrap();
            form.append_pair(
                &value(select, "name").unwrap(),
                &value(chosen, "value").unwrap(),
            );
        }
        Fields::parse(form.finish().as_bytes())
    }

    #[test]
    fn what_is_not_touched_stays_to_the_last_digit() {
        let document = document();
        for (slug, _, pointer) in PARTS {
            let member = Member::of_setup(pointer).unwrap();
            let was = document.pointer(pointer).cloned().unwrap_or_default();
            for units in [Units::METRIC, Units::US] {
                let about = about(&document, units);
                let fields = sent(&about.node(&member, pointer, "", &was).to_string());
                let read = about.read(&member, pointer, &was, &fields).unwrap();
                assert_eq!(read, was, "{slug}");
                // What is not named stays too.
                let silent = about
                    .read(&member, pointer, &was, &Fields::default())
                    .unwrap();
                assert_eq!(silent, was, "{slug}");
            }
        }
    }

    #[test]
    fn a_pot_is_added_like_the_last_one_and_taken_out_again() {
        let mut document = document();
        let before = document.clone();
        let member = Member::of_setup("/setup/pots").unwrap();
        add(&member, "/setup/pots", "/setup/pots", &mut document);
        let pots = document["setup"]["pots"].as_array().unwrap();
        let n = pots.len() - 1;
        assert_eq!(pots[n]["volume_l"], pots[n - 1]["volume_l"]);
        assert_eq!(pots[n]["id"], "");
        take_out(&format!("/setup/pots/{n}"), &mut document);
        assert_eq!(document, before);
    }

    #[test]
    fn rows_within_rows_can_be_added_from_nothing() {
        for (pointer, place) in [
            ("/setup/crew", "/setup/crew/shifts/0/breaks"),
            ("/setup/products", "/setup/products/0/substitutes"),
            ("/setup/ice", "/setup/ice/bar_draw"),
            ("/setup/outages", "/setup/outages"),
            ("/setup/hours", "/setup/quiet_hours"),
        ] {
            let mut document = document();
            let pointer = pointer.replace("/hours", "/quiet_hours");
            let member = Member::of_setup(&pointer).unwrap();
            add(&member, &pointer, place, &mut document);
            let list = document.pointer(place).and_then(Value::as_array).unwrap();
            assert!(!list.is_empty(), "{place}");
            let read: SetupDocument = serde_json::from_value(document).unwrap();
            drop(read);
        }
    }

    #[test]
    fn numbers_kinds_and_choices_are_read_in_the_units_of_the_page() {
        let document = document();
        let read = |pointer: &str, form: &str| {
            let member = Member::of_setup(pointer).unwrap();
            let was = document.pointer(pointer).cloned().unwrap_or_default();
            let fields = Fields::parse(form.as_bytes());
            about(&document, Units::US).read(&member, pointer, &was, &fields)
        };
        // 10 US gal are 37.854 L (NIST SP 811, table B.8).
        let pots = read("/setup/pots", "/setup/pots/0/volume_l=10").unwrap();
        assert!((pots[0]["volume_l"].as_f64().unwrap() - 37.854_12).abs() < 1e-3);
        let form = "shown+/setup/crew/shifts/0/days=1&/setup/crew/shifts/0/days=sun";
        let crew = read("/setup/crew", form).unwrap();
        assert_eq!(crew["shifts"][0]["days"], json!(["sun"]));
        let ice = read("/setup/ice", "shown+/setup/ice/purchase=1").unwrap();
        assert!(ice["purchase"].is_null());
        let stations = read(
            "/setup/gas_stations",
            "/setup/gas_stations/0/method/kind=shaken",
        );
        assert!(stations.unwrap()[0]["method"]["kla_per_s"].is_number());
        let wrong = read("/setup/pots", "/setup/pots/0/volume_l=much").unwrap_err();
        assert!(
            wrong.to_string().contains("/setup/pots/0/volume_l"),
            "{wrong}"
        );
        let blank = read("/setup/pots", "/setup/pots/0/volume_l=").unwrap_err();
        assert!(blank.to_string().contains("something is needed"), "{blank}");
    }
}
