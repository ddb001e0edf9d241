//! What the physics makes of a setup, in sentences with numbers.

use scheduler::recipe::Recipes;
use scheduler::sample;
use scheduler::scenario::{Scenario, Site};

use crate::domain::setup::SetupDocument;
use crate::text::figures::duration;
use crate::text::names::Names;
use crate::text::units::Units;

/// What the physics says.
pub(super) struct Physics {
    /// How long each pot takes on each route.
    pub(super) boils: Vec<(String, String)>,
    /// Pressures and times of each product.
    pub(super) gassings: Vec<(String, String)>,
    /// How soon filled kegs are cold.
    pub(super) cools: Vec<(String, String)>,
    /// What the dose is and covers.
    pub(super) doses: Vec<(String, String)>,
    /// What is allowed and yet dangerous: the field, and what to mind.
    pub(super) dangers: Vec<(String, String)>,
}

/// The physics of a setup at its site; or why there is none.
pub(super) fn physics(
    site: &Site,
    document: &SetupDocument,
    units: Units,
) -> Result<Physics, String> {
    let scenario = Scenario {
        site: site.clone(),
        setup: document.setup.clone(),
        policy: document.policy.clone(),
        demand: Vec::new(),
        ..sample::fixed()
    };
    let scenario = Scenario {
        stock: empty(&scenario),
        ..scenario
    };
    let recipes = Recipes::of(&scenario).map_err(|why| why.to_string())?;
    let names = Names::of(&scenario).reading(units);
    Ok(Physics {
        boils: boils(&scenario, &recipes, &names),
        gassings: gassings(&scenario, &recipes, &names),
        cools: cools(&scenario, &recipes),
        doses: doses(&scenario, &recipes, &names),
        dangers: scheduler::check::dangers(&scenario)
            .into_iter()
            .map(|danger| (danger.field, danger.caution.text))
            .collect(),
    })
}

/// The stock of the demo names stores that may not be here.
fn empty(scenario: &Scenario) -> scheduler::scenario::Stock {
    scheduler::scenario::Stock {
        empty: Vec::new(),
        filled: Vec::new(),
        ready: Vec::new(),
        on_tap: Vec::new(),
        materials: Vec::new(),
        ..scenario.stock.clone()
    }
}

fn boils(scenario: &Scenario, recipes: &Recipes, names: &Names<'_>) -> Vec<(String, String)> {
    let setup = &scenario.setup;
    let told = recipes.boils.iter().map(|boil| {
        let (pot, route) = (&setup.pots[boil.pot], &setup.routes[boil.route]);
        let ice = boil.fixed_ice_kg + recipes.water[boil.route].ice_kg() * boil.most_litres;
        let ice = if ice > 0.05 {
            format!(", with {} of ice", names.mass(ice))
        } else {
            String::new()
        };
        (
            format!("{}, {}", pot.name, route.name),
            format!(
                "{} on the heater for {}{ice}",
                duration(boil.heater_minutes(boil.most_litres)),
                names.litres(boil.most_litres)
            ),
        )
    });
    told.collect()
}

/// For each product and station the gentlest way: the one with the lowest pressure.
fn gassings(scenario: &Scenario, recipes: &Recipes, names: &Names<'_>) -> Vec<(String, String)> {
    let setup = &scenario.setup;
    let mut told = Vec::new();
    for (p, product) in setup.products.iter().enumerate() {
        for (s, station) in setup.gas_stations.iter().enumerate() {
            let ways = recipes
                .gassings
                .iter()
                .filter(|g| g.product == p && g.station == s);
            let gentlest = ways.min_by(|a, b| a.regulator.bar().total_cmp(&b.regulator.bar()));
            let Some(way) = gentlest else {
                continue;
            };
            told.push((
                format!("{}, {}", product.name, station.name),
                format!(
                    "{} for {}, then {}",
                    names.pressure(way.regulator.bar()),
                    duration(way.uptake_minutes),
                    names.pressure(way.hold.bar())
                ),
            ));
        }
    }
    told
}

fn cools(scenario: &Scenario, recipes: &Recipes) -> Vec<(String, String)> {
    let setup = &scenario.setup;
    let mut told = Vec::new();
    for (k, keg) in setup.keg_types.iter().enumerate() {
        for (s, store) in setup.cold_stores.iter().enumerate() {
            for (r, route) in setup.routes.iter().enumerate() {
                if let Some(cool) = &recipes.cools[k][s][r] {
                    told.push((
                        format!("{} in {}, {}", keg.name, store.name, route.name),
                        format!("cold enough to gas after {}", duration(cool.minutes)),
                    ));
                }
            }
        }
    }
    told
}

fn doses(scenario: &Scenario, recipes: &Recipes, names: &Names<'_>) -> Vec<(String, String)> {
    let chlorine = scenario
        .site
        .water
        .total_chlorine_mg_per_l
        .milligrams_per_litre();
    let margin = scenario.policy.agent_margin.ratio();
    let covers = chlorine * (1.0 + margin);
    let routes = scenario.setup.routes.iter().zip(&recipes.water);
    let told = routes.map(|(route, water)| {
        (
            route.name.clone(),
            format!(
                "{} g of {} for {} covers {} mg/L of chlorine; filled at {}",
                names.reads().number(water.agent_g * 50.0),
                names.agent(),
                names.litres(50.0),
                names.reads().number(covers),
                names.degrees(water.at.celsius())
            ),
        )
    });
    told.collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_stronger_heater_is_quicker_and_colder_air_needs_less_pressure() {
        let scenario = sample::fixed();
        let document = SetupDocument {
            setup: scenario.setup.clone(),
            policy: scenario.policy.clone(),
        };
        let told = physics(&scenario.site, &document, Units::METRIC).unwrap();
        assert!(!told.boils.is_empty() && !told.gassings.is_empty());
        assert!(
            told.boils[0].1.contains("on the heater for"),
            "{:?}",
            told.boils[0]
        );
        let mut stronger = document;
        let pot = &mut stronger.setup.pots[0];
        pot.power_w = scheduler::scenario::quantities::HeaterPower::of(9000.0);
        let quicker = physics(&scenario.site, &stronger, Units::METRIC).unwrap();
        let minutes = |told: &Physics| {
            let text = told.boils[0].1.split(' ').next().unwrap().to_owned();
            text.parse::<f64>().unwrap()
        };
        assert!(
            minutes(&quicker) < minutes(&told),
            "{:?} {:?}",
            quicker.boils[0],
            told.boils[0]
        );
    }
}
