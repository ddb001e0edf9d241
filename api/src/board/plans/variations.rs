//! Changes a person can ask about by name: each turns the scenario of a plan into another one.

use scheduler::answer::{ScenarioChange, patched};
use scheduler::scenario::{Scenario, read};
use serde_json::{Value, json};

use super::super::fields::Fields;
use crate::domain::Refusal;
use crate::text::units::Units;
use model::units::{Unit, converted};

/// What a form asks about, by the names of its fields.
const ASKED: [(&str, Make); 6] = [
    ("out", out_of_service),
    ("kegs", more_kegs),
    ("ice", more_ice),
    ("demand", more_demand),
    ("hands", more_hands),
    ("patch", pasted),
];

/// Makes a change, and says what people call it; nothing where the form says nothing.
type Make = fn(&mut Value, &Fields, Units) -> Result<Option<String>, Refusal>;

/// A way to be out of service, to be chosen.
pub(super) struct Way {
    pub(super) id: String,
    pub(super) name: String,
}

/// The changes a form asks about: each by itself, or all together as one.
pub(super) fn asked(
    scenario: &Scenario,
    fields: &Fields,
    units: Units,
) -> Result<Vec<ScenarioChange>, Refusal> {
    let plain = serde_json::to_value(scenario).map_err(Refusal::internal)?;
    let together = fields.get("together").is_some();
    let mut changed = plain.clone();
    let (mut found, mut labels) = (Vec::new(), Vec::new());
    for (field, make) in ASKED {
        if !together {
            changed = plain.clone();
        }
        let Some(label) = make(&mut changed, fields, units)? else {
            continue;
        };
        sound(field, &changed)?;
        if together {
            labels.push(label);
        } else {
            found.push(change(label, &plain, &changed));
        }
    }
    if !labels.is_empty() {
        found.push(change(labels.join(", "), &plain, &changed));
    }
    if found.is_empty() {
        let what = "nothing found; say at least one thing that is to be different";
        return Err(Refusal::field("what if", what));
    }
    Ok(found)
}

fn change(label: String, plain: &Value, changed: &Value) -> ScenarioChange {
    ScenarioChange {
        label: label.chars().take(120).collect(),
        patch: json!(json_patch::diff(plain, changed)),
    }
}

/// Refuses a change that makes no scenario, before anybody waits for an answer.
fn sound(field: &str, changed: &Value) -> Result<(), Refusal> {
    let refuse = |what: String| Refusal::field(field, what);
    let scenario = read(&changed.to_string()).map_err(|error| refuse(error.to_string()))?;
    let checked = scenario.check();
    checked
        .map(drop)
        .map_err(|faults| refuse(faults.to_string()))
}

/// What can be out of service, by what people call it.
pub(super) fn ways(scenario: &Scenario) -> Vec<Way> {
    let setup = &scenario.setup;
    let way = |id: String, name: &str| Way {
        id,
        name: name.to_owned(),
    };
    let pots = setup.pots.iter();
    let pots = pots.map(|pot| way(format!("pot {}", pot.id), &pot.name));
    let stores = setup.cold_stores.iter();
    let stores = stores.map(|store| way(format!("places {}", store.id), &store.name));
    let stations = setup.gas_stations.iter();
    let stations =
        stations.map(|station| way(format!("connections {}", station.id), &station.name));
    let alone = [("ice_machine", "Ice machine"), ("washing", "Wash")];
    let alone = alone.map(|(id, name)| way(id.to_owned(), name));
    pots.chain(stores).chain(stations).chain(alone).collect()
}

/// Edits a list; one that is left out where it is empty is put there.
fn edit(scenario: &mut Value, pointer: &str, with: impl FnOnce(&mut Vec<Value>)) {
    let (parent, name) = pointer.rsplit_once('/').unwrap_or(("", pointer));
    if let Some(Value::Object(parent)) = scenario.pointer_mut(parent) {
        let mut rows = match parent.remove(name) {
            Some(Value::Array(rows)) => rows,
            _ => Vec::new(),
        };
        with(&mut rows);
        parent.insert(name.to_owned(), Value::Array(rows));
    }
}

