//! Where what has happened differs from what was published, in words.

use chrono::{DateTime, FixedOffset};

use super::execution_state::{Fate, Past};
use super::facts::{Event, Facts};
use crate::plan::{Plan, WorkId};
use crate::scenario::{KegTypeId, Scenario, Stock};

/// One thing that is not as it was published.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Deviation {
    pub text: String,
    pub about: About,
}

/// What a deviation is about.
#[derive(Debug, Clone, PartialEq)]
pub(super) enum About {
    /// A work item.
    Item(WorkId),
    /// A resource, by the start of its name in the network.
    Resource(String),
    /// What is wanted.
    Demand,
}

/// `Wed 10:30`.
pub(super) fn time(at: DateTime<FixedOffset>) -> String {
    at.format("%a %H:%M").to_string()
}

/// Everything that differs: events first, then what was measured, then what is wanted.
pub(super) fn all(
    past: &Past<'_>,
    facts: &Facts,
    (expected, measured): (&Stock, &Stock),
    scenario: &Scenario,
) -> Vec<Deviation> {
    let mut all: Vec<Deviation> = facts
        .events
        .iter()
        .filter_map(|event| {
            let text = event_text(past, event)?;
            let about = About::Item(event.item().clone());
            Some(Deviation { text, about })
        })
        .collect();
    amounts(expected, measured, &mut all);
    kegs(expected, measured, &mut all);
    demand(past, scenario, &mut all);
    all
}

/// An event, if it is not what was published anyway.
fn event_text(past: &Past<'_>, event: &Event) -> Option<String> {
    let id = event.item();
    let item = past.plan.work.iter().find(|item| item.id == *id);
    match event {
        Event::Started { at, .. } => {
            let minutes = (*at - item?.start).num_minutes();
            let late = matches!(past.fate(id), Some(Fate::Begun(late)) if !late.is_zero());
            late.then(|| match minutes {
                1.. => format!("{id} was started {minutes} min late"),
                _ => format!("{id} was started {} min early", -minutes),
            })
        }
        Event::Finished { at, .. } => {
            let minutes = (*at - item?.end).num_minutes();
            (minutes != 0).then(|| format!("{id} was over at {}", time(*at)))
        }
        Event::Late { minutes, .. } => Some(format!("{id} is {minutes} min late")),
        Event::Failed { at, out_until, .. } => Some(match out_until {
            Some(until) => format!(
                "{id} failed at {}, and its pot is out of use until {}",
                time(*at),
                time(*until)
            ),
            None => format!("{id} failed at {}", time(*at)),
        }),
        Event::Skipped { .. } => Some(format!("{id} was not done")),
    }
}

fn told(what: &str, unit: &str, expected: f64, found: f64, least: f64) -> Option<String> {
    let off = found - expected;
    (off.abs() >= least).then(|| {
        let side = if off < 0.0 { "below" } else { "above" };
        format!("{what} measured {:.1} {unit} {side} plan", off.abs())
    })
}

fn amounts(expected: &Stock, measured: &Stock, all: &mut Vec<Deviation>) {
    let (ice, co2) = (expected.ice_kg.kilograms(), expected.co2_kg.kilograms());
    let found = (measured.ice_kg.kilograms(), measured.co2_kg.kilograms());
    let ice = told("ice", "kg", ice, found.0, 0.05);
    let co2 = told("CO2", "kg", co2, found.1, 0.05);
    for (text, name) in [(ice, "ice"), (co2, "co2")] {
        let about = About::Resource(name.to_owned());
        all.extend(text.map(|text| Deviation { text, about }));
    }
    for material in &measured.materials {
        let same = expected.materials.iter();
        let before: f64 = same
            .filter(|m| m.material == material.material)
            .map(|m| m.amount.units())
            .sum();
        let name = material.material.as_str();
        let text = told(name, "units", before, material.amount.units(), 0.05);
        let about = About::Resource(name.to_owned());
        all.extend(text.map(|text| Deviation { text, about }));
    }
}

/// Kegs by state, where counts differ.
fn kegs(expected: &Stock, measured: &Stock, all: &mut Vec<Deviation>) {
    let mut types: Vec<&KegTypeId> = Vec::new();
    let named = expected.empty.iter().chain(&measured.empty);
    types.extend(named.map(|e| &e.keg_type));
    let filled = expected.filled.iter().chain(&measured.filled);
    types.extend(filled.map(|f| &f.keg_type));
    let ready = expected.ready.iter().chain(&measured.ready);
    types.extend(ready.map(|r| &r.keg_type));
    types.sort();
    types.dedup();
    for keg in types {
        for (state, before, after) in [
            ("clean", count(expected, keg, 0), count(measured, keg, 0)),
            ("dirty", count(expected, keg, 1), count(measured, keg, 1)),
            ("cold", count(expected, keg, 2), count(measured, keg, 2)),
            ("ready", count(expected, keg, 3), count(measured, keg, 3)),
        ] {
            if before != after {
                all.push(Deviation {
                    text: format!("{after} {state} {keg} counted, {before} by the plan"),
                    about: About::Resource(format!("{state} ")),
                });
            }
        }
    }
    let litres = |stock: &Stock| stock.on_tap.iter().map(|t| t.litres.litres()).sum::<f64>();
    let text = told(
        "drink on tap",
        "L",
        litres(expected),
        litres(measured),
        0.05,
    );
    let about = About::Resource("on tap".to_owned());
    all.extend(text.map(|text| Deviation { text, about }));
}

/// Kegs of a type: clean, dirty, filled, ready.
fn count(stock: &Stock, keg: &KegTypeId, state: u8) -> u32 {
    let empty = stock.empty.iter().filter(|e| e.keg_type == *keg);
    match state {
        0 => empty.map(|e| u32::from(e.clean)).sum(),
        1 => empty.map(|e| u32::from(e.dirty)).sum(),
        2 => {
            let filled = stock.filled.iter().filter(|f| f.keg_type == *keg);
            filled.map(|f| u32::from(f.kegs)).sum()
        }
        _ => {
            let ready = stock.ready.iter().filter(|r| r.keg_type == *keg);
            ready.map(|r| u32::from(r.kegs)).sum()
        }
    }
}

fn demand(past: &Past<'_>, scenario: &Scenario, all: &mut Vec<Deviation>) {
    let published: &Plan = past.plan;
    let mut add = |text: String| {
        all.push(Deviation {
            text,
            about: About::Demand,
        });
    };
    for line in &scenario.demand {
        let before = published.services.iter().find(|s| s.demand == line.id);
        match before {
            None => add(format!(
                "{} L of {} are newly wanted ({})",
                line.litres.litres(),
                line.product,
                line.id
            )),
            Some(before) if (before.wanted_l - line.litres.litres()).abs() > 0.005 => add(format!(
                "{} wants {} L instead of {} L",
                line.id,
                line.litres.litres(),
                before.wanted_l
            )),
            Some(before) if before.due != line.due || before.product != line.product => {
                add(format!(
                    "{} is wanted at another time or of another product",
                    line.id
                ));
            }
            Some(_) => {}
        }
    }
    for before in &published.services {
        let wanted = scenario.demand.iter().any(|line| line.id == before.demand);
        if before.due >= past.from && !wanted {
            add(format!("{} is not wanted any more", before.demand));
        }
    }
}
