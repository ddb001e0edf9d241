//! The plan is about this site and horizon; its items have their own names and start on its steps.

use std::collections::HashSet;

use super::violation::{Findings, Rule};
use crate::plan::{
    CylinderStep, DiscardStep, FillStep, GasStep, Plan, ReturnStep, Step, TapStep, WashStep,
};
use crate::scenario::Scenario;
use crate::timeline::Timeline;

pub(super) fn check(scenario: &Scenario, plan: &Plan, found: &mut Findings) {
    let clock = scenario.horizon.timeline(scenario.site.time_zone);
    let grid = scenario.horizon.grid_minutes.minutes();
    let mut same = |what: &str, same: bool, plan_s: String, scenario_s: String| {
        if !same {
            let text = format!("{what}: {plan_s} in the plan, {scenario_s} in the scenario");
            found.add(Rule::Frame, 0, None, text);
        }
    };
    let (site, here) = (&plan.site, &scenario.site.id);
    same("site", site == here, site.to_string(), here.to_string());
    let start = scenario.horizon.start;
    same(
        "start",
        plan.start == start,
        plan.start.to_rfc3339(),
        start.to_rfc3339(),
    );
    let end = clock.stamp(clock.end());
    same(
        "end",
        plan.end == end,
        plan.end.to_rfc3339(),
        end.to_rfc3339(),
    );
    same(
        "step",
        plan.grid_minutes == grid,
        plan.grid_minutes.to_string(),
        grid.to_string(),
    );
    items(scenario, plan, &clock, found);
}

fn items(scenario: &Scenario, plan: &Plan, clock: &Timeline, found: &mut Findings) {
    let start = scenario.horizon.start;
    let step = i64::from(scenario.horizon.grid_minutes.minutes()) * 60;
    let mut names = HashSet::new();
    for item in &plan.work {
        let after = item.start - start;
        let minute = usize::try_from(after.num_minutes()).unwrap_or(0);
        let mut refuse = |what: String| found.add(Rule::Frame, minute, Some(&item.id), what);
        if !names.insert(&item.id) {
            refuse(format!("a second item {}; each is allowed once", item.id));
        }
        if item.start < start || item.start > clock.end() {
            refuse(format!(
                "{} lies outside the horizon",
                item.start.to_rfc3339()
            ));
        } else if after.num_seconds() % step != 0 || after.subsec_nanos() != 0 {
            refuse(format!(
                "{} is not the start of a step",
                item.start.to_rfc3339()
            ));
        }
        if item.end < item.start {
            refuse(format!(
                "it ends at {}, before it starts",
                item.end.to_rfc3339()
            ));
        }
        if moved(&item.step) == Some(0) {
            refuse("0 found; an item moves at least one".to_owned());
        }
    }
}

/// Kegs or cylinders an item moves.
fn moved(step: &Step) -> Option<u32> {
    match step {
        Step::Fill(FillStep { kegs, .. })
        | Step::Gas(GasStep { kegs, .. })
        | Step::Tap(TapStep { kegs, .. })
        | Step::Return(ReturnStep { kegs, .. })
        | Step::Discard(DiscardStep { kegs, .. })
        | Step::Wash(WashStep { kegs, .. }) => Some(*kegs),
        Step::Cylinder(CylinderStep { cylinders, .. }) => Some(*cylinders),
        Step::Boil(_) | Step::Stale(_) | Step::Ice(_) => None,
    }
}
