//! Reading a plan's items: names that are looked up, numbers that are within bounds.

mod names;

use std::collections::HashMap;

use model::{GaugePressure, Temperature};

use super::items::{
    Begun, Boil, Cylinder, Delivery, Discard, Fill, Gas, Head, Items, Return, Stale, Tap, Wash,
};
use super::violation::Findings;
use crate::plan::{Plan, Step, WorkId, WorkItem};
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
        if let Step::Boil { .. } = item.step {
            reader.keep(&mut items.boils, item, Reader::boil);
        }
    }
    for item in &plan.work {
        if let Step::Fill { .. } = item.step {
            reader.keep(&mut items.fills, item, Reader::fill);
        }
    }
    for item in &plan.work {
        if let Step::Gas { .. } = item.step {
            reader.keep(&mut items.gassings, item, Reader::gas);
        }
    }
    for item in &plan.work {
        match item.step {
            Step::Tap { .. } => reader.keep(&mut items.taps, item, Reader::tap),
            Step::Stale { .. } => reader.keep(&mut items.stales, item, Reader::stale),
            Step::Return { .. } => reader.keep(&mut items.returns, item, Reader::back),
            Step::Discard { .. } => reader.keep(&mut items.discards, item, Reader::discard),
            Step::Wash { .. } => reader.keep(&mut items.washes, item, Reader::wash),
            Step::Ice { .. } => reader.keep(&mut items.deliveries, item, Reader::delivery),
            Step::Cylinder { .. } => reader.keep(&mut items.cylinders, item, Reader::cylinder),
            Step::Boil { .. } | Step::Fill { .. } | Step::Gas { .. } => {}
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
    fn keep<T>(
        &mut self,
        list: &mut Vec<T>,
        item: &'a WorkItem,
        read: impl Fn(&mut Self, Head<'a>, &'a Step) -> Option<T>,
    ) {
        let head = Head {
            id: &item.id,
            start: self.minute(item.start),
            end: self.minute(item.end),
            hands_min: item.hands_min,
        };
        if let Some(value) = read(self, head, &item.step) {
            self.made.insert(&item.id, (item.step.kind(), list.len()));
            list.push(value);
        }
    }

    fn boil(&mut self, head: Head<'a>, step: &'a Step) -> Option<Boil<'a>> {
        let Step::Boil {
            route,
            pot,
            heat_to_c,
            chill_to_c,
            chill_at,
            fill_from,
            ..
        } = step
        else {
            return None;
        };
        let &Step::Boil {
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
        } = step
        else {
            return None;
        };
        self.amounts(
            &head,
            &[tap_l, agent_g, heating_min, hold_min, air_mg_per_l],
        )?;
        self.amounts(&head, &[ice_in_kg, ice_bath_kg, makes_l, left_l])?;
        Some(Boil {
            route: self.route(&head, route)?,
            pot: self.pot(&head, pot)?,
            tap_l,
            agent_g,
            heat_to: self.bounded(&head, Temperature::new(*heat_to_c))?,
            heating_min,
            hold_min,
            air_mg_per_l,
            chill_at: self.minute(*chill_at),
            ice_in_kg,
            ice_bath_kg,
            chill_to: self.bounded(&head, Temperature::new(*chill_to_c))?,
            fill_from: self.minute(*fill_from),
            makes_l,
            left_l,
            head,
        })
    }

    fn fill(&mut self, head: Head<'a>, step: &'a Step) -> Option<Fill<'a>> {
        let Step::Fill {
            route,
            from,
            keg_type,
            kegs,
            store,
            litres_each,
            at_c,
            cold_at,
        } = step
        else {
            return None;
        };
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
            cold_at: self.minute(*cold_at),
            head,
        })
    }

    fn gas(&mut self, head: Head<'a>, step: &'a Step) -> Option<Gas<'a>> {
        let Step::Gas {
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
            ready_at,
        } = step
        else {
            return None;
        };
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
            ready_at: self.minute(*ready_at),
            head,
        })
    }

    fn tap(&mut self, head: Head<'a>, step: &'a Step) -> Option<Tap<'a>> {
        let Step::Tap {
            product,
            keg_type,
            kegs,
            store,
            from,
            serve_bar,
        } = step
        else {
            return None;
        };
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

    fn stale(&mut self, head: Head<'a>, step: &'a Step) -> Option<Stale<'a>> {
        let Step::Stale {
            product,
            keg_type,
            litres,
        } = step
        else {
            return None;
        };
        self.amounts(&head, &[*litres])?;
        Some(Stale {
            product: self.product(&head, product)?,
            keg: self.keg(&head, keg_type)?,
            litres: *litres,
            head,
        })
    }

    fn back(&mut self, head: Head<'a>, step: &'a Step) -> Option<Return<'a>> {
        let Step::Return {
            product,
            keg_type,
            kegs,
        } = step
        else {
            return None;
        };
        Some(Return {
            product: self.product(&head, product)?,
            keg: self.keg(&head, keg_type)?,
            kegs: *kegs,
            head,
        })
    }

    fn discard(&mut self, head: Head<'a>, step: &'a Step) -> Option<Discard<'a>> {
        let Step::Discard {
            product,
            keg_type,
            kegs,
            store,
        } = step
        else {
            return None;
        };
        Some(Discard {
            product: self.product(&head, product)?,
            keg: self.keg(&head, keg_type)?,
            kegs: *kegs,
            store: self.store(&head, store)?,
            head,
        })
    }

    fn wash(&mut self, head: Head<'a>, step: &'a Step) -> Option<Wash<'a>> {
        let Step::Wash { keg_type, kegs } = step else {
            return None;
        };
        Some(Wash {
            keg: self.keg(&head, keg_type)?,
            kegs: *kegs,
            head,
        })
    }

    fn delivery(&mut self, head: Head<'a>, step: &'a Step) -> Option<Delivery<'a>> {
        let Step::Ice { kg, order_by } = step else {
            return None;
        };
        self.amounts(&head, &[*kg])?;
        Some(Delivery {
            kg: *kg,
            order_by: self.signed_minute(*order_by),
            head,
        })
    }

    fn cylinder(&mut self, head: Head<'a>, step: &'a Step) -> Option<Cylinder<'a>> {
        let &Step::Cylinder {
            cylinders,
            co2_kg_each,
        } = step
        else {
            return None;
        };
        self.amounts(&head, &[co2_kg_each])?;
        Some(Cylinder {
            cylinders,
            co2_kg_each,
            head,
        })
    }
}
