//! How many kegs can be ready at each hour of the horizon.

use std::time::Instant;

use chrono::{DateTime, FixedOffset, Utc};
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use super::{Counts, Explain, count, wanted_product, without_demand};
use crate::answer::NoAnswer;
use crate::decode::Context;
use crate::milp::Watch;
use crate::recipe::Recipes;
use crate::scenario::{Checked, ProductId};
use crate::search::Limits;
use crate::timeline::Timeline;

/// The most kegs that can stand ready at each hour, if nothing is served before it.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct CapacityCurve {
    /// The product asked for; all products where none is named.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub product: Option<ProductId>,
    /// One point for each hour, in order of time.
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
/// Kegs that can be ready at an hour can be ready later, and no more can be ready earlier than
/// later. So hours between two that are equal need no answer of their own: the ends come first,
/// then the middle, and so on. `limits.seconds` is for the whole curve; when they are over, hours
/// without an answer lie between those of their neighbours.
///
/// # Errors
/// [`NoAnswer`] if the product is unknown, or the search failed or was stopped at once.
pub fn capacity_curve(
    scenario: &Checked,
    product: Option<&ProductId>,
    limits: Limits,
    watch: Watch<'_>,
) -> Result<CapacityCurve, NoAnswer> {
    let wanted = wanted_product(scenario, product)?;
    let whole = Timeline::new(&scenario.horizon, scenario.site.time_zone);
    let idle = without_demand(scenario)?;
    let recipes = Recipes::of(&idle)?;
    let began = Instant::now();
    let mut curve = Curve::over(&whole);
    while let Some(hour) = curve.next_open() {
        let left = limits.seconds - began.elapsed().as_secs_f64();
        let bounded = curve.asked.last() == Some(&true);
        if bounded && (left <= 0.0 || watch.cancelled()) {
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
        match count(context, wanted, Explain::No, limits, watch) {
            Ok(found) => curve.know(hour, &found),
            // The last hour comes first and bounds all others.
            Err(NoAnswer::Stopped(_)) if curve.asked.last() == Some(&true) => {
                curve.asked[hour] = true;
            }
            Err(other) => return Err(other),
        }
    }
    Ok(CapacityCurve {
        product: product.cloned(),
        points: curve.points(&whole),
    })
}

/// What is known of each hour so far.
struct Curve {
    hours: Vec<DateTime<Utc>>,
    kegs: Vec<u32>,
    at_most: Vec<u32>,
    asked: Vec<bool>,
}

impl Curve {
    fn over(timeline: &Timeline) -> Self {
        let hour = chrono::Duration::hours(1);
        let mut hours = Vec::new();
        let mut at = timeline.start() + hour;
        while at <= timeline.end() {
            hours.push(at);
            at += hour;
        }
        Self {
            kegs: vec![0; hours.len()],
            at_most: vec![u32::MAX; hours.len()],
            asked: vec![false; hours.len()],
            hours,
        }
    }

    /// The hour to ask next: the last, the first, then the middle of the longest stretch of hours
    /// that are open.
    fn next_open(&self) -> Option<usize> {
        let last = self.hours.len().checked_sub(1)?;
        for end in [last, 0] {
            if !self.asked[end] {
                return Some(end);
            }
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
        for later in &mut self.kegs[hour..] {
            *later = (*later).max(kegs);
        }
        for earlier in &mut self.at_most[..=hour] {
            *earlier = (*earlier).min(found.at_most as u32);
        }
    }

    fn points(&self, timeline: &Timeline) -> Vec<CurvePoint> {
        let each = self.hours.iter().zip(&self.kegs).zip(&self.at_most);
        each.map(|((at, kegs), at_most)| CurvePoint {
            at: timeline.stamp(*at),
            kegs: *kegs,
            at_most: *at_most,
        })
        .collect()
    }
}
