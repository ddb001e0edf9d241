//! What is wrong with answers, by the field a person filled in.

use model::GaugePressure;

use super::answers::{Answers, FridgeKind, GasWay};
use super::{cold, drinks, gas, ice};
use crate::recipe::{Recipes, held_at};
use crate::scenario::{Fault, Scenario};

/// Everything that is wrong with the answers themselves.
pub(super) fn answers(answers: &Answers) -> Vec<Fault> {
    let mut faults = Vec::new();
    let mut add = |field: String, what: String| faults.push(Fault { field, what });
    let lists = [
        ("pots", answers.pots.len(), 20),
        ("cold", answers.cold.len(), 20),
        ("kegs", answers.kegs.len(), 20),
        ("crew", answers.crew.len(), 60),
        ("drinks", answers.drinks.len(), 60),
        ("nights", answers.nights.len(), 28),
    ];
    for (field, found, most) in lists {
        if !(1..=most).contains(&found) {
            add(
                field.to_owned(),
                format!("{found} found; 1 to {most} are allowed"),
            );
        }
    }
    let mut counted = |field: String, found: u16, most: u16| {
        if !(1..=most).contains(&found) {
            add(field, format!("{found} found; 1 to {most} are allowed"));
        }
    };
    for (n, pot) in answers.pots.iter().enumerate() {
        counted(format!("pots[{n}].count"), pot.count.into(), 20);
    }
    for (n, store) in answers.cold.iter().enumerate() {
        counted(format!("cold[{n}].kegs"), store.kegs, 5000);
    }
    for (n, keg) in answers.kegs.iter().enumerate() {
        counted(format!("kegs[{n}].count"), keg.count, 10_000);
    }
    counted("gas.connections".to_owned(), answers.gas.connections, 200);
    counted("gas.regulators".to_owned(), answers.gas.regulators, 200);
    nights(answers, &mut add);
    bottles(answers, &mut add);
    if !ice::any(answers) && !answers.cold.iter().any(|c| c.kind == FridgeKind::WalkIn) {
        add(
            "ice".to_owned(),
            "no ice found, and no walk-in; water has to be chilled by one of them: a machine's \
             kilograms in a day, or kilograms of a bag that can be bought"
                .to_owned(),
        );
    }
    faults
}

fn nights(answers: &Answers, add: &mut impl FnMut(String, String)) {
    for (n, night) in answers.nights.iter().enumerate() {
        if night.days.is_empty() {
            add(
                format!("nights[{n}].days"),
                "none found; at least one day is needed".to_owned(),
            );
        }
    }
    let pots: usize = answers.pots.iter().map(|pot| usize::from(pot.count)).sum();
    if pots > 20 {
        add(
            "pots".to_owned(),
            format!("{pots} pots found; at most 20 are allowed"),
        );
    }
}

fn bottles(answers: &Answers, add: &mut impl FnMut(String, String)) {
    for (n, keg) in answers.kegs.iter().enumerate() {
        let Some(bottles) = keg.bottles_per_crate else {
            continue;
        };
        if !(2..=20).contains(&bottles) {
            add(
                format!("kegs[{n}].bottles_per_crate"),
                format!("{bottles} found; 2 to 20 bottles in a crate are allowed"),
            );
        }
        if keg.litres.litres() > 3.0 {
            add(
                format!("kegs[{n}].litres"),
                format!("{} found; a bottle of at most 3 L is allowed", keg.litres),
            );
        }
    }
}

/// Drinks that take more pressure than the board, or a keg, can be brought to.
pub(super) fn pressures(answers: &Answers, scenario: &Scenario) -> Vec<Fault> {
    let highest = gas::highest(answers, &scenario.setup.keg_types);
    let at = cold::gassed_at(&scenario.setup.cold_stores);
    let products = scenario.setup.products.iter().enumerate();
    let over = products.filter_map(|(n, product)| {
        let needed = held_at(scenario, product, at).ok()?;
        (needed > highest).then(|| too_fizzy(answers, n, (needed, highest)))
    });
    over.collect()
}

fn too_fizzy(
    answers: &Answers,
    n: usize,
    (needed, highest): (GaugePressure, GaugePressure),
) -> Fault {
    let told = answers.gas.highest_bar;
    let why = if highest < told {
        format!("your kegs may be brought to {highest}, 80 % of what they are stamped for")
    } else {
        format!("your gas board gives {told}")
    };
    let co2 = drinks::carbonation(answers.drinks[n].fizz);
    Fault {
        field: format!("drinks[{n}].fizz"),
        what: format!(
            "{co2} takes {needed} in a keg of {:.1} °C, and {why}; less fizz, a colder fridge or more \
             pressure is allowed",
            answers_cold(answers)
        ),
    }
}

fn answers_cold(answers: &Answers) -> f64 {
    let stores = cold::stores(answers, &mut super::assumed::Notes::default());
    cold::gassed_at(&stores).celsius()
}

/// Whether kegs that rest get every drink to its fizz.
pub(super) fn rests_reach(scenario: &Scenario) -> bool {
    Recipes::of(scenario).is_ok_and(|recipes| {
        let products = 0..scenario.setup.products.len();
        let mut reached = products.map(|p| recipes.gassings.iter().any(|g| g.product == p));
        reached.all(|reached| reached)
    })
}

/// Whether nobody said how kegs are gassed, so that it may be chosen anew.
pub(super) fn may_choose(answers: &Answers, way: GasWay) -> bool {
    way == GasWay::Rest && answers.gas.way.is_none()
}

/// A fault of the scenario under the name of the answer it comes from, where there is one.
pub(super) fn of_answer(fault: Fault) -> Fault {
    const ANSWERS: [(&str, &str); 7] = [
        ("setup.crew.shifts", "crew"),
        ("setup.pots", "pots"),
        ("setup.cold_stores", "cold"),
        ("setup.keg_types", "kegs"),
        ("setup.gas_stations[0]", "gas"),
        ("setup.products", "drinks"),
        ("site.", ""),
    ];
    for (start, answer) in ANSWERS {
        if let Some(rest) = fault.field.strip_prefix(start) {
            let place = if start == "site." && rest != "name" {
                "place."
            } else {
                ""
            };
            return Fault {
                field: format!("{place}{answer}{rest}"),
                ..fault
            };
        }
    }
    fault
}
