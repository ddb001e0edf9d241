//! From a work item that is over to its entry in the ledger: the amounts are the plan's.

use scheduler::plan::{
    BoilStep, CylinderStep, DiscardStep, FillStep, GasStep, Plan, ReturnStep, Served, StaleStep,
    Step, TapStep, WashStep, WorkItem,
};
use scheduler::recipe::Recipes;
use scheduler::scenario::{AGENT, CO2, KegTypeId, ProductId, Scenario, StoreId};

use super::super::plans::PlanId;
use super::super::work::{WorkRecord, WorkState};
use super::Reference;
use super::kegs::{KegPlace, KegState};
use super::work::{KegsMoved, Pour, PouredAway, Used, WorkDone};
use crate::domain::Refusal;

/// A plan's work as the ledger looks at it.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Booking<'a> {
    pub(crate) id: PlanId,
    pub(crate) plan: &'a Plan,
    pub(crate) scenario: &'a Scenario,
}

impl Booking<'_> {
    /// What an item that is over does to the stock; none where it does nothing to it.
    pub(crate) fn of(
        &self,
        item: &WorkItem,
        record: &WorkRecord,
    ) -> Result<Option<WorkDone>, Refusal> {
        let failed = match record.state {
            WorkState::Finished => false,
            WorkState::Failed => true,
            WorkState::Planned | WorkState::Started | WorkState::Skipped => return Ok(None),
        };
        let Some(at) = record.ended_at else {
            return Ok(None);
        };
        let text = format!("work:{}/{}", self.id, item.id);
        let reference =
            Reference::try_from(text).map_err(|error| Refusal::internal(error.to_string()))?;
        let done = WorkDone {
            reference,
            at,
            plan: self.id,
            item: item.id.clone(),
            failed,
            uses: self.uses(item),
            moved: moved(item, failed).map(|moved| self.detailed(item, moved)),
            poured_away: poured_away(item).filter(|_| !failed),
            kegs: record.named_kegs.clone(),
        };
        let nothing = done.uses.is_empty() && done.moved.is_none() && done.poured_away.is_none();
        Ok((!nothing).then_some(done))
    }

    fn uses(&self, item: &WorkItem) -> Vec<Used> {
        let mut uses: Vec<Used> = Vec::new();
        let mut use_up = |material: &str, amount: f64| {
            if amount > 0.0 {
                uses.push(Used {
                    material: material.to_owned(),
                    amount,
                });
            }
        };
        match &item.step {
            Step::Boil(BoilStep { agent_g, .. }) => use_up(AGENT, *agent_g),
            Step::Fill(fill) => use_up(CO2, fill.co2_kg()),
            Step::Gas(GasStep {
                kegs,
                syrup,
                syrup_l_each,
                ingredients,
                co2_g_each,
                ..
            }) => {
                let kegs = f64::from(*kegs);
                use_up(CO2, kegs * co2_g_each / 1000.0);
                if let Some(syrup) = syrup {
                    use_up(syrup.as_str(), kegs * syrup_l_each);
                }
                for dose in ingredients {
                    use_up(dose.material.as_str(), kegs * dose.amount_each);
                }
            }
            Step::Tap(TapStep {
                product,
                keg_type,
                kegs,
                store,
                ..
            }) => use_up(
                CO2,
                f64::from(*kegs) * self.push_kg(product, keg_type, store),
            ),
            Step::Cylinder(CylinderStep { cylinders, .. }) => {
                let setup = self.scenario.setup.cylinders.as_ref();
                let left = setup.map_or(0.0, |c| c.residual_kg.kilograms());
                use_up(CO2, f64::from(*cylinders) * left);
            }
            _ => {}
        }
        uses
    }

    /// CO2 that pushes one keg out at the tap.
    fn push_kg(&self, product: &ProductId, keg_type: &KegTypeId, store: &StoreId) -> f64 {
        let setup = &self.scenario.setup;
        let product = setup.products.iter().position(|p| p.id == *product);
        let keg = setup.keg_types.iter().position(|k| k.id == *keg_type);
        let store = setup.cold_stores.iter().position(|s| s.id == *store);
        match (Recipes::of(self.scenario), product, keg, store) {
            (Ok(recipes), Some(product), Some(keg), Some(store)) => {
                recipes.push_kg(product, keg, store)
            }
            _ => 0.0,
        }
    }

    /// Adds how warm filled kegs are, and what is poured from kegs on tap.
    fn detailed(&self, item: &WorkItem, mut moved: KegsMoved) -> KegsMoved {
        if let Step::Fill(FillStep { at_c, cold_at, .. }) = &item.step
            && moved.to.state == KegState::Filled
        {
            moved.temperature_c = Some(*at_c);
            moved.cold_at = Some(*cold_at);
            moved.cold_c = Some(self.scenario.policy.gas_at_c.celsius().min(*at_c));
        }
        if let (Step::Tap(TapStep { product, .. }), KegState::OnTap) = (&item.step, moved.to.state)
        {
            moved.litres_each = Some(self.litres(&moved.keg_type));
            moved.pours = self.pours(item, product);
        }
        moved
    }

    fn litres(&self, keg_type: &KegTypeId) -> f64 {
        let types = &self.scenario.setup.keg_types;
        let keg = types.iter().find(|k| k.id == *keg_type);
        keg.map_or(0.0, |keg| keg.fill_l.litres())
    }

    /// What the plan pours from the kegs of a tapping, first tapped, first poured.
    fn pours(&self, item: &WorkItem, of: &ProductId) -> Vec<Pour> {
        let on_tap = self.scenario.stock.on_tap.iter();
        let mut before: f64 = on_tap
            .filter(|keg| keg.product == *of)
            .map(|keg| keg.litres.litres())
            .sum();
        let mut own = 0.0;
        for other in &self.plan.work {
            if let Step::Tap(TapStep {
                product,
                keg_type,
                kegs,
                ..
            }) = &other.step
                && product == of
            {
                let litres = f64::from(*kegs) * self.litres(keg_type);
                if other.id == item.id {
                    own = litres;
                    break;
                }
                before += litres;
            }
        }
        let mut services: Vec<&Served> = self.plan.services.iter().collect();
        services.sort_by_key(|served| served.due);
        let mut pours = Vec::new();
        let mut poured = 0.0_f64;
        for served in services {
            let litres = litres_of(served, of);
            let from = poured.max(before);
            poured += litres;
            let here = poured.min(before + own) - from;
            if here > 1e-9 {
                pours.push(Pour {
                    due: served.due,
                    litres: here,
                });
            }
        }
        pours
    }
}