fn out_of_service(
    scenario: &mut Value,
    fields: &Fields,
    _: Units,
) -> Result<Option<String>, Refusal> {
    let Some(text) = fields.text("out") else {
        return Ok(None);
    };
    let (kind, id) = text.split_once(' ').unwrap_or((text, ""));
    let (name, named) = match kind {
        "pot" => ("pot", "pots"),
        "places" => ("store", "cold_stores"),
        "connections" => ("station", "gas_stations"),
        _ => ("", ""),
    };
    let mut equipment = json!({ "kind": kind });
    let mut label = kind.replace('_', " ");
    if !name.is_empty() {
        equipment[name] = json!(id);
        let known = scenario["setup"][named].as_array();
        let mut known = known.into_iter().flatten();
        let found = known.find(|thing| thing["id"] == id);
        label = found
            .and_then(|thing| thing["name"].as_str())
            .unwrap_or(id)
            .to_owned();
    }
    let start = scenario["horizon"]["start"].clone();
    let until = end_of(scenario)?;
    let outage = json!({ "equipment": equipment, "from": start, "until": until });
    edit(scenario, "/setup/outages", |outages| outages.push(outage));
    Ok(Some(format!("without {label}")))
}

/// When the plan's days are over.
fn end_of(scenario: &Value) -> Result<Value, Refusal> {
    let plain: Scenario = serde_json::from_value(scenario.clone()).map_err(Refusal::internal)?;
    let end = plain.horizon.start + chrono::Duration::days(i64::from(plain.horizon.days));
    Ok(json!(end))
}

fn more_kegs(scenario: &mut Value, fields: &Fields, _: Units) -> Result<Option<String>, Refusal> {
    let Some(more): Option<u16> = fields.number("kegs")? else {
        return Ok(None);
    };
    let types = scenario["setup"]["keg_types"].as_array().cloned();
    let types = types.unwrap_or_default();
    let wanted = fields.text("keg_type");
    let found = types
        .iter()
        .find(|keg| wanted.is_none_or(|id| keg["id"] == id));
    let Some(keg) = found else {
        let what = format!("{} found; a keg there is is allowed", wanted.unwrap_or(""));
        return Err(Refusal::field("keg_type", what));
    };
    edit(scenario, "/stock/empty", |empty| {
        match empty.iter_mut().find(|e| e["keg_type"] == keg["id"]) {
            Some(row) => row["clean"] = json!(row["clean"].as_u64().unwrap_or(0) + u64::from(more)),
            None => empty.push(json!({ "keg_type": keg["id"], "clean": more, "dirty": 0 })),
        }
    });
    let name = keg["name"].as_str().unwrap_or_default();
    Ok(Some(format!("{more} more kegs, {name}")))
}

fn more_ice(
    scenario: &mut Value,
    fields: &Fields,
    units: Units,
) -> Result<Option<String>, Refusal> {
    let Some(more): Option<f64> = fields.number("ice")? else {
        return Ok(None);
    };
    let kg = converted(more, units.read_in(Unit::Kg), Unit::Kg);
    let rate = &mut scenario["setup"]["ice"]["rate_kg_per_h"];
    *rate = json!((rate.as_f64().unwrap_or(0.0) + kg).max(0.0));
    Ok(Some(format!("{} of ice more each hour", units.mass(kg))))
}

fn more_demand(
    scenario: &mut Value,
    fields: &Fields,
    units: Units,
) -> Result<Option<String>, Refusal> {
    let Some(percent): Option<f64> = fields.number("demand")? else {
        return Ok(None);
    };
    let of = fields.text("product");
    edit(scenario, "/demand", |lines| {
        let of = |line: &&mut Value| of.is_none_or(|product| line["product"] == product);
        for line in lines.iter_mut().filter(of) {
            let litres = line["litres"].as_f64().unwrap_or(0.0) * (1.0 + percent / 100.0);
            line["litres"] = json!(litres);
        }
    });
    let sign = if percent < 0.0 { "−" } else { "+" };
    let products = scenario["setup"]["products"].as_array();
    let mut products = products.into_iter().flatten();
    let name = of.and_then(|id| products.find(|p| p["id"] == id)?["name"].as_str());
    let of = name.map_or_else(String::new, |name| format!(" of {name}"));
    Ok(Some(format!(
        "demand{of} {sign}{} %",
        units.number(percent.abs())
    )))
}

