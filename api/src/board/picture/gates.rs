//! Services as gates: what must have arrived, what does, and the gap of what does not.

use std::collections::BTreeMap;

use chrono::{DateTime, FixedOffset};
use scheduler::plan::{Plan, Served};

use super::axis::View;

/// Litres below which nothing is short.
const NOTHING_L: f64 = 0.05;

/// All that is wanted at one time.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Gate {
    pub(super) at: DateTime<FixedOffset>,
    pub(super) bars: Vec<Bar>,
}

/// A product at a gate.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Bar {
    pub(super) product: scheduler::scenario::ProductId,
    pub(super) wanted_l: f64,
    pub(super) short_l: f64,
}

impl Gate {
    pub(super) fn wanted_l(&self) -> f64 {
        self.bars.iter().map(|bar| bar.wanted_l).sum()
    }

    /// What does not arrive; nothing for a hair.
    pub(super) fn short_l(&self) -> f64 {
        let short: f64 = self.bars.iter().map(|bar| bar.short_l).sum();
        if short > NOTHING_L { short } else { 0.0 }
    }
}

/// The gates that are shown, in order of time.
pub(super) fn gates(plan: &Plan, view: &View) -> Vec<Gate> {
    let mut found: BTreeMap<DateTime<FixedOffset>, Vec<&Served>> = BTreeMap::new();
    for line in &plan.services {
        if line.due >= view.from && line.due <= view.to {
            found.entry(line.due).or_default().push(line);
        }
    }
    let gate = |(at, lines): (DateTime<FixedOffset>, Vec<&Served>)| {
        let mut bars: BTreeMap<_, (f64, f64)> = BTreeMap::new();
        for line in lines {
            let bar = bars.entry(line.product.clone()).or_default();
            bar.0 += line.wanted_l;
            bar.1 += line.short_l;
        }
        let bars = bars.into_iter().map(|(product, (wanted_l, short_l))| Bar {
            product,
            wanted_l,
            short_l,
        });
        Gate {
            at,
            bars: bars.collect(),
        }
    };
    found.into_iter().map(gate).collect()
}
