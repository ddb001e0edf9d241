//! Boils that were started: the water in their pots, or pots that are out of use.

use super::execution_state::Fate;
use super::facts::Event;
use super::initial_state::{Deed, Used, batch, mass};
use super::water;
use crate::plan::{BoilStep, WorkItem};
use crate::scenario::quantities::BatchVolume;
use crate::scenario::{BoilUnderWay, PotOutOfUse};

/// The material that stands for the dechlorinating agent.
const AGENT: &str = "ascorbate";

impl Deed<'_> {
    pub(super) fn boil(&self, item: &WorkItem, step: &BoilStep, fate: &Fate, used: &mut Used) {
        let &BoilStep {
            agent_g,
            ref route,
            ref pot,
            chill_at,
            fill_from,
            ice_in_kg,
            ice_bath_kg,
            ..
        } = step;
        used.material(AGENT, agent_g);
        if let Fate::Failed(_) = fate {
            self.out_of_use(item, step, used);
        }
        if !matches!(fate, Fate::Begun(_)) || item.end <= self.past.from {
            return;
        }
        let to_come = chill_at >= self.past.from;
        used.under_way.boils.push(BoilUnderWay {
            item: item.id.clone(),
            route: route.clone(),
            pot: pot.clone(),
            litres: self.left_in_pot(item),
            chill_at: to_come.then_some(chill_at),
            ice_kg: mass(if to_come {
                ice_in_kg + ice_bath_kg
            } else {
                0.0
            }),
            hands_min: self.hands_left(item, self.context.scenario.setup.crew.start_boil_min),
            fill_from: fill_from.max(self.past.from),
            until: item.end,
        });
    }

    /// Water of a boil that no fill has taken yet.
    fn left_in_pot(&self, boil: &WorkItem) -> BatchVolume {
        let before = &self.context.scenario.stock.under_way;
        batch(water::left(self.past, before).get(&boil.id).copied())
    }

    /// A pot that failed is out of use as long as was told.
    fn out_of_use(&self, item: &WorkItem, step: &BoilStep, used: &mut Used) {
        let BoilStep { pot, .. } = step;
        for event in &self.facts.events {
            if let Event::Failed {
                item: id,
                out_until: Some(until),
                ..
            } = event
                && *id == item.id
                && *until > self.past.from
            {
                used.under_way.out_of_use.push(PotOutOfUse {
                    pot: pot.clone(),
                    until: *until,
                });
            }
        }
    }
}
