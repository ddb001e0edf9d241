//! Kegs and the states they are in, while the published plan is followed to the present.

use chrono::{DateTime, FixedOffset};
use model::{AirContent, Carbonation, Temperature};

use super::initial_state::small;
use crate::decode::Context;
use crate::plan::{DiscardStep, FillStep, GasStep, Source, Step, TapStep, WorkId, WorkItem};
use crate::recipe::WaitedKeg;
use crate::scenario::{EmptyKegs, FilledKegs, KegTypeId, ReadyKegs, StoreId};

/// Kegs that were filled, and by which work item; none for those that stood there before.
struct Filled {
    kegs: FilledKegs,
    item: Option<WorkId>,
}

/// Kegs that are ready, and by which work item.
struct Ready {
    kegs: ReadyKegs,
    item: Option<WorkId>,
}

/// Kegs and the states they are in.
pub(super) struct Kegs<'a> {
    context: Context<'a>,
    from: DateTime<FixedOffset>,
    empty: Vec<EmptyKegs>,
    filled: Vec<Filled>,
    ready: Vec<Ready>,
}

impl<'a> Kegs<'a> {
    /// Kegs as they stood when the published plan started; what stands filled has cooled until
    /// `from`.
    pub(super) fn of(context: Context<'a>, from: DateTime<FixedOffset>) -> Self {
        let stock = &context.scenario.stock;
        let mut kegs = Self {
            context,
            from,
            empty: stock.empty.clone(),
            filled: Vec::new(),
            ready: Vec::new(),
        };
        let start = context.scenario.horizon.start;
        for filled in &stock.filled {
            let mut filled = filled.clone();
            kegs.waited(&mut filled, start);
            kegs.filled.push(Filled {
                kegs: filled,
                item: None,
            });
        }
        // Within one source the coldest and the oldest go first.
        kegs.filled.sort_by(|a, b| {
            let celsius = |f: &Filled| f.kegs.temperature_c.celsius();
            celsius(a).total_cmp(&celsius(b))
        });
        let gassed = stock.under_way.gassing.iter().filter(|g| g.ready_at < from);
        let gassing = gassed.map(|g| ReadyKegs {
            product: g.product.clone(),
            keg_type: g.keg_type.clone(),
            store: g.store.clone(),
            kegs: g.kegs,
            gassed_at: g.ready_at,
        });
        let standing = stock.ready.iter().cloned().chain(gassing);
        kegs.ready = standing.map(|kegs| Ready { kegs, item: None }).collect();
        kegs.ready.sort_by_key(|ready| ready.kegs.gassed_at);
        for washed in stock.under_way.washing.iter().filter(|w| w.until <= from) {
            kegs.clean(&washed.keg_type, u32::from(washed.kegs));
        }
        kegs
    }

    /// Kegs as they are now that were as they are said to be at another instant. What nobody knows of
    /// them stays unknown.
    fn waited(&self, filled: &mut FilledKegs, since: DateTime<FixedOffset>) {
        let setup = &self.context.scenario.setup;
        let keg = setup.keg_types.iter().find(|k| k.id == filled.keg_type);
        let store = setup.cold_stores.iter().find(|s| s.id == filled.store);
        let (Some(keg), Some(store)) = (keg, store) else {
            return;
        };
        let minutes = (self.from - since).num_minutes().max(0) as f64;
        let before = WaitedKeg {
            temperature: filled.temperature_c,
            air: filled.air_mg_per_l.unwrap_or(AirContent::of(0.0)),
            co2: filled.co2_g_per_l.unwrap_or(Carbonation::NONE),
        };
        if let Ok(now) = before.after(self.context.scenario, (keg, store), minutes) {
            filled.temperature_c = now.temperature;
            filled.air_mg_per_l = filled.air_mg_per_l.map(|_| now.air);
            filled.co2_g_per_l = filled.co2_g_per_l.map(|_| now.co2);
        }
    }

    fn empty_of(&mut self, keg: &KegTypeId) -> &mut EmptyKegs {
        let at = self.empty.iter().position(|e| e.keg_type == *keg);
        let at = at.unwrap_or_else(|| {
            self.empty.push(EmptyKegs {
                keg_type: keg.clone(),
                clean: 0,
                dirty: 0,
            });
            self.empty.len() - 1
        });
        &mut self.empty[at]
    }

    /// Clean kegs come out of the wash.
    pub(super) fn clean(&mut self, keg: &KegTypeId, kegs: u32) {
        let empty = self.empty_of(keg);
        empty.clean = empty.clean.saturating_add(small(kegs));
    }

    /// Emptied kegs come back.
    pub(super) fn back(&mut self, keg: &KegTypeId, kegs: u32) {
        let empty = self.empty_of(keg);
        empty.dirty = empty.dirty.saturating_add(small(kegs));
    }

