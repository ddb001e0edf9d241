//! Who holds which water, from when to when and how warm: a plan as pieces of stream.

mod pour;
mod waiting;

use std::collections::BTreeMap;

use chrono::{DateTime, Duration, FixedOffset};
use scheduler::plan::{
    BoilStep, FillStep, GasStep, Plan, ReturnStep, Source, Step, TapStep, WorkId, WorkItem,
};
use scheduler::scenario::{KegTypeId, ProductId, Scenario};

use pour::pour;
use waiting::{Waiting, cooling, take};

type At = DateTime<FixedOffset>;

/// Which lane water stands in.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub(super) enum Lane {
    Pot(String),
    Store(String),
    Station(String),
    Ready,
    Tap,
}

/// Water in one place for a while.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Hold {
    pub(super) lane: Lane,
    pub(super) from: At,
    pub(super) to: At,
    pub(super) litres: f64,
    /// Kegs or bottles; none for a pot.
    pub(super) kegs: u32,
    /// How warm it is from when on, first at `from`; between two it changes evenly.
    pub(super) heat: Vec<(At, f64)>,
    pub(super) product: Option<ProductId>,
    pub(super) item: Option<WorkId>,
    /// What flows in: other holds, by their place in the list, and how many litres of each.
    pub(super) comes_from: Vec<(usize, f64)>,
}

impl Hold {
    /// How warm it is at an instant.
    pub(super) fn at(&self, when: At) -> f64 {
        let mut before = self.heat.first().copied().unwrap_or((self.from, 4.0));
        for next in &self.heat {
            if next.0 >= when {
                let all = (next.0 - before.0).num_seconds() as f64;
                let part = if all > 0.0 {
                    (when - before.0).num_seconds() as f64 / all
                } else {
                    1.0
                };
                return before.1 + (next.1 - before.1) * part.clamp(0.0, 1.0);
            }
            before = *next;
        }
        before.1
    }
}

struct Maker<'a> {
    scenario: &'a Scenario,
    end: At,
    holds: Vec<Hold>,
    boils: BTreeMap<&'a WorkId, usize>,
    filled: Vec<Waiting>,
    ready: Vec<Waiting>,
    tapped: Vec<(usize, ProductId, KegTypeId, u32)>,
}

/// A plan as pieces of stream, in the order in which they begin to flow.
pub(super) fn streams(scenario: &Scenario, plan: &Plan) -> Vec<Hold> {
    let mut maker = Maker {
        scenario,
        end: plan.end,
        holds: Vec::new(),
        boils: BTreeMap::new(),
        filled: Vec::new(),
        ready: Vec::new(),
        tapped: Vec::new(),
    };
    maker.on_hand(plan.start);
    for item in &plan.work {
        maker.item(item);
    }
    maker.left_over();
    let mut holds = maker.holds;
    pour(scenario, plan, &mut holds);
    holds
}

impl<'a> Maker<'a> {
    fn litres_of(&self, keg: &KegTypeId) -> f64 {
        let types = &self.scenario.setup.keg_types;
        let found = types.iter().find(|k| k.id == *keg);
        found.map_or(0.0, |k| k.fill_l.litres())
    }

    fn air_of(&self, store: &str) -> f64 {
        let stores = &self.scenario.setup.cold_stores;
        let found = stores.iter().find(|s| s.id.as_str() == store);
        found.map_or(4.0, |s| s.air_c.celsius())
    }

    /// What stands there when the plan begins.
    fn on_hand(&mut self, start: At) {
        let stock = &self.scenario.stock;
        for filled in &stock.filled {
            let store = filled.store.to_string();
            self.filled.push(Waiting {
                item: None,
                product: None,
                keg_type: filled.keg_type.clone(),
                since: start,
                kegs: u32::from(filled.kegs),
                litres_each: self.litres_of(&filled.keg_type),
                heat: vec![(start, filled.temperature_c.celsius())],
                store,
                out_of: Vec::new(),
            });
        }
        for ready in &stock.ready {
            let store = ready.store.to_string();
            self.ready.push(Waiting {
                item: None,
                product: Some(ready.product.clone()),
                keg_type: ready.keg_type.clone(),
                since: start,
                kegs: u32::from(ready.kegs),
                litres_each: self.litres_of(&ready.keg_type),
                heat: vec![(start, self.air_of(&store))],
                store,
                out_of: Vec::new(),
            });
        }
    }

    fn item(&mut self, item: &'a WorkItem) {
        match &item.step {
            Step::Boil(step) => self.boil(item, step),
            Step::Fill(step) => self.fill(item, step),
            Step::Gas(step) => self.gas(item, step),
            Step::Tap(step) => self.tap(item, step),
            Step::Return(ReturnStep {
                product,
                keg_type,
                kegs,
            }) => self.give_back(product, keg_type, *kegs, item.start),
            _ => {}
        }
    }

    fn boil(&mut self, item: &'a WorkItem, step: &'a BoilStep) {
        let BoilStep {
            pot,
            heat_to_c,
            heating_min,
            hold_min,
            chill_at,
            chill_to_c,
            fill_from,
            makes_l,
            ..
        } = step;
        let minutes = |m: f64| Duration::seconds((m * 60.0) as i64);
        let hot = (item.start + minutes(*heating_min)).min(*chill_at);
        let tap = self.scenario.site.water.temperature_c.celsius();
        let until = (hot + minutes(*hold_min)).max(*chill_at).min(*fill_from);
        self.boils.insert(&item.id, self.holds.len());
        self.holds.push(Hold {
            lane: Lane::Pot(pot.to_string()),
            from: item.start,
            to: item.end,
            litres: *makes_l,
            kegs: 0,
            heat: vec![
                (item.start, tap),
                (hot, *heat_to_c),
                (until, *heat_to_c),
                (*fill_from, *chill_to_c),
            ],
            product: None,
            item: Some(item.id.clone()),
            comes_from: Vec::new(),
        });
    }

