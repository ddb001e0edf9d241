//! Materials of which there is only so much, and CO2 in its cylinders.

use chrono::{DateTime, FixedOffset};

use super::{Builder, Scarce, Work};
use crate::network::{Count, Resource, ResourceId, Task};
use crate::recipe::GasRecipe;
use crate::scenario::{AGENT, CO2, MaterialId};

/// Materials that limit the plan, in the order in which the setup lists them.
pub(super) fn add(builder: &mut Builder<'_>) -> Vec<ResourceId> {
    let scenario = builder.scenario;
    let mut resources = Vec::new();
    for (m, material) in scenario.setup.materials.iter().enumerate() {
        let there = scenario.stock.materials.iter();
        let there: f64 = there
            .filter(|s| s.material == material.id)
            .map(|s| s.amount.units())
            .sum();
        let mut stock = Resource::named(material.id.to_string()).starting(there);
        for (t, amount) in builder.arrivals(material.id.as_str()) {
            stock.supply(t, amount);
        }
        resources.push(builder.resource(stock));
        builder.limit(Scarce::Material(m), resources[m]);
    }
    resources
}

/// CO2 that can be drawn: from all cylinders together, or from those that are coupled.
pub(super) fn co2(builder: &mut Builder<'_>, hands: ResourceId) -> ResourceId {
    let scenario = builder.scenario;
    let all = scenario.stock.co2_kg;
    let Some(cylinders) = &scenario.setup.cylinders else {
        let mut co2 = Resource::named(CO2).starting(all.kilograms());
        for (t, kg) in builder.arrivals(CO2) {
            co2.supply(t, kg);
        }
        let co2 = builder.resource(co2);
        builder.limit(Scarce::Co2, co2);
        return co2;
    };
    let full = scenario.setup.costs.co2_cylinder_kg;
    let (standing, usable) = (cylinders.standing(all, full), cylinders.usable_kg(full));
    let mut spare = Resource::named("spare cylinders").starting(f64::from(standing.spare));
    for (t, kg) in builder.arrivals(CO2) {
        spare.supply(t, (kg / full.kilograms() + 1e-9).floor());
    }
    let spare = builder.resource(spare);
    builder.limit(Scarce::Co2, spare);
    let coupled = f64::from(cylinders.coupled);
    let co2 = Resource::named("co2 in coupled cylinders")
        .starting(standing.usable_kg)
        .at_most(coupled * usable);
    let co2 = builder.resource(co2);
    let needs = builder.attended(0, cylinders.change_min.minutes());
    let starts = builder.staffed(builder.attended_starts(&needs, 1));
    let change = Task::named("change a cylinder", Count::Whole)
        .up_to_at(coupled, starts)
        .per_start(spare, 0, -1.0)
        .per_start(co2, 0, usable);
    let (change, cost) = builder.with_hands(change, hands, &needs);
    builder.task(change.worth(-cost), Work::ChangeCylinder);
    co2
}

impl Builder<'_> {
    /// Steps and amounts of the deliveries of a material.
    fn arrivals(&self, material: &str) -> Vec<(usize, f64)> {
        let deliveries = self.scenario.stock.deliveries.iter();
        deliveries
            .filter(|d| d.material.as_str() == material)
            .filter_map(|d| Some((self.first_step_from(d.at)?, d.amount.units())))
            .collect()
    }

    /// The first step that starts at an instant or after it, if the plan has one.
    fn first_step_from(&self, at: DateTime<FixedOffset>) -> Option<usize> {
        let at = at.to_utc();
        (0..=self.steps()).find(|t| self.timeline.at(*t) >= at)
    }

    /// Those of the steps in which somebody is there.
    pub(super) fn staffed(&self, mut steps: Vec<usize>) -> Vec<usize> {
        steps.retain(|t| self.hands.get(*t).is_some_and(|free| *free > 0.0));
        steps
    }

    /// The resource of a material, if it limits the plan.
    fn material(&self, materials: &[ResourceId], id: &str) -> Option<ResourceId> {
        let listed = self.scenario.setup.materials.iter();
        let found = listed.zip(materials).find(|(m, _)| m.id.as_str() == id);
        found.map(|(_, resource)| *resource)
    }

    /// A boil takes the agent for each litre.
    pub(super) fn with_agent(&self, task: Task, materials: &[ResourceId], grams: f64) -> Task {
        match self.material(materials, AGENT) {
            // What is measured out is rounded up to a millilitre of stock solution.
            Some(agent) if grams > 0.0 => {
                task.per_size(agent, 0, -grams).per_start(agent, 0, -0.01)
            }
            Some(agent) => task.per_size(agent, 0, -grams),
            None => task,
        }
    }

    /// A gassed keg takes its syrup and what else goes into it.
    pub(super) fn with_ingredients(
        &self,
        mut task: Task,
        materials: &[ResourceId],
        gas: &GasRecipe,
    ) -> Task {
        let setup = &self.scenario.setup;
        let product = &setup.products[gas.product];
        let litres = setup.keg_types[gas.keg].fill_l.litres();
        let syrup = product
            .syrup
            .iter()
            .map(|syrup| (&syrup.material, gas.syrup_litres));
        let others = product
            .ingredients
            .iter()
            .map(|i| (&i.material, i.per_l.per_litre() * litres));
        let dosed: Vec<(&MaterialId, f64)> = syrup.chain(others).collect();
        for (id, amount) in dosed {
            if let Some(material) = self.material(materials, id.as_str()) {
                task = task.per_start(material, 0, -amount);
            }
        }
        task
    }
}