    /// Dirty kegs go into the wash.
    pub(super) fn put_in_the_wash(&mut self, keg: &KegTypeId, kegs: u32) {
        let empty = self.empty_of(keg);
        empty.dirty = empty.dirty.saturating_sub(small(kegs));
    }

    /// Kegs are filled, full at an instant, and put into their store; or it failed.
    pub(super) fn filled(
        &mut self,
        item: &WorkId,
        step: &FillStep,
        full: DateTime<FixedOffset>,
        failed: bool,
    ) {
        let FillStep {
            keg_type,
            kegs,
            store,
            at_c,
            air_mg_per_l,
            ..
        } = step;
        let empty = self.empty_of(keg_type);
        empty.clean = empty.clean.saturating_sub(small(*kegs));
        if failed {
            return self.back(keg_type, *kegs);
        }
        let mut filled = FilledKegs {
            keg_type: keg_type.clone(),
            store: store.clone(),
            kegs: small(*kegs),
            temperature_c: Temperature::new(*at_c).unwrap_or(Temperature::FREEZING),
            air_mg_per_l: air_mg_per_l.and_then(|air| AirContent::new(air).ok()),
            co2_g_per_l: None,
        };
        if self.context.scenario.policy.blanket_bar.is_some() {
            filled.co2_g_per_l = Some(Carbonation::NONE);
        }
        self.waited(&mut filled, full);
        self.filled.push(Filled {
            kegs: filled,
            item: Some(item.clone()),
        });
    }

    /// Filled kegs are coupled to a station.
    pub(super) fn taken_to_gas(&mut self, step: &GasStep) {
        let GasStep {
            keg_type,
            store,
            from,
            ..
        } = step;
        for source in from {
            let of_it = |f: &Filled| {
                f.item == source.item && f.kegs.keg_type == *keg_type && f.kegs.store == *store
            };
            let batches = self.filled.iter_mut().filter(|f| of_it(f));
            take(source.kegs, batches.map(|f| &mut f.kegs.kegs));
        }
    }

    /// Kegs are ready.
    pub(super) fn ready(&mut self, item: &WorkId, kegs: ReadyKegs) {
        let item = Some(item.clone());
        self.ready.push(Ready { kegs, item });
    }

    /// Ready kegs leave their store: to the tap, or to be emptied.
    pub(super) fn tapped(&mut self, item: &WorkItem, emptied: bool) {
        let (kind, sources) = match &item.step {
            Step::Tap(TapStep {
                product,
                keg_type,
                store,
                from,
                ..
            }) => ((product, keg_type, store), from.clone()),
            Step::Discard(DiscardStep {
                product,
                keg_type,
                kegs,
                store,
            }) => (
                (product, keg_type, store),
                vec![Source {
                    item: None,
                    kegs: *kegs,
                }],
            ),
            _ => return,
        };
        let discarded = matches!(item.step, Step::Discard(_));
        for source in &sources {
            let batches = self.ready.iter_mut().filter(|r| {
                (discarded || r.item == source.item)
                    && (&r.kegs.product, &r.kegs.keg_type, &r.kegs.store) == kind
            });
            take(source.kegs, batches.map(|r| &mut r.kegs.kegs));
        }
        if emptied {
            self.back(kind.1, sources.iter().map(|s| s.kegs).sum());
        }
    }

    /// What stands there at the end: empty, filled and ready kegs.
    pub(super) fn standing(self) -> (Vec<EmptyKegs>, Vec<FilledKegs>, Vec<ReadyKegs>) {
        let filled = self.filled.into_iter().map(|f| f.kegs);
        let ready = self.ready.into_iter().map(|r| r.kegs);
        let mut ready: Vec<ReadyKegs> = ready.filter(|r| r.kegs > 0).collect();
        ready.sort_by_key(|r| r.gassed_at);
        let mut merged: Vec<FilledKegs> = Vec::new();
        for kegs in filled.filter(|f| f.kegs > 0) {
            let same = |f: &FilledKegs| {
                let kind = |f: &FilledKegs| -> (KegTypeId, StoreId) {
                    (f.keg_type.clone(), f.store.clone())
                };
                kind(f) == kind(&kegs) && f.temperature_c == kegs.temperature_c
            };
            match merged.iter_mut().find(|f| same(f)) {
                Some(batch) => batch.kegs = batch.kegs.saturating_add(kegs.kegs),
                None => merged.push(kegs),
            }
        }
        (self.empty, merged, ready)
    }
}

/// Takes kegs out of batches, the first ones first.
fn take<'k>(kegs: u32, batches: impl Iterator<Item = &'k mut u16>) {
    let mut left = small(kegs);
    for batch in batches {
        let taken = left.min(*batch);
        *batch -= taken;
        left -= taken;
    }
}
