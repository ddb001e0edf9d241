//! Reading a plan's items: names that are looked up, numbers that are within bounds.

mod names;

use std::collections::HashMap;

use model::{GaugePressure, Temperature};

use super::items::{
    Begun, Blanketed, Boil, Cylinder, Delivery, Discard, Fill, Gas, Head, Items, Return, Stale,
    Tap, Wash,
};
use super::violation::Findings;
use crate::plan::{
    Blanket, BoilStep, CylinderStep, DiscardStep, FillStep, GasStep, IceStep, Plan, ReturnStep,
    StaleStep, Step, TapStep, WashStep, WorkId, WorkItem,
};
use crate::scenario::Scenario;

/// Reads every item of a plan. What cannot be read is a violation and left out.
pub(super) fn items<'a>(scenario: &'a Scenario, plan: &'a Plan, found: &mut Findings) -> Items<'a> {
    let mut reader = Reader {
        scenario,
        found,
        made: HashMap::new(),
    };
    let mut items = Items {
        begun: begun(scenario),
        ..Items::default()
    };
    for item in &plan.work {
        if let Step::Boil(step) = &item.step {
            reader.keep(&mut items.boils, item, step, Reader::boil);
        }
    }
    for item in &plan.work {
        if let Step::Fill(step) = &item.step {
            reader.keep(&mut items.fills, item, step, Reader::fill);
        }
    }
    for item in &plan.work {
        if let Step::Gas(step) = &item.step {
            reader.keep(&mut items.gassings, item, step, Reader::gas);
        }
    }
    for item in &plan.work {
        match &item.step {
            Step::Tap(step) => reader.keep(&mut items.taps, item, step, Reader::tap),
            Step::Stale(step) => reader.keep(&mut items.stales, item, step, Reader::stale),
            Step::Return(step) => reader.keep(&mut items.returns, item, step, Reader::back),
            Step::Discard(step) => reader.keep(&mut items.discards, item, step, Reader::discard),
            Step::Wash(step) => reader.keep(&mut items.washes, item, step, Reader::wash),
            Step::Ice(step) => reader.keep(&mut items.deliveries, item, step, Reader::delivery),
            Step::Cylinder(step) => reader.keep(&mut items.cylinders, item, step, Reader::cylinder),
            Step::Boil(_) | Step::Fill(_) | Step::Gas(_) => {}
        }
    }
    items
}

/// Boils that were started before the plan.
fn begun(scenario: &Scenario) -> Vec<Begun<'_>> {
    let minute = |at: chrono::DateTime<chrono::FixedOffset>| {
        let since = (at - scenario.horizon.start).num_seconds();
        usize::try_from(since.div_euclid(60)).unwrap_or(0)
    };
    let boils = scenario.stock.under_way.boils.iter();
    boils
        .filter_map(|boil| {
            let mut routes = scenario.setup.routes.iter();
            Some(Begun {
                id: &boil.item,
                route: routes.find(|r| r.id == boil.route)?,
                litres: boil.litres.litres(),
                fill_from: minute(boil.fill_from),
                until: minute(boil.until),
            })
        })
        .collect()
}

struct Reader<'a, 'f> {
    scenario: &'a Scenario,
    found: &'f mut Findings,
    /// Positions of the boils, fills and gassings read so far.
    made: HashMap<&'a WorkId, (&'static str, usize)>,
}

