//! One thing to do, as a card: what, when, with which numbers, and what to mind.

use chrono::{DateTime, FixedOffset};
use scheduler::plan::{
    BoilStep, CylinderStep, DiscardStep, FillStep, GasStep, IceStep, ReturnStep, StaleStep, Step,
    TapStep, WashStep, WorkItem,
};

use super::late::Late;
use crate::domain::work::{FloorItem, Visit, WorkState};
use crate::text::co2_range;
use crate::text::figures::duration;
use crate::text::names::Names;
use crate::text::steps;
use crate::text::units::{Figure, Units};
use crate::text::visits;

/// A number in large type, with what it is.
pub(super) struct Number {
    pub(super) value: String,
    pub(super) unit: String,
    pub(super) label: String,
}

/// What to mind.
pub(super) struct Mind {
    pub(super) title: &'static str,
    pub(super) text: String,
}

/// A work item as it is shown.
pub(super) struct Card {
    /// What the page's links to it end in; its own where an item has two cards.
    pub(super) anchor: String,
    pub(super) id: String,
    pub(super) href: String,
    pub(super) kind: &'static str,
    /// What the kind is called on the floor.
    pub(super) verb: &'static str,
    pub(super) headline: String,
    pub(super) from: String,
    pub(super) until: String,
    pub(super) day: String,
    pub(super) hands: String,
    pub(super) numbers: Vec<Number>,
    pub(super) lines: Vec<String>,
    pub(super) minds: Vec<Mind>,
    pub(super) late: Option<String>,
    pub(super) state: &'static str,
    /// What was recorded, in words.
    pub(super) told: String,
    pub(super) can_start: bool,
    pub(super) can_end: bool,
    /// Whether its form offers to end the work; a visit in the middle of it does not.
    pub(super) ends_here: bool,
    /// Whether what to mind is only named, its words a touch away.
    pub(super) brief: bool,
}

impl Card {
    /// The card of an item of a site whose pages begin with `base`.
    pub(super) fn of(
        base: &str,
        names: &Names<'_>,
        units: Units,
        floor: &FloorItem,
        now: DateTime<FixedOffset>,
    ) -> Self {
        let (item, record) = (&floor.item, &floor.record);
        let until = if item.end > item.start {
            units.time_after(item.end, item.start)
        } else {
            String::new()
        };
        Self {
            anchor: item.id.to_string(),
            id: item.id.to_string(),
            href: format!("{base}/plans/{}/work/{}", floor.plan, item.id),
            kind: item.step.kind(),
            verb: verb(&item.step),
            headline: steps::headline(names, &item.step),
            from: item.start.format("%H:%M").to_string(),
            until,
            day: units.day(item.start),
            hands: hands(item),
            numbers: numbers(names, units, floor),
            lines: steps::instructions(names, item),
            minds: item.cautions.iter().map(mind).collect(),
            late: Late::of(floor, now).map(|late| late.words()),
            state: record.state.into_str(),
            told: told(units, floor),
            can_start: record.state == WorkState::Planned,
            can_end: matches!(record.state, WorkState::Planned | WorkState::Started),
            ends_here: matches!(record.state, WorkState::Planned | WorkState::Started),
            brief: false,
        }
    }

    /// The card of a later visit to an item, which is due at an instant.
    pub(super) fn of_visit(
        whole: Self,
        names: &Names<'_>,
        units: Units,
        floor: &FloorItem,
        visit: &Visit,
        due: DateTime<FixedOffset>,
    ) -> Self {
        let item = &floor.item;
        let cautions = item.cautions.iter();
        let minds = cautions.filter(|caution| visits::concerns(item, caution.kind));
        Self {
            anchor: format!("{}-{}", item.id, visit.kind.as_str()),
            headline: visits::headline(names, item),
            from: due.format("%H:%M").to_string(),
            until: String::new(),
            day: units.day(due),
            hands: format!("{} of hands", duration(visit.hands_min)),
            numbers: visit_numbers(units, &item.step),
            lines: visits::instructions(names, item),
            minds: minds.map(mind).collect(),
            late: None,
            told: String::new(),
            can_start: false,
            can_end: whole.can_end,
            ends_here: visit.kind.ends_it() && floor.record.state == WorkState::Started,
            ..whole
        }
    }
}