fn more_hands(scenario: &mut Value, fields: &Fields, _: Units) -> Result<Option<String>, Refusal> {
    let Some(more): Option<i64> = fields.number("hands")? else {
        return Ok(None);
    };
    edit(scenario, "/setup/crew/shifts", |shifts| {
        for shift in shifts {
            shift["hands"] = json!(shift["hands"].as_i64().unwrap_or(0) + more);
        }
    });
    let sign = if more < 0 { "−" } else { "+" };
    Ok(Some(format!("{sign}{} hands in each shift", more.abs())))
}

/// A patch as the API takes it: an object to merge, or a list of operations.
fn pasted(scenario: &mut Value, fields: &Fields, _: Units) -> Result<Option<String>, Refusal> {
    let Some(text) = fields.text("patch") else {
        return Ok(None);
    };
    let refuse = |what: String| Refusal::field("patch", what);
    let patch: Value = serde_json::from_str(text).map_err(|error| refuse(error.to_string()))?;
    *scenario = patched(scenario.take(), &patch).map_err(|error| refuse(error.to_string()))?;
    Ok(Some(fields.text("label").unwrap_or("as pasted").to_owned()))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn changes(form: &str) -> Result<Vec<ScenarioChange>, Refusal> {
        let fields = Fields::parse(form.as_bytes());
        asked(&scheduler::sample::fixed(), &fields, Units::METRIC)
    }

    fn with(change: &ScenarioChange) -> Scenario {
        let mut value = serde_json::to_value(scheduler::sample::fixed()).unwrap();
        let patch: json_patch::Patch = serde_json::from_value(change.patch.clone()).unwrap();
        json_patch::patch(&mut value, &patch).unwrap();
        serde_json::from_value(value).unwrap()
    }

    #[test]
    fn each_change_is_made_by_itself_or_all_together() {
        let plain = scheduler::sample::fixed();
        let form = "kegs=3&ice=2%2C5&demand=10&hands=1";
        let each = changes(form).unwrap();
        assert_eq!(each.len(), 4);
        let clean = |s: &Scenario| s.stock.empty.iter().map(|e| e.clean).sum::<u16>();
        assert_eq!(clean(&with(&each[0])), clean(&plain) + 3);
        let rate = |s: &Scenario| s.setup.ice.rate_kg_per_h.kilograms_per_hour();
        assert!((rate(&with(&each[1])) - rate(&plain) - 2.5).abs() < 1e-9);
        let litres = |s: &Scenario| s.demand.iter().map(|d| d.litres.litres()).sum::<f64>();
        assert!((litres(&with(&each[2])) / litres(&plain) - 1.1).abs() < 1e-9);
        let all = changes(&format!("{form}&together=yes")).unwrap();
        assert_eq!(all.len(), 1);
        let all = with(&all[0]);
        assert_eq!(clean(&all), clean(&plain) + 3);
        assert!((litres(&all) / litres(&plain) - 1.1).abs() < 1e-9);
    }

    #[test]
    fn everything_that_can_be_out_of_service_is_a_sound_change() {
        let plain = scheduler::sample::fixed();
        for way in ways(&plain) {
            let form = format!("out={}", way.id.replace(' ', "+"));
            let found = changes(&form).unwrap();
            assert_eq!(
                with(&found[0]).setup.outages.len(),
                plain.setup.outages.len() + 1
            );
        }
    }

    #[test]
    fn what_cannot_be_done_is_refused_by_name() {
        for (form, field) in [
            ("", "what if"),
            ("ice=lots", "ice"),
            ("patch=%7B%22setup%22%3A1%7D", "patch"),
            ("patch=%7B", "patch"),
            ("demand=-100", "demand"),
        ] {
            let refused = changes(form).unwrap_err().to_string();
            assert!(refused.contains(field), "{form}: {refused}");
        }
    }
}
