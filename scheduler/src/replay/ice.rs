//! Ice: the machine fills the bin minute by minute, the bar draws first, and soda takes the rest.

use std::collections::{BTreeMap, BTreeSet};

use super::begun;
use super::calendar;
use super::levels::Gauge;
use super::violation::{Findings, Rule};
use super::walk::Walk;
use crate::plan::WorkId;
use crate::scenario::{IcePurchase, Weekday};

/// Kilograms below which a difference is a rounding.
const ROUNDING_KG: f64 = 0.05;

/// The least ice in the bin, in kilograms.
pub(super) fn check(walk: &Walk<'_>, found: &mut Findings) -> f64 {
    deliveries(walk, found);
    let draws = bar_draws(walk);
    let mut uses: BTreeMap<usize, Vec<(f64, &WorkId)>> = BTreeMap::new();
    for boil in &walk.items.boils {
        let kg = boil.ice_in_kg + boil.ice_bath_kg;
        uses.entry(boil.chill_at)
            .or_default()
            .push((kg, boil.head.id));
    }
    let still = calendar::ice_machine_stands(walk);
    let mut bin = Bin::of(walk);
    let mut alone = Bin::of(walk);
    let mut least = bin.kg;
    let mut levels = Vec::with_capacity(walk.minutes + 1);
    for minute in 0..=walk.minutes {
        if minute > 0 && !still[minute - 1] {
            bin.make();
            alone.make();
        }
        let arrives = walk
            .items
            .deliveries
            .iter()
            .filter(|d| d.head.start == minute);
        // Ice that is used as it arrives need not go through the bin.
        let coming = begun::ice_coming(walk, minute);
        bin.kg += arrives.map(|d| d.kg).sum::<f64>() + coming;
        alone.kg = (alone.kg + coming).min(alone.size);
        // The bar gets what it would find if no soda were made.
        let wanted = draws.get(&minute).copied().unwrap_or(0.0).min(alone.kg);
        alone.kg -= wanted;
        bin.take(wanted, "for the bar", minute, None, found);
        let begun = begun::ice(walk, minute).min(alone.kg);
        alone.kg -= begun;
        bin.take(begun, "for a boil under way", minute, None, found);
        for (kg, item) in uses.get(&minute).into_iter().flatten() {
            bin.take(*kg, "to chill with", minute, Some(item), found);
        }
        bin.kg = bin.kg.min(bin.size);
        least = least.min(bin.kg);
        levels.push(bin.kg);
    }
    found.saw(Gauge::Ice, bin.size, levels.into_iter());
    least
}

struct Bin {
    kg: f64,
    size: f64,
    per_minute: f64,
}

impl Bin {
    fn of(walk: &Walk<'_>) -> Self {
        let (ice, there) = (
            &walk.scenario.setup.ice,
            walk.scenario.stock.ice_kg.kilograms(),
        );
        Self {
            kg: there,
            // What is counted in the bin fits into it, whatever its label says.
            size: ice.bin_kg.kilograms().max(there),
            per_minute: ice.rate_kg_per_h.kilograms_per_hour() / 60.0,
        }
    }

    /// A minute of the machine; it stops when the bin is full.
    fn make(&mut self) {
        self.kg = (self.kg + self.per_minute).min(self.size);
    }

    fn take(
        &mut self,
        kg: f64,
        what: &str,
        minute: usize,
        item: Option<&WorkId>,
        found: &mut Findings,
    ) {
        let there = self.kg;
        if kg > there + ROUNDING_KG {
            let text = format!("{kg:.1} kg of ice wanted {what}; {there:.1} kg are there");
            found.add(Rule::Ice, minute, item, text);
        }
        self.kg = (there - kg).max(0.0);
    }
}

/// What the bar wants, by minute.
fn bar_draws(walk: &Walk<'_>) -> BTreeMap<usize, f64> {
    let mut draws = BTreeMap::new();
    for draw in &walk.scenario.setup.ice.bar_draw {
        for day in walk.clock.dates() {
            let weekday = Weekday::from(chrono::Datelike::weekday(&day));
            let minute = usize::try_from(walk.minute(walk.clock.instant(day, draw.at)));
            if let (true, Ok(minute)) = (draw.days.contains(&weekday), minute) {
                *draws.entry(minute).or_insert(0.0) += draw.kg.kilograms();
            }
        }
    }
    draws
}

/// Ice that is delivered was ordered in time, and no more than one delivery brings.
fn deliveries(walk: &Walk<'_>, found: &mut Findings) {
    let purchase = walk.scenario.setup.ice.purchase.as_ref();
    for ice in &walk.items.deliveries {
        let place = ice.head.place();
        let Some(purchase) = purchase else {
            found.add(
                Rule::Delivery,
                place.0,
                Some(place.1),
                "nobody delivers ice here",
            );
            continue;
        };
        let same_time = walk
            .items
            .deliveries
            .iter()
            .filter(|d| d.head.start == ice.head.start);
        let kg: f64 = same_time.map(|d| d.kg).sum();
        let largest = purchase.largest_kg.kilograms();
        found.require(kg <= largest + ROUNDING_KG, Rule::Delivery, place, || {
            format!("{kg:.1} kg at once; a delivery brings at most {largest} kg")
        });
        let times = arrivals(walk, purchase);
        let in_time = purchase.delivered.is_empty() || times.contains(&ice.head.start);
        found.require(in_time, Rule::Delivery, place, || {
            format!("nothing is delivered at {}", walk.time(ice.head.start))
        });
        let lead = purchase.lead_min.minutes();
        let start = i64::try_from(ice.head.start).unwrap_or(0);
        let ahead = (start - ice.order_by) as f64;
        found.require(
            ahead >= lead && ice.order_by >= 0,
            Rule::Delivery,
            place,
            || {
                format!(
                    "ordered {ahead} min ahead, {} min after the plan's start; it takes {lead} min",
                    ice.order_by
                )
            },
        );
    }
}

/// First full steps after the supplier's delivery times, on days when the site is open.
fn arrivals(walk: &Walk<'_>, purchase: &IcePurchase) -> BTreeSet<usize> {
    let mut times = BTreeSet::new();
    let closed = &walk.scenario.setup.crew.closed;
    for day in walk.clock.dates().filter(|day| !closed.contains(day)) {
        let weekday = Weekday::from(chrono::Datelike::weekday(&day));
        for time in purchase
            .delivered
            .iter()
            .filter(|t| t.days.contains(&weekday))
        {
            let minute = walk.minute_after(walk.clock.instant(day, time.at));
            if let Ok(minute) = usize::try_from(minute) {
                times.insert(minute.next_multiple_of(walk.grid));
            }
        }
    }
    times
}