/// Ice that chills a boil, and where it goes.
fn ice(boil: &BoilStep) -> (f64, &'static str) {
    match boil.ice_in_kg > 0.0 {
        true => (boil.ice_in_kg, "into it"),
        false => (boil.ice_bath_kg, "around it"),
    }
}

/// The numbers of a later visit.
fn visit_numbers(units: Units, step: &Step) -> Vec<Number> {
    match step {
        Step::Boil(boil) => {
            let (kg, way) = ice(boil);
            vec![
                big(units.mass(kg), format!("of ice {way}")),
                big(units.degrees(boil.chill_to_c), "chilled to"),
            ]
        }
        Step::Gas(gas) => vec![
            count(gas.kegs),
            big(units.bar(gas.hold_bar), "vent to, and hold"),
        ],
        _ => Vec::new(),
    }
}

/// Minutes of hands; what is gone to twice needs them in all.
fn hands(item: &WorkItem) -> String {
    let minutes = duration(item.hands_min);
    match item.step {
        _ if item.hands_min <= 0.0 => String::new(),
        Step::Boil(_) | Step::Gas(_) => format!("{minutes} of hands in all"),
        _ => format!("{minutes} of hands"),
    }
}

fn mind(caution: &scheduler::plan::Caution) -> Mind {
    Mind {
        title: steps::minded(caution.kind),
        text: caution.text.clone(),
    }
}

fn verb(step: &Step) -> &'static str {
    match step {
        Step::Boil(_) => "Boil",
        Step::Fill(_) => "Fill",
        Step::Gas(_) => "Gas",
        Step::Tap(_) => "To the tap",
        Step::Stale(_) => "Pour away",
        Step::Return(_) => "Take in empties",
        Step::Discard(_) => "Empty",
        Step::Wash(_) => "Wash",
        Step::Ice(_) => "Take in ice",
        Step::Cylinder(_) => "Change CO2",
    }
}

/// What was recorded, in words: `begun Mon 1 June 09:05 by Ines`.
fn told(units: Units, floor: &FloorItem) -> String {
    let record = &floor.record;
    let by = record.by.as_ref();
    let by = by.map_or_else(String::new, |by| format!(" by {}", by.as_str()));
    let at = |at: Option<DateTime<FixedOffset>>| {
        at.map_or_else(String::new, |at| units.day_and_time(at))
    };
    let words = match record.state {
        WorkState::Planned => return String::new(),
        WorkState::Started => format!("begun {}{by}", at(record.started_at)),
        WorkState::Finished => format!("finished {}{by}", at(record.ended_at)),
        WorkState::Failed => format!("failed {}{by}", at(record.ended_at)),
        WorkState::Skipped => format!("skipped {}{by}", at(record.ended_at)),
    };
    match &record.note {
        Some(note) => format!("{words}: {}", note.as_str()),
        None => words,
    }
}

fn big(figure: Figure, label: impl Into<String>) -> Number {
    Number {
        value: figure.value,
        unit: figure.unit.to_owned(),
        label: label.into(),
    }
}

fn plain(value: impl Into<String>, unit: &str, label: impl Into<String>) -> Number {
    Number {
        value: value.into(),
        unit: unit.to_owned(),
        label: label.into(),
    }
}

fn count(kegs: u32) -> Number {
    plain(kegs.to_string(), if kegs == 1 { "keg" } else { "kegs" }, "")
}