impl<'a> Reader<'a, '_> {
    fn keep<S, T>(
        &mut self,
        list: &mut Vec<T>,
        item: &'a WorkItem,
        step: &'a S,
        read: impl Fn(&mut Self, Head<'a>, &'a S) -> Option<T>,
    ) {
        let head = Head {
            id: &item.id,
            start: self.minute(item.start),
            end: self.minute(item.end),
            hands_min: item.hands_min,
        };
        if let Some(value) = read(self, head, step) {
            self.made.insert(&item.id, (item.step.kind(), list.len()));
            list.push(value);
        }
    }

    fn boil(&mut self, head: Head<'a>, step: &'a BoilStep) -> Option<Boil<'a>> {
        let &BoilStep {
            tap_l,
            agent_g,
            heating_min,
            hold_min,
            air_mg_per_l,
            ice_in_kg,
            ice_bath_kg,
            makes_l,
            left_l,
            ..
        } = step;
        self.amounts(
            &head,
            &[tap_l, agent_g, heating_min, hold_min, air_mg_per_l],
        )?;
        self.amounts(&head, &[ice_in_kg, ice_bath_kg, makes_l, left_l])?;
        Some(Boil {
            route: self.route(&head, &step.route)?,
            pot: self.pot(&head, &step.pot)?,
            tap_l,
            agent_g,
            heat_to: self.bounded(&head, Temperature::new(step.heat_to_c))?,
            heating_min,
            hold_min,
            air_mg_per_l,
            chill_at: self.minute(step.chill_at),
            ice_in_kg,
            ice_bath_kg,
            chill_to: self.bounded(&head, Temperature::new(step.chill_to_c))?,
            fill_from: self.minute(step.fill_from),
            makes_l,
            left_l,
            head,
        })
    }

    fn fill(&mut self, head: Head<'a>, step: &'a FillStep) -> Option<Fill<'a>> {
        let FillStep {
            route,
            from,
            keg_type,
            kegs,
            store,
            litres_each,
            at_c,
            air_mg_per_l,
            blanket,
            cold_at,
        } = step;
        self.amounts(&head, &[*litres_each])?;
        let from = from.iter().map(|id| self.boiled(&head, id));
        Some(Fill {
            from: from.collect::<Option<Vec<_>>>()?,
            route: self.route(&head, route)?,
            keg: self.keg(&head, keg_type)?,
            kegs: *kegs,
            store: self.store(&head, store)?,
            litres_each: *litres_each,
            at: self.bounded(&head, Temperature::new(*at_c))?,
            air_mg_per_l: *air_mg_per_l,
            blanket: match blanket {
                Some(blanket) => Some(self.blanketed(&head, blanket)?),
                None => None,
            },
            cold_at: self.minute(*cold_at),
            head,
        })
    }

    fn blanketed(&mut self, head: &Head<'a>, blanket: &Blanket) -> Option<Blanketed> {
        self.amounts(head, &[blanket.co2_g_each])?;
        Some(Blanketed {
            purges: blanket.purges,
            purge: self.bounded(head, GaugePressure::new(blanket.purge_bar))?,
            bar: self.bounded(head, GaugePressure::new(blanket.bar))?,
            co2_g_each: blanket.co2_g_each,
        })
    }

    fn gas(&mut self, head: Head<'a>, step: &'a GasStep) -> Option<Gas<'a>> {
        let GasStep {
            station,
            product,
            keg_type,
            kegs,
            store,
            from,
            syrup,
            syrup_l_each,
            ingredients,
            purges,
            purge_bar,
            regulator_bar,
            hold_bar,
            uptake_min,
            target_g_per_l,
            co2_g_each,
            air_mg_per_l,
            ready_at,
        } = step;
        self.amounts(
            &head,
            &[*syrup_l_each, *uptake_min, *target_g_per_l, *co2_g_each],
        )?;
        Some(Gas {
            station: self.station(&head, station)?,
            product: self.product(&head, product)?,
            keg: self.keg(&head, keg_type)?,
            kegs: *kegs,
            store: self.store(&head, store)?,
            from: self.sources(&head, "fill", from)?,
            syrup: syrup.as_ref().map(|material| material.as_str()),
            syrup_l_each: *syrup_l_each,
            ingredients,
            purges: *purges,
            purge: self.bounded(&head, GaugePressure::new(*purge_bar))?,
            regulator: self.bounded(&head, GaugePressure::new(*regulator_bar))?,
            hold: self.bounded(&head, GaugePressure::new(*hold_bar))?,
            uptake_min: *uptake_min,
            target_g_per_l: *target_g_per_l,
            co2_g_each: *co2_g_each,
            air_mg_per_l: *air_mg_per_l,
            ready_at: self.minute(*ready_at),
            head,
        })
    }

    fn tap(&mut self, head: Head<'a>, step: &'a TapStep) -> Option<Tap<'a>> {
        let TapStep {
            product,
            keg_type,
            kegs,
            store,
            from,
            serve_bar,
        } = step;
        Some(Tap {
            product: self.product(&head, product)?,
            keg: self.keg(&head, keg_type)?,
            kegs: *kegs,
            store: self.store(&head, store)?,
            from: self.sources(&head, "gas", from)?,
            serve: self.bounded(&head, GaugePressure::new(*serve_bar))?,
            head,
        })
    }

    fn stale(&mut self, head: Head<'a>, step: &'a StaleStep) -> Option<Stale<'a>> {
        let StaleStep {
            product,
            keg_type,
            litres,
        } = step;
        self.amounts(&head, &[*litres])?;
        Some(Stale {
            product: self.product(&head, product)?,
            keg: self.keg(&head, keg_type)?,
            litres: *litres,
            head,
        })
    }

    fn back(&mut self, head: Head<'a>, step: &'a ReturnStep) -> Option<Return<'a>> {
        let ReturnStep {
            product,
            keg_type,
            kegs,
        } = step;
        Some(Return {
            product: self.product(&head, product)?,
            keg: self.keg(&head, keg_type)?,
            kegs: *kegs,
            head,
        })
    }

    fn discard(&mut self, head: Head<'a>, step: &'a DiscardStep) -> Option<Discard<'a>> {
        let DiscardStep {
            product,
            keg_type,
            kegs,
            store,
        } = step;
        Some(Discard {
            product: self.product(&head, product)?,
            keg: self.keg(&head, keg_type)?,
            kegs: *kegs,
            store: self.store(&head, store)?,
            head,
        })
    }

    fn wash(&mut self, head: Head<'a>, step: &'a WashStep) -> Option<Wash<'a>> {
        let WashStep { keg_type, kegs } = step;
        Some(Wash {
            keg: self.keg(&head, keg_type)?,
            kegs: *kegs,
            head,
        })
    }

    fn delivery(&mut self, head: Head<'a>, step: &'a IceStep) -> Option<Delivery<'a>> {
        let IceStep { kg, order_by } = step;
        self.amounts(&head, &[*kg])?;
        Some(Delivery {
            kg: *kg,
            order_by: self.signed_minute(*order_by),
            head,
        })
    }

    fn cylinder(&mut self, head: Head<'a>, step: &'a CylinderStep) -> Option<Cylinder<'a>> {
        let &CylinderStep {
            cylinders,
            co2_kg_each,
        } = step;
        self.amounts(&head, &[co2_kg_each])?;
        Some(Cylinder {
            cylinders,
            co2_kg_each,
            head,
        })
    }
}
