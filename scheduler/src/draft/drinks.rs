//! Drinks: how much CO2 and sugar, and for how long they are good.

use model::{Carbonation, SugarContent};

use super::answers::{Answers, DrinkAnswer, Fizz};
use super::assumed::Notes;
use super::names;
use crate::scenario::quantities::{Hours, ShelfDays, SyrupShare};
use crate::scenario::{Product, Syrup};

/// CO2 that people mean by a word, in g/L.
pub(super) fn carbonation(fizz: Fizz) -> Carbonation {
    match fizz {
        Fizz::Low => Carbonation::of(4.5),
        Fizz::Medium => Carbonation::of(6.0),
        Fizz::High => Carbonation::of(7.2),
        Fizz::VeryHigh => Carbonation::of(8.2),
    }
}

/// Sugar of a drink.
pub(super) fn sugar(drink: &DrinkAnswer) -> SugarContent {
    if drink.sweet {
        SugarContent::of(9.0)
    } else {
        SugarContent::of(0.0)
    }
}

pub(super) fn products(answers: &Answers, notes: &mut Notes) -> Vec<Product> {
    let (mut taken, mut syrups) = (Vec::new(), Vec::new());
    let drinks = answers.drinks.iter().enumerate();
    drinks
        .map(|(n, drink)| {
            note(drink, n, notes);
            let id = names::id(&drink.name, "drink", &mut taken);
            let syrup = drink.sweet.then(|| Syrup {
                material: names::id(&format!("{id} syrup"), "syrup", &mut syrups),
                ml_per_l: SyrupShare::of(120.0),
            });
            let (shelf, on_tap) = if drink.sweet {
                (10.0, 48.0)
            } else {
                (21.0, 72.0)
            };
            Product {
                id,
                name: drink.name.trim().to_owned(),
                carbonation_g_per_l: carbonation(drink.fizz),
                sugar_brix: sugar(drink),
                syrup,
                shelf_days: ShelfDays::new(shelf).unwrap_or(ShelfDays::of(10.0)),
                on_tap_h: Hours::new(on_tap).unwrap_or(Hours::of(48.0)),
                keg_types: Vec::new(),
                gas_stations: Vec::new(),
                ingredients: Vec::new(),
                safety: None,
                substitutes: Vec::new(),
            }
        })
        .collect()
}

fn note(drink: &DrinkAnswer, n: usize, notes: &mut Notes) {
    let field = |name: &str| format!("setup.products[{n}].{name}");
    let (range, why) = match drink.fizz {
        Fizz::Low => ("4 to 5 g/L (2.0 to 2.5 volumes)", "what a low fizz means"),
        Fizz::Medium => (
            "5.5 to 6.5 g/L (2.8 to 3.3 volumes)",
            "what a medium fizz means",
        ),
        Fizz::High => (
            "6.5 to 7.8 g/L (3.3 to 3.9 volumes)",
            "what a high fizz means",
        ),
        Fizz::VeryHigh => (
            "7.8 to 9 g/L (3.9 to 4.6 volumes)",
            "what a very high fizz means",
        ),
    };
    notes.usual(field("carbonation_g_per_l"), range, why);
    if drink.sweet {
        notes.usual(
            field("sugar_brix"),
            "7 to 11 °Bx",
            "a sweet drink; your recipe tells it",
        );
        notes.usual(
            field("syrup"),
            "90 to 200 mL/L",
            "a syrup of some 60 °Bx; your recipe tells it",
        );
    }
    notes.usual(field("shelf_days"), "", "cold, closed and under pressure");
    notes.usual(field("on_tap_h"), "", "from the first pour");
}