/// The numbers to do it by, most needed first.
fn numbers(names: &Names<'_>, units: Units, floor: &FloorItem) -> Vec<Number> {
    match &floor.item.step {
        Step::Boil(step) => boil(names, units, floor, step),
        Step::Fill(FillStep {
            kegs,
            litres_each,
            at_c,
            blanket,
            ..
        }) => {
            let mut found = vec![
                count(*kegs),
                big(units.litres(*litres_each), "into each"),
                big(units.degrees(*at_c), "water"),
            ];
            if let Some(blanket) = blanket {
                found.push(big(units.bar(blanket.bar), "purge, and leave coupled at"));
            }
            found
        }
        Step::Gas(step) => gas(names, units, step),
        Step::Tap(TapStep {
            kegs, serve_bar, ..
        }) => vec![count(*kegs), big(units.bar(*serve_bar), "serve at")],
        Step::Stale(StaleStep { litres, .. }) => vec![big(units.litres(*litres), "away")],
        Step::Return(ReturnStep { kegs, .. })
        | Step::Discard(DiscardStep { kegs, .. })
        | Step::Wash(WashStep { kegs, .. }) => {
            vec![count(*kegs)]
        }
        Step::Ice(IceStep { kg, .. }) => vec![big(units.mass(*kg), "of ice")],
        Step::Cylinder(CylinderStep { cylinders, .. }) => {
            vec![plain(cylinders.to_string(), "cylinders", "")]
        }
    }
}

fn gas(names: &Names<'_>, units: Units, step: &GasStep) -> Vec<Number> {
    let GasStep {
        kegs,
        syrup,
        syrup_l_each,
        regulator_bar,
        hold_bar,
        uptake_min,
        target_g_per_l,
        ..
    } = step;
    let mut found = vec![count(*kegs)];
    if let Some(syrup) = syrup {
        let of = format!("of {} into each", names.material(syrup.as_str()));
        found.push(big(units.dose(*syrup_l_each), of));
    }
    found.extend([
        big(units.bar(*regulator_bar), "set the regulator"),
        time(units, "under it", *uptake_min),
        big(units.bar(*hold_bar), "then vent to, and hold"),
        plain(
            units.fixed(*target_g_per_l, 1),
            "g/L",
            in_the_drink(names, units, step),
        ),
    ]);
    found
}

/// The same CO2 in volumes, and how far off it may be.
fn in_the_drink(names: &Names<'_>, units: Units, step: &GasStep) -> String {
    let volumes = units.volumes(step.target_g_per_l);
    let range = co2_range::of(names.scenario(), step);
    let sure = range.map_or(String::new(), |range| {
        format!("; {} 19 times of 20", units.co2_between(range))
    });
    format!("of CO2 in the drink, {volumes}{sure}")
}

fn boil(names: &Names<'_>, units: Units, floor: &FloorItem, step: &BoilStep) -> Vec<Number> {
    let BoilStep {
        tap_l,
        agent_g,
        agent_ml,
        heat_to_c,
        heating_min,
        hold_min,
        chill_at,
        chill_to_c,
        makes_l,
        ..
    } = step;
    let mut found = vec![big(units.litres(*tap_l), "tap water in")];
    match agent_ml {
        Some(ml) => {
            let what = format!("of stock solution (10 g of {} in 1 L)", names.agent());
            found.push(plain(units.number(*ml), "mL", what));
        }
        None if *agent_g > 0.0 => {
            found.push(plain(units.fixed(*agent_g, 2), "g", names.agent()));
        }
        None => {}
    }
    found.push(big(
        units.degrees(*heat_to_c),
        format!("after {}", duration(*heating_min)),
    ));
    if *hold_min > 0.0 {
        found.push(time(units, "keep it there", *hold_min));
    }
    let (kg, way) = ice(step);
    if kg > 0.0 {
        let at = units.time_after(*chill_at, floor.item.start);
        found.push(big(units.mass(kg), format!("ice {way} at {at}")));
        found.push(big(units.degrees(*chill_to_c), "chilled to"));
    }
    found.push(big(units.litres(*makes_l), "to fill"));
    found
}

fn time(units: Units, label: &str, minutes: f64) -> Number {
    if minutes >= 120.0 {
        plain(units.number(minutes / 60.0), "h", label)
    } else {
        plain(format!("{minutes:.0}"), "min", label)
    }
}