    fn fill(&mut self, item: &'a WorkItem, step: &'a FillStep) {
        let FillStep {
            from,
            keg_type,
            kegs,
            store,
            litres_each,
            at_c,
            cold_at,
            ..
        } = step;
        let store = store.to_string();
        let out_of: Vec<usize> = from
            .iter()
            .filter_map(|b| self.boils.get(b).copied())
            .collect();
        let share = f64::from(*kegs) * litres_each / out_of.len().max(1) as f64;
        let air = self.air_of(&store);
        self.filled.push(Waiting {
            item: Some(item.id.clone()),
            product: None,
            keg_type: keg_type.clone(),
            since: item.start,
            kegs: *kegs,
            litres_each: *litres_each,
            heat: cooling((item.start, *at_c), *cold_at, air),
            store,
            out_of: out_of.into_iter().map(|boil| (boil, share)).collect(),
        });
    }

    /// Takes kegs from where they stood until now, ready ones of a product or else filled ones:
    /// what held them, and the litres out of each.
    fn out_of(
        &mut self,
        from: &[Source],
        product: Option<&ProductId>,
        keg_type: &KegTypeId,
        now: At,
    ) -> Vec<(usize, f64)> {
        let litres_each = self.litres_of(keg_type);
        let mut comes_from = Vec::new();
        for source in from {
            let standing = match product {
                Some(_) => &mut self.ready,
                None => &mut self.filled,
            };
            for (waiting, kegs) in take(standing, source, product, keg_type) {
                let lane = match product {
                    Some(_) => Lane::Ready,
                    None => Lane::Store(waiting.store.clone()),
                };
                let hold = self.stood(&waiting, lane, kegs, now);
                comes_from.push((hold, f64::from(kegs) * litres_each));
            }
        }
        comes_from
    }

    fn gas(&mut self, item: &'a WorkItem, step: &'a GasStep) {
        let GasStep {
            station,
            product,
            keg_type,
            kegs,
            store,
            from,
            ..
        } = step;
        let litres_each = self.litres_of(keg_type);
        let comes_from = self.out_of(from, None, keg_type, item.start);
        let air = self.air_of(store.as_str());
        let hold = self.holds.len();
        let litres = f64::from(*kegs) * litres_each;
        self.holds.push(Hold {
            lane: Lane::Station(station.to_string()),
            from: item.start,
            to: item.end,
            litres,
            kegs: *kegs,
            heat: vec![(item.start, air)],
            product: Some(product.clone()),
            item: Some(item.id.clone()),
            comes_from,
        });
        self.ready.push(Waiting {
            item: Some(item.id.clone()),
            product: Some(product.clone()),
            keg_type: keg_type.clone(),
            store: store.to_string(),
            since: item.end,
            kegs: *kegs,
            litres_each,
            heat: vec![(item.end, air)],
            out_of: vec![(hold, litres)],
        });
    }

    fn tap(&mut self, item: &'a WorkItem, step: &'a TapStep) {
        let TapStep {
            product,
            keg_type,
            kegs,
            store,
            from,
            ..
        } = step;
        let litres_each = self.litres_of(keg_type);
        let comes_from = self.out_of(from, Some(product), keg_type, item.start);
        let air = self.air_of(store.as_str());
        self.tapped
            .push((self.holds.len(), product.clone(), keg_type.clone(), *kegs));
        self.holds.push(Hold {
            lane: Lane::Tap,
            from: item.start,
            to: self.end,
            litres: f64::from(*kegs) * litres_each,
            kegs: *kegs,
            heat: vec![(item.start, air)],
            product: Some(product.clone()),
            item: Some(item.id.clone()),
            comes_from,
        });
    }

    /// Kegs that come back empty were tapped first.
    fn give_back(&mut self, product: &ProductId, keg_type: &KegTypeId, kegs: u32, at: At) {
        let mut left = kegs;
        for (hold, of, kind, open) in &mut self.tapped {
            if left == 0 {
                break;
            }
            if *open > 0 && of == product && kind == keg_type {
                let now = left.min(*open);
                *open -= now;
                left -= now;
                if *open == 0 {
                    let hold = &mut self.holds[*hold];
                    hold.to = at.max(hold.from);
                }
            }
        }
    }

    /// Kegs that waited in a lane until somebody took them.
    fn stood(&mut self, waiting: &Waiting, lane: Lane, kegs: u32, until: At) -> usize {
        let litres = f64::from(kegs) * waiting.litres_each;
        let out = waiting.out_of.len().max(1) as f64;
        let comes_from = waiting.out_of.iter().map(|(hold, _)| (*hold, litres / out));
        self.holds.push(Hold {
            lane,
            from: waiting.since,
            to: until.max(waiting.since),
            litres,
            kegs,
            heat: waiting.heat.clone(),
            product: waiting.product.clone(),
            item: waiting.item.clone(),
            comes_from: comes_from.collect(),
        });
        self.holds.len() - 1
    }

    /// What nobody takes stands there until the end.
    fn left_over(&mut self) {
        let end = self.end;
        for waiting in std::mem::take(&mut self.filled) {
            if waiting.kegs > 0 {
                let lane = Lane::Store(waiting.store.clone());
                let kegs = waiting.kegs;
                self.stood(&waiting, lane, kegs, end);
            }
        }
        for waiting in std::mem::take(&mut self.ready) {
            if waiting.kegs > 0 {
                let kegs = waiting.kegs;
                self.stood(&waiting, Lane::Ready, kegs, end);
            }
        }
    }
}
