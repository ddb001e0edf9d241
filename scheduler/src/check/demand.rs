//! Demand names known products and lies inside the horizon.

use std::collections::BTreeSet;

use super::Collector;
use crate::scenario::Scenario;

/// The most lines of demand one plan takes.
pub const LARGEST_DEMAND_LINES: usize = 2000;

pub(super) fn check(scenario: &Scenario, faults: &mut Collector) {
    let lines = &scenario.demand;
    if lines.len() > LARGEST_DEMAND_LINES {
        faults.add(
            "demand",
            format!(
                "{} lines found; at most {LARGEST_DEMAND_LINES} are allowed in one plan",
                lines.len()
            ),
        );
        return;
    }
    faults.unique("demand", "line of demand", lines.iter().map(|x| &x.id));
    let products: BTreeSet<_> = scenario.setup.products.iter().map(|x| &x.id).collect();
    let timeline = scenario.horizon.timeline(scenario.site.time_zone);
    for (n, line) in lines.iter().enumerate() {
        faults.known(
            format!("demand[{n}].product"),
            "product",
            &line.product,
            &products,
        );
        if line.due < scenario.horizon.start || line.due > timeline.end() {
            faults.add(
                format!("demand[{n}].due"),
                format!(
                    "{} found; a service from {} to {} is allowed (the plan's horizon)",
                    line.due.to_rfc3339(),
                    scenario.horizon.start.to_rfc3339(),
                    timeline.local(timeline.end()).to_rfc3339()
                ),
            );
        }
    }
}