/// Litres of a product that are poured for a line: its own, or those that stand in.
fn litres_of(served: &Served, product: &ProductId) -> f64 {
    let others = || served.instead.iter();
    if served.product == *product {
        served.served_l - others().map(|other| other.litres).sum::<f64>()
    } else {
        let of_it = others().filter(|other| other.product == *product);
        of_it.map(|other| other.litres).sum()
    }
}

fn poured_away(item: &WorkItem) -> Option<PouredAway> {
    match &item.step {
        Step::Stale(StaleStep {
            product,
            keg_type,
            litres,
        }) => Some(PouredAway {
            product: product.clone(),
            keg_type: keg_type.clone(),
            litres: *litres,
        }),
        _ => None,
    }
}

/// The kegs a step is about, what they were before it, and what they are after it.
pub(crate) fn moved(item: &WorkItem, failed: bool) -> Option<KegsMoved> {
    let (keg_type, kegs, from, to) = ways(&item.step)?;
    // What fails leaves its kegs dirty; those that were on their way back or in the wash stay.
    let to = match (&item.step, failed) {
        (Step::Return(_) | Step::Wash(_), true) => return None,
        (_, true) => KegPlace::plain(KegState::Dirty),
        (_, false) => to,
    };
    Some(KegsMoved {
        keg_type: keg_type.clone(),
        kegs,
        from,
        to,
        temperature_c: None,
        cold_at: None,
        cold_c: None,
        litres_each: None,
        pours: Vec::new(),
    })
}

/// Which kegs a step takes from one state into another, if it goes well.
fn ways(step: &Step) -> Option<(&KegTypeId, u32, KegPlace, KegPlace)> {
    let dirty = || KegPlace::plain(KegState::Dirty);
    let clean = || KegPlace::plain(KegState::Clean);
    let way = match step {
        Step::Fill(FillStep {
            keg_type,
            kegs,
            store,
            ..
        }) => (keg_type, *kegs, clean(), KegPlace::filled(store)),
        Step::Gas(GasStep {
            product,
            keg_type,
            kegs,
            store,
            ..
        }) => {
            let ready = KegPlace::ready(product, store);
            (keg_type, *kegs, KegPlace::filled(store), ready)
        }
        Step::Tap(TapStep {
            product,
            keg_type,
            kegs,
            store,
            ..
        }) => {
            let ready = KegPlace::ready(product, store);
            (keg_type, *kegs, ready, KegPlace::on_tap(product))
        }
        Step::Return(ReturnStep {
            product,
            keg_type,
            kegs,
        }) => (keg_type, *kegs, KegPlace::on_tap(product), dirty()),
        Step::Discard(DiscardStep {
            product,
            keg_type,
            kegs,
            store,
        }) => (keg_type, *kegs, KegPlace::ready(product, store), dirty()),
        Step::Wash(WashStep { keg_type, kegs }) => (keg_type, *kegs, dirty(), clean()),
        Step::Boil(_) | Step::Stale(_) | Step::Ice(_) | Step::Cylinder(_) => {
            return None;
        }
    };
    Some(way)
}

