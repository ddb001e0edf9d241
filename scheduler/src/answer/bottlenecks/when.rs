//! When a resource binds.

use std::ops::Range;

use super::ground::Ground;
use crate::decode::Context;
use crate::mapping::{OneMore, Scarce};
use crate::plan::BindingStretch;

/// A stretch whose price is less than this part of all is not worth naming.
const HARDLY: f64 = 0.01;

/// Minutes between two stretches that are told as one.
const TOGETHER_MIN: f64 = 60.0;

/// How many stretches are named.
const NAMED: usize = 8;

/// A level this close to its bound is at it.
const AT_BOUND: f64 = 1e-6;

/// The stretches in which more of a resource would be used, by a relaxation's prices.
pub(super) fn binds(ground: &Ground<'_>, more: &OneMore) -> Vec<BindingStretch> {
    let context = ground.context;
    if more.limit.scarce == Scarce::HourOfHands {
        return told(context, vec![(more.within.clone(), 1.0)]);
    }
    let soda = ground.soda;
    let prices = soda.prices(context.scenario, &ground.form, &ground.relaxed, &more.limit);
    let levels = ground.form.levels(more.limit.resource);
    let resource = soda.net.resource(more.limit.resource);
    let used_up = |n: usize| {
        let (level, values) = (&levels[n], &ground.relaxed.values);
        // What renews is used up wherever it has a price.
        level
            .column
            .is_none_or(|column| values[column] <= resource.lower.at(level.point) + AT_BOUND)
    };
    let priced = prices.into_iter().enumerate();
    let binding = priced.filter(|(n, (_, price))| *price > 0.0 && used_up(*n));
    told(context, binding.map(|(_, stretch)| stretch).collect())
}

/// The stretches in which not one whole unit of a level is left.
pub(in crate::answer) fn none_left(context: Context<'_>, levels: &[f64]) -> Vec<BindingStretch> {
    let points = levels.iter().enumerate();
    let none = points.filter(|(_, level)| **level < 1.0 - AT_BOUND);
    told(context, none.map(|(t, _)| (t..t + 1, 1.0)).collect())
}

/// The stretches that matter most, in order of time, with those close to each other as one.
fn told(context: Context<'_>, stretches: Vec<(Range<usize>, f64)>) -> Vec<BindingStretch> {
    let all: f64 = stretches.iter().map(|(_, price)| price).sum();
    let apart = context.timeline.steps_for(TOGETHER_MIN);
    let mut joined: Vec<(Range<usize>, f64)> = Vec::new();
    for (stretch, price) in stretches {
        match joined.last_mut() {
            Some((last, sum)) if stretch.start <= last.end + apart => {
                last.end = last.end.max(stretch.end);
                *sum += price;
            }
            _ => joined.push((stretch, price)),
        }
    }
    joined.retain(|(_, price)| *price >= HARDLY * all);
    joined.sort_by(|a, b| b.1.total_cmp(&a.1));
    joined.truncate(NAMED);
    joined.sort_by_key(|(stretch, _)| stretch.start);
    let last = context.timeline.steps();
    let stamp = |point: usize| context.stamp(point.min(last));
    let named = joined.into_iter().map(|(stretch, _)| BindingStretch {
        from: stamp(stretch.start),
        until: stamp(stretch.end),
    });
    named
        .filter(|stretch| stretch.from < stretch.until)
        .collect()
}
