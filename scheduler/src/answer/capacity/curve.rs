//! How many kegs can be ready at each hour of the horizon.

use std::time::Instant;

use chrono::{DateTime, Duration, FixedOffset, Utc};
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use super::{Counts, Explain, Wanted, count, without_demand};
use crate::answer::NoAnswer;
use crate::check::Checked;
use crate::decode::Context;
use crate::mapping::{good_until, shelf_life};
use crate::milp::{Stop, Watch};
use crate::recipe::Recipes;
use crate::scenario::{ProductId, ReadyKegs};
use crate::search::Limits;
use crate::timeline::Timeline;

/// The most kegs that can stand ready at each hour, if nothing is served before it.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct CapacityCurve {
    /// The product asked for; all products where none is named.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub product: Option<ProductId>,
    /// One point for each hour of which something is known, in order of time.
    pub points: Vec<CurvePoint>,
}

/// A point of the curve.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct CurvePoint {
    /// The instant.
    #[schema(value_type = String, format = DateTime, example = "2026-06-05T17:00:00+01:00")]
    pub at: DateTime<FixedOffset>,
    /// The most kegs found.
    #[schema(example = 27)]
    pub kegs: u32,
    /// No plan can have more kegs ready than this; the point is exact where both are the same.
    #[schema(example = 27)]
    pub at_most: u32,
}

/// Part of the time left that one hour may take.
const SHARE: f64 = 0.1;

/// Seconds one hour may take at most.
const PATIENCE_SECONDS: f64 = 2.5;

/// Draws the curve of kegs that can be ready over the horizon.
///
/// As long as nothing spoils, kegs that can be ready at an hour can be ready later, and no more can
/// be ready earlier than later. So hours between two that are equal need no answer of their own:
/// the ends come first, then the middle, and so on. `limits.seconds` is for the whole curve; when
/// they are over, hours without an answer lie between those of their neighbours, and are left out
/// where there are none.
///
/// # Errors
/// [`NoAnswer`] if the product is unknown, or the search failed or was stopped at once.
pub fn capacity_curve(
    scenario: &Checked,
    product: Option<&ProductId>,
    limits: Limits,
    watch: Watch<'_>,
) -> Result<CapacityCurve, NoAnswer> {
    let wanted = Wanted::of(scenario, product, &[])?;
    let whole = scenario.horizon.timeline(scenario.site.time_zone);
    let idle = without_demand(scenario)?;
    let recipes = Recipes::of(&idle)?;
    let began = Instant::now();
    let mut curve = Curve::over(&whole, &spoils(scenario, &whole));
    while let Some(hour) = curve.next_open() {
        let left = limits.seconds - began.elapsed().as_secs_f64();
        if left <= 0.0 || watch.cancelled() {
            break;
        }
        let timeline = whole.until(curve.hours[hour]);
        let context = Context {
            scenario: &idle,
            recipes: &recipes,
            timeline: &timeline,
        };
        let limits = Limits {
            seconds: (left * SHARE).min(PATIENCE_SECONDS),
            ..limits
        };
        match count(context, &wanted, Explain::No, limits, watch) {
            Ok(found) => curve.know(hour, &found),
            Err(NoAnswer::Stopped(_)) => curve.asked[hour] = true,
            Err(other) => return Err(other),
        }
    }
    let points = curve.points(&whole);
    if points.is_empty() {
        return Err(NoAnswer::Stopped(Stop::Time));
    }
    Ok(CapacityCurve {
        product: product.cloned(),
        points,
    })
}

/// When kegs may spoil: those that stand ready, at the end of their shelf life; and any hour, if
/// what is made in the horizon can spoil in it.
fn spoils(scenario: &Checked, whole: &Timeline) -> Vec<DateTime<Utc>> {
    let products = &scenario.setup.products;
    let length = whole.end() - whole.start();
    if products.iter().any(|p| shelf_life(p) < length) {
        return hours(whole);
    }
    let of = |ready: &ReadyKegs| {
        let product = products.iter().find(|p| p.id == ready.product)?;
        Some(good_until(product, ready))
    };
    scenario.stock.ready.iter().filter_map(of).collect()
}

fn hours(timeline: &Timeline) -> Vec<DateTime<Utc>> {
    let mut hours = Vec::new();
    let mut at = timeline.start() + Duration::hours(1);
    while at <= timeline.end() {
        hours.push(at);
        at += Duration::hours(1);
    }
    hours
}

/// What is known of each hour so far.
struct Curve {
    hours: Vec<DateTime<Utc>>,
    kegs: Vec<u32>,
    at_most: Vec<u32>,
    asked: Vec<bool>,
    /// Hours of the same stretch have nothing spoil between them.
    stretch: Vec<usize>,
}

impl Curve {
    fn over(timeline: &Timeline, spoils: &[DateTime<Utc>]) -> Self {
        let hours = hours(timeline);
        // The very hour at which something spoils stands alone.
        let before = |at: &DateTime<Utc>| {
            let until = spoils.iter().filter(|s| *s <= at).count();
            until + spoils.iter().filter(|s| *s < at).count()
        };
        Self {
            kegs: vec![0; hours.len()],
            at_most: vec![u32::MAX; hours.len()],
            asked: vec![false; hours.len()],
            stretch: hours.iter().map(before).collect(),
            hours,
        }
    }

    /// The hour to ask next: the last and the first of each stretch, then the middle of the longest
    /// run of hours that are open.
    fn next_open(&self) -> Option<usize> {
        let last = self.hours.len().checked_sub(1)?;
        let is_end = |n: usize| {
            let own = self.stretch[n];
            n == 0 || n == last || self.stretch[n - 1] != own || self.stretch[n + 1] != own
        };
        let end = (0..=last).rev().find(|n| is_end(*n) && !self.asked[*n]);
        if end.is_some() {
            return end;
        }
        let mut longest: Option<(usize, usize)> = None;
        let mut from = None;
        for n in 0..=last {
            let open = !self.asked[n] && self.kegs[n] < self.at_most[n];
            match (open, from) {
                (true, None) => from = Some(n),
                (false, Some(start)) => {
                    if longest.is_none_or(|(a, b)| n - start > b - a) {
                        longest = Some((start, n));
                    }
                    from = None;
                }
                _ => {}
            }
        }
        longest.map(|(start, end)| start + (end - start) / 2)
    }

    /// Notes an answer, and what it means for the hours before and after.
    fn know(&mut self, hour: usize, found: &Counts) {
        self.asked[hour] = true;
        let kegs: u32 = found.by_keg.iter().map(|k| k.kegs).sum();
        for n in (0..self.hours.len()).filter(|n| self.stretch[*n] == self.stretch[hour]) {
            if n >= hour {
                self.kegs[n] = self.kegs[n].max(kegs);
            }
            if n <= hour {
                self.at_most[n] = self.at_most[n].min(found.at_most as u32);
            }
        }
    }

    fn points(&self, timeline: &Timeline) -> Vec<CurvePoint> {
        let each = self.hours.iter().zip(&self.kegs).zip(&self.at_most);
        let known = each.filter(|(_, at_most)| **at_most < u32::MAX);
        known
            .map(|((at, kegs), at_most)| CurvePoint {
                at: timeline.stamp(*at),
                kegs: *kegs,
                at_most: *at_most,
            })
            .collect()
    }
}
