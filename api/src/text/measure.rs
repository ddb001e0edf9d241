//! What to measure first, and how, with a thermometer, a scale and a clock.

use scheduler::answer::{Measure, Unknown};

use super::figures::{number, paragraph};

/// Unknowns that are told.
pub(crate) const TOLD: usize = 3;

/// What is measured, as people call it.
pub(crate) fn title(what: Unknown) -> &'static str {
    match what {
        Unknown::Heating => "How fast a pot heats",
        Unknown::Cooling => "How fast a keg cools",
        Unknown::Resting => "How fast a resting keg takes up CO2",
        Unknown::Shaking => "How fast a shaken keg takes up CO2",
        Unknown::IceRate => "What the ice machine makes",
        Unknown::IceNeed => "Ice that a boil takes",
        Unknown::BarDraw => "Ice that the bar takes",
        Unknown::Hands => "Minutes of hands",
        Unknown::TapWater => "How cold the tap's water is",
        Unknown::StoreAir => "How cold the fridge is",
    }
}

/// How it is measured.
pub(crate) fn how(what: Unknown) -> &'static str {
    match what {
        Unknown::Heating => {
            "Thermometer and clock: log the water's temperature at a boil when the heat goes on, and at \
             least twice more before it is hot. Calibration fits the pot's efficiency to it."
        }
        Unknown::Cooling => {
            "Thermometer and clock: log the temperature of a filled keg when it goes into the fridge, \
             and at least twice more over the next hours."
        }
        Unknown::Resting | Unknown::Shaking => {
            "Scale: weigh a keg before it is coupled and after; the grams it gained over its litres are \
             its CO2. Log that as carbonation at the gassing, of a few kegs taken off early."
        }
        Unknown::IceRate => {
            "Scale and clock: empty the bin, let the machine run for two hours, weigh what it made."
        }
        Unknown::IceNeed => {
            "Scale and thermometer: weigh the ice that really went in, and note the temperature it came \
             to. Over what the plan said, that is the factor of your ice."
        }
        Unknown::BarDraw => "Scale: weigh what the bar takes from the bin on a night.",
        Unknown::Hands => {
            "Clock: time yourself filling a pot, chilling, filling one keg and coupling one, once each."
        }
        Unknown::TapWater => {
            "Thermometer: let the tap run for a minute and hold it into the water, in each season."
        }
        Unknown::StoreAir => {
            "Thermometer: leave it in a glass of water in the fridge overnight, and read it before the \
             door is opened for long."
        }
    }
}

/// What would be gained, in words.
pub(crate) fn cost(measure: &Measure) -> String {
    format!(
        "As long as nobody knows it better, {} L are missing on average because of it",
        number(measure.missing_l)
    )
}

/// The first of them, as lines of text.
pub(crate) fn lines(all: &[Measure]) -> String {
    let told = all.iter().take(TOLD);
    told.map(|one| {
        let text = format!("{}. {}. {}", title(one.what), cost(one), how(one.what));
        paragraph(2, &text)
    })
    .collect()
}
