//! What each step was made from: by name within a plan, by what was counted between plans.

use chrono::{DateTime, Duration, FixedOffset};
use scheduler::plan::{FillStep, GasStep, Source, Step, TapStep, WorkId, WorkItem};
use scheduler::scenario::{KegTypeId, ProductId, StoreId};

use super::{Generation, TraceItem, TraceSource, TraceStep, name};

/// What an item was made from. `before` are the steps of earlier generations.
pub(super) fn sources(
    generation: &Generation,
    item: &WorkItem,
    before: &[TraceStep],
) -> Vec<TraceSource> {
    match &item.step {
        Step::Fill(FillStep { from, .. }) => {
            let boil = |id: &WorkId| TraceSource {
                kegs: None,
                made_by: named(generation, id, before),
                gassed_at: None,
            };
            from.iter().map(boil).collect()
        }
        Step::Gas(GasStep {
            from,
            keg_type,
            store,
            ..
        }) => {
            let filled = || filled(generation, keg_type, store, before);
            of_kegs(generation, from, before, |kegs| {
                vec![TraceSource {
                    kegs: Some(kegs),
                    made_by: filled(),
                    gassed_at: None,
                }]
            })
        }
        Step::Tap(TapStep {
            from,
            product,
            keg_type,
            store,
            ..
        }) => of_kegs(generation, from, before, |kegs| {
            let kegs_of = ReadyKegs {
                product,
                keg_type,
                store,
            };
            let ready = ready(generation, kegs_of, before);
            if ready.is_empty() {
                return vec![on_hand(kegs)];
            }
            ready
        }),
        _ => Vec::new(),
    }
}

fn on_hand(kegs: u32) -> TraceSource {
    TraceSource {
        kegs: Some(kegs),
        made_by: Vec::new(),
        gassed_at: None,
    }
}

fn of_kegs(
    generation: &Generation,
    from: &[Source],
    before: &[TraceStep],
    from_stock: impl Fn(u32) -> Vec<TraceSource>,
) -> Vec<TraceSource> {
    let mut found = Vec::new();
    for source in from {
        match &source.item {
            Some(id) => found.push(TraceSource {
                kegs: Some(source.kegs),
                made_by: named(generation, id, before),
                gassed_at: None,
            }),
            None => found.extend(from_stock(source.kegs)),
        }
    }
    found
}

/// An item of this plan, or of the latest before that knew the name.
fn named(generation: &Generation, id: &WorkId, before: &[TraceStep]) -> Vec<TraceItem> {
    if generation.plan.work.iter().any(|item| item.id == *id) {
        return vec![TraceItem {
            plan: generation.id,
            item: id.clone(),
        }];
    }
    let earlier = before.iter().rev().find(|step| step.item.id == *id);
    earlier.map(name).into_iter().collect()
}

/// Work that may have filled the kegs that stood filled when a plan started: everything of that
/// kind in that store that no gassing before has used up.
fn filled(
    generation: &Generation,
    keg_type: &KegTypeId,
    store: &StoreId,
    before: &[TraceStep],
) -> Vec<TraceItem> {
    let stands = generation.scenario.stock.filled.iter();
    if !stands
        .into_iter()
        .any(|f| f.keg_type == *keg_type && f.store == *store)
    {
        return Vec::new();
    }
    let fits = |step: &&TraceStep| match &step.item.step {
        Step::Fill(FillStep {
            keg_type: k,
            store: s,
            kegs,
            ..
        }) => {
            let used: u32 = before.iter().map(|other| uses(other, &name(step))).sum();
            k == keg_type && s == store && used < *kegs
        }
        _ => false,
    };
    before.iter().filter(fits).map(name).collect()
}

/// Kegs of an item that a step has certainly used.
fn uses(step: &TraceStep, item: &TraceItem) -> u32 {
    let certain = step.sources.iter().filter(|s| s.made_by == [item.clone()]);
    certain.filter_map(|source| source.kegs).sum()
}

/// Kegs that look the same once they are ready.
#[derive(Clone, Copy)]
struct ReadyKegs<'a> {
    product: &'a ProductId,
    keg_type: &'a KegTypeId,
    store: &'a StoreId,
}

impl ReadyKegs<'_> {
    fn are(&self, product: &ProductId, keg_type: &KegTypeId, store: &StoreId) -> bool {
        (self.product, self.keg_type, self.store) == (product, keg_type, store)
    }
}

/// The lots that stood ready, or were being gassed, when a plan started.
fn ready(generation: &Generation, wanted: ReadyKegs<'_>, before: &[TraceStep]) -> Vec<TraceSource> {
    let stock = &generation.scenario.stock;
    let ready = stock.ready.iter();
    let ready = ready.filter(|lot| wanted.are(&lot.product, &lot.keg_type, &lot.store));
    let gassing = stock.under_way.gassing.iter();
    let gassing = gassing.filter(|lot| wanted.are(&lot.product, &lot.keg_type, &lot.store));
    let ready = ready.map(|lot| (lot.kegs, lot.gassed_at));
    let gassing = gassing.map(|lot| (lot.kegs, lot.ready_at));
    let step = Duration::minutes(i64::from(generation.plan.grid_minutes));
    ready
        .chain(gassing)
        .map(|(kegs, at)| TraceSource {
            kegs: Some(u32::from(kegs)),
            made_by: gassed(before, wanted, at, step),
            gassed_at: Some(at),
        })
        .collect()
}

/// Gassings of that product, keg type and store whose kegs became ready at about that time.
fn gassed(
    before: &[TraceStep],
    wanted: ReadyKegs<'_>,
    at: DateTime<FixedOffset>,
    within: Duration,
) -> Vec<TraceItem> {
    let fits = |step: &&TraceStep| match &step.item.step {
        Step::Gas(GasStep {
            product,
            keg_type,
            store,
            ready_at,
            ..
        }) => {
            let late = step.record.started_at.map(|begun| begun - step.item.start);
            let planned = *ready_at + late.unwrap_or_default();
            let ready = step.record.ended_at.unwrap_or(planned);
            wanted.are(product, keg_type, store) && (ready - at).abs() <= within
        }
        _ => false,
    };
    before.iter().filter(fits).map(name).collect()
}
