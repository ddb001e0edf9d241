//! Boils as work items, and the water they leave to be filled.

use super::{Context, Start, Writer, crew, of_kind, round};
use crate::mapping::Work;
use crate::plan::{BoilStep, Step, WorkId};
use crate::scenario::Chill;

/// Grams of agent in a millilitre of the stock solution: 10 g in a litre, made fresh each day
/// (common practice, no source). A scale behind a bar shows those 10 g, and no hundredths.
const AGENT_G_PER_ML: f64 = 0.01;

/// Water of one boil that is still in its pot.
pub(super) struct Water {
    pub route: usize,
    /// First and last step in which it may be filled.
    pub from: usize,
    pub until: usize,
    pub litres: f64,
    /// Air in it, in mg/L.
    pub air: f64,
    pub boil: WorkId,
    /// Position of the boil's item, to note what is left over; none for a boil under way.
    item: Option<usize>,
}

/// Water taken for kegs.
pub(super) struct Drawn {
    /// The boils it came from.
    pub boils: Vec<WorkId>,
    /// Air in it, in mg/L, by how much came of each; none where there was no water.
    pub air: Option<f64>,
}

/// Writes the boils, and returns their water in the order in which it must be used.
pub(super) fn write(context: Context<'_>, starts: &[Start], writer: &mut Writer) -> Vec<Water> {
    let mut waters = under_way(context);
    let boils = of_kind(starts, |work| match work {
        Work::Boil { recipe, heater } => Some((*recipe, *heater)),
        _ => None,
    });
    for (start, (recipe, heater)) in boils {
        let boil = &context.recipes.boils[recipe];
        let chill = start.step + heater;
        let from = chill + context.timeline.steps_for(boil.bath_minutes);
        let window = crate::mapping::drain_window(
            context.scenario,
            context.recipes,
            context.timeline,
            boil.route,
        );
        let until = from + window;
        let air = air_of(context, recipe, start.size);
        let step = boil_step(context, recipe, start.size, (chill, from));
        let hands = crew(context.scenario).start_boil_min.minutes()
            + crew(context.scenario).chill_min.minutes();
        let times = (context.stamp(start.step), context.stamp(until));
        let item = Some(writer.items.len());
        waters.push(Water {
            route: boil.route,
            from,
            until: until - 1,
            litres: start.size,
            air,
            boil: writer.add(times, hands, step),
            item,
        });
    }
    waters.sort_by_key(|water| water.until);
    waters
}

/// Water of boils that were started before the plan.
fn under_way(context: Context<'_>) -> Vec<Water> {
    let boils = context.scenario.stock.under_way.boils.iter();
    boils
        .filter_map(|boil| {
            let window = (boil.fill_from.to_utc(), boil.until.to_utc());
            let (from, until) = crate::mapping::window(context.timeline, window.0, window.1);
            let route = context.scenario.index().route(&boil.route)?;
            Some(Water {
                route,
                air: context.recipes.water[route].air.milligrams_per_litre(),
                from,
                until: until - 1,
                litres: boil.litres.litres(),
                boil: boil.item.clone(),
                item: None,
            })
        })
        .collect()
}

/// Air in the water of a boil from which `litres` are filled, in mg/L.
fn air_of(context: Context<'_>, recipe: usize, litres: f64) -> f64 {
    let boil = &context.recipes.boils[recipe];
    let water = &context.recipes.water[boil.route];
    let air = boil.air(context.scenario, water, litres);
    air.unwrap_or(water.air).milligrams_per_litre()
}

fn boil_step(
    context: Context<'_>,
    recipe: usize,
    litres: f64,
    (chill, from): (usize, usize),
) -> Step {
    let boil = &context.recipes.boils[recipe];
    let water = &context.recipes.water[boil.route];
    let route = &context.scenario.setup.routes[boil.route];
    let air = air_of(context, recipe, litres);
    // The pot's own steel is cooled by the ice in the water or by that of the bath.
    let (ice_in_kg, ice_bath_kg) = match route.chill {
        Chill::IceInWater { .. } => (litres * water.ice_in_kg + boil.fixed_ice_kg, 0.0),
        Chill::IceBath { .. } => (0.0, litres * water.ice_bath_kg + boil.fixed_ice_kg),
        Chill::None => (0.0, 0.0),
    };
    let agent_ml = agent_ml(litres * water.agent_g);
    Step::Boil(BoilStep {
        route: route.id.clone(),
        pot: context.scenario.setup.pots[boil.pot].id.clone(),
        tap_l: round(litres * water.tap_litres - boil.spared_litres, 2),
        agent_g: agent_ml.map_or(0.0, |ml| round(ml * AGENT_G_PER_ML, 3)),
        agent_ml,
        heat_to_c: route.heat_to_c.celsius(),
        heating_min: round(boil.heater_minutes(litres) - route.hold_min.minutes(), 1),
        hold_min: route.hold_min.minutes(),
        air_mg_per_l: round(air, 1),
        chill_at: context.stamp(chill),
        ice_in_kg: round(ice_in_kg, 2),
        ice_bath_kg: round(ice_bath_kg, 2),
        chill_to_c: water.at.celsius(),
        fill_from: context.stamp(from),
        makes_l: round(litres, 2),
        left_l: 0.0,
    })
}

/// Whole millilitres of stock solution that hold at least these grams; none where there are none.
fn agent_ml(grams: f64) -> Option<f64> {
    (grams > 0.0).then(|| (grams / AGENT_G_PER_ML - 1e-9).ceil())
}

/// Takes water for kegs at a step. What is not taken by the end is what each boil has left over.
pub(super) fn take(waters: &mut [Water], route: usize, step: usize, litres: f64) -> Drawn {
    let mut wanted = litres;
    let mut boils = Vec::new();
    let mut milligrams = 0.0;
    let usable = |w: &&mut Water| w.route == route && (w.from..=w.until).contains(&step);
    for water in waters.iter_mut().filter(usable) {
        let taken = water.litres.min(wanted);
        if taken > 1e-6 {
            water.litres -= taken;
            wanted -= taken;
            milligrams += taken * water.air;
            boils.push(water.boil.clone());
        }
    }
    let drawn = litres - wanted;
    Drawn {
        boils,
        air: (drawn > 0.0).then(|| milligrams / drawn),
    }
}

/// Notes in each boil's item what is left over to be poured away.
pub(super) fn note_left(waters: &[Water], writer: &mut Writer) {
    for water in waters {
        if let Some(item) = water.item.and_then(|at| writer.items.get_mut(at))
            && let Step::Boil(BoilStep { left_l, .. }) = &mut item.step
        {
            *left_l = round(water.litres.max(0.0), 2);
        }
    }
}
