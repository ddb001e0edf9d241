//! Everything that is to be made can be made: water reaches every keg type, something can
//! carbonate it, and every product has a way.

use super::Collector;
use crate::recipe::Recipes;
use crate::scenario::Scenario;

pub(super) fn check(scenario: &Scenario, faults: &mut Collector) {
    let recipes = match Recipes::of(scenario) {
        Ok(recipes) => recipes,
        Err(error) => {
            faults.add("setup", error.to_string());
            return;
        }
    };
    water_stands(scenario, &recipes, faults);
    let setup = &scenario.setup;
    for (k, keg) in setup.keg_types.iter().enumerate() {
        let field = format!("setup.keg_types[{k}]");
        let filled = recipes.cools[k].iter().flatten().any(Option::is_some);
        if !filled {
            faults.add(
                &field,
                format!(
                    "no route fills \"{}\" and gets it to {}: at least one must reach a colder \
                     store with water of at most {}",
                    keg.id, scenario.policy.gas_at_c, keg.hottest_fill_c
                ),
            );
        }
        if !recipes.gassings.iter().any(|g| g.keg == k) {
            faults.add(
                &field,
                format!(
                    "nothing can carbonate \"{}\": at least one gassing point must list it and reach \
                     the pressure of a product that goes into it",
                    keg.id
                ),
            );
        }
    }
    for (p, product) in setup.products.iter().enumerate() {
        if !recipes.gassings.iter().any(|g| g.product == p) {
            faults.add(
                format!("setup.products[{p}].carbonation_g_per_l"),
                format!(
                    "{} cannot be reached by any gassing point in any keg that takes \"{}\", within \
                     80 % of the keg's rating",
                    product.carbonation_g_per_l, product.id
                ),
            );
        }
    }
}

/// Chilled water may stand for at least the step in which it is filled.
fn water_stands(scenario: &Scenario, recipes: &Recipes, faults: &mut Collector) {
    let Some(longest) = scenario.policy.water_stands_min else {
        return;
    };
    let step = f64::from(scenario.horizon.grid_minutes.minutes());
    let bath = |n: usize| {
        let boils = recipes.boils.iter().filter(|b| b.route == n);
        boils.map(|b| b.bath_minutes).fold(0.0, f64::max)
    };
    for (n, route) in scenario.setup.routes.iter().enumerate() {
        let needed = (bath(n) / step).ceil() * step + step;
        if longest.minutes() < needed {
            faults.add(
                "policy.water_stands_min",
                format!(
                    "{longest} found; at least {needed:.0} min is needed to chill by \"{}\" and \
                     fill in one step",
                    route.id
                ),
            );
        }
    }
}