#[cfg(test)]
mod tests {
    use serde_json::json;

    use super::*;

    fn tap(number: usize, hour: usize, kegs: u32) -> serde_json::Value {
        json!({ "id": format!("tap-{number}"), "start": format!("2026-06-02T{hour:02}:00:00+01:00"),
            "end": format!("2026-06-02T{hour:02}:30:00+01:00"), "hands_min": 5.0, "kind": "tap",
            "product": "tonic", "keg_type": "keg-19", "kegs": kegs, "store": "walk-in",
            "from": [{ "kegs": kegs }], "serve_bar": 1.0 })
    }

    fn served(hour: usize, litres: f64) -> serde_json::Value {
        json!({ "demand": format!("at-{hour}"), "product": "tonic", "kind": "forecast",
            "due": format!("2026-06-02T{hour:02}:00:00+01:00"), "wanted_l": litres,
            "served_l": litres, "short_l": 0.0, "why": [] })
    }

    fn plan(work: &[serde_json::Value], services: &[serde_json::Value]) -> Plan {
        let verdict = json!({ "status": "optimal", "worth": 0.0, "bound": 0.0, "gap": 0.0,
            "cost": 0.0, "currency": "EUR", "served_l": 0.0, "short_l": 0.0, "kegs_gassed": 0,
            "boils": 0, "replayed_minutes": 0 });
        serde_json::from_value(json!({ "site": "bar", "start": "2026-06-02T06:00:00+01:00",
            "end": "2026-06-03T06:00:00+01:00", "grid_minutes": 30, "verdict": verdict,
            "services": services, "work": work, "needs": [] }))
        .unwrap()
    }

    fn record(state: WorkState) -> WorkRecord {
        WorkRecord {
            state,
            ended_at: Some("2026-06-02T12:00:00+01:00".parse().unwrap()),
            ..WorkRecord::PLANNED
        }
    }

    #[test]
    fn what_is_tapped_first_is_poured_first_and_nothing_twice() {
        let mut scenario = scheduler::sample::fixed();
        scenario.stock.on_tap.clear();
        let keg = scenario.setup.keg_types.iter();
        let keg = keg.clone().find(|k| k.id.as_str() == "keg-19").unwrap();
        let full = keg.fill_l.litres();
        let work = [tap(1, 11, 1), tap(2, 15, 1)];
        let plan = plan(&work, &[served(12, full + 2.0), served(20, 5.0)]);
        let booking = Booking {
            id: PlanId::new(),
            plan: &plan,
            scenario: &scenario,
        };
        let pours = |n: usize| -> Vec<f64> {
            let done = booking.of(&plan.work[n], &record(WorkState::Finished));
            let moved = done.unwrap().unwrap().moved.unwrap();
            moved.pours.iter().map(|pour| pour.litres).collect()
        };
        let near = |found: Vec<f64>, wanted: &[f64]| {
            assert_eq!(found.len(), wanted.len(), "{found:?}");
            for (a, b) in found.iter().zip(wanted) {
                assert!((a - b).abs() < 1e-9, "{found:?}");
            }
        };
        near(pours(0), &[full]);
        near(pours(1), &[2.0, 5.0]);
    }

    #[test]
    fn what_fails_leaves_dirty_kegs_and_what_is_skipped_nothing() {
        let scenario = scheduler::sample::fixed();
        let plan = plan(&[tap(1, 11, 2)], &[]);
        let booking = Booking {
            id: PlanId::new(),
            plan: &plan,
            scenario: &scenario,
        };
        let of = |state| booking.of(&plan.work[0], &record(state)).unwrap();
        let failed = of(WorkState::Failed).unwrap();
        assert_eq!(failed.moved.unwrap().to, KegPlace::plain(KegState::Dirty));
        assert!(of(WorkState::Skipped).is_none());
        assert!(of(WorkState::Started).is_none());
    }
}
