//! Ice: what a machine really makes, what the bar takes of it, and bags that are bought.

use model::Temperature;

use super::answers::{Answers, IceSupplyAnswer};
use super::assumed::Notes;
use crate::scenario::quantities::{IceAir, IceRate, Price, StepMinutes, StockMass};
use crate::scenario::{Ice, IceDraw, IcePurchase};

/// What a machine makes in a kitchen over what its label says.
const REAL: f64 = 0.8;
/// Bags that can be kept somewhere.
const BAGS_KEPT: f64 = 5.0;
/// Part of a full bin that the bar takes for a night.
const FOR_THE_BAR: f64 = 0.4;

/// Whether there is ice at all.
pub(super) fn any(answers: &Answers) -> bool {
    answers.ice.kg_per_day.is_some() || answers.ice.bag_kg.is_some()
}

pub(super) fn ice(answers: &Answers, notes: &mut Notes) -> Ice {
    let told = &answers.ice;
    note(told, notes);
    let bin = bin(told);
    let draw = |kg: f64| {
        let nights = answers.nights.iter();
        let draws = nights.map(|night| IceDraw {
            days: night.days.clone(),
            at: night.opens,
            kg: mass(kg),
        });
        draws.collect()
    };
    Ice {
        rate_kg_per_h: IceRate::new(rate(told)).unwrap_or(IceRate::of(0.0)),
        bin_kg: mass(bin),
        temperature_c: Temperature::of(-3.0),
        factor: None,
        air_mg_per_kg: IceAir::of(15.0),
        from_treated_water: false,
        bar_draw: match told.kg_per_day {
            Some(_) => draw(bin * FOR_THE_BAR),
            None => Vec::new(),
        },
        purchase: told.bag_kg.map(|bag| IcePurchase {
            price_per_kg: Price::of(0.5),
            lead_min: StepMinutes::of(1200.0),
            largest_kg: mass(bag.kilograms() * BAGS_KEPT),
            delivered: Vec::new(),
            fee: None,
        }),
    }
}

/// Ice there is when the plan starts: half a bin of a machine's; no bags.
pub(super) fn at_start(answers: &Answers) -> StockMass {
    match answers.ice.kg_per_day {
        Some(_) => mass(bin(&answers.ice) / 2.0),
        None => mass(0.0),
    }
}

/// Kilograms an hour.
fn rate(told: &IceSupplyAnswer) -> f64 {
    let label = told.kg_per_day.map_or(0.0, |rate| rate.kilograms_per_day());
    (label * REAL / 24.0 * 100.0).round() / 100.0
}

/// What can be kept: the bin, or half a day's ice where nobody said, and the bags.
fn bin(told: &IceSupplyAnswer) -> f64 {
    let bags = told.bag_kg.map_or(0.0, |bag| bag.kilograms() * BAGS_KEPT);
    let machine = match (told.bin_kg, told.kg_per_day) {
        (Some(bin), _) => bin.kilograms(),
        (None, Some(rate)) => rate.kilograms_per_day() / 2.0,
        (None, None) => 0.0,
    };
    (machine + bags).round()
}

fn mass(kg: f64) -> StockMass {
    let tenths = (kg * 10.0).round() / 10.0;
    StockMass::new(tenths).unwrap_or(StockMass::of(0.0))
}

fn note(told: &IceSupplyAnswer, notes: &mut Notes) {
    let field = |name: &str| format!("setup.ice.{name}");
    if told.kg_per_day.is_some() {
        notes.usual(
            field("rate_kg_per_h"),
            "0.6 to 0.9 of the label",
            "a label tells of a cool room and cold water",
        );
        notes.usual(
            field("bar_draw"),
            "a tenth to all of the bin",
            "what the bar takes for its drinks on a night; it is served first",
        );
    }
    if told.bag_kg.is_some() {
        notes.usual(
            field("purchase"),
            "",
            "bags come on the next working day; a plan counts kilograms, so order whole bags, \
             rounded up",
        );
    }
    if told.bin_kg.is_none() || told.bag_kg.is_some() {
        notes.usual(
            field("bin_kg"),
            "",
            "half a day's ice of a machine, and room for five bags where they are bought",
        );
    }
    notes.usual(
        field("temperature_c"),
        "-15 to 0 °C",
        "ice that is a little wet",
    );
    let why = "clear ice holds little, cloudy ice much";
    notes.usual(field("air_mg_per_kg"), "0 to 39 mg/kg", why);
    notes.usual(
        field("from_treated_water"),
        "",
        "its chlorine is counted too, to be safe",
    );
}
