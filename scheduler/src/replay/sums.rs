//! Sums: every line of demand is answered, and the totals agree with the items.

use super::violation::{Findings, Rule};
use super::walk::Walk;
use crate::plan::Served;
use crate::scenario::Demand;

/// Litres lost in rounding one figure.
const DROP_L: f64 = 0.05;
/// Litres by which a difference of two figures may be below nothing.
const HAIR_L: f64 = 1e-6;

pub(super) fn check(walk: &Walk<'_>, found: &mut Findings) {
    for line in &walk.scenario.demand {
        let answers = walk.plan.services.iter().filter(|s| s.demand == line.id);
        match answers.collect::<Vec<_>>()[..] {
            [served] => answered(walk, line, served, found),
            ref others => {
                let text = format!("{} is answered {} times", line.id, others.len());
                found.add(Rule::Sums, 0, None, text);
            }
        }
    }
    totals(walk, found);
}

/// What is served and what is short add up to what is wanted, of the right product and time.
fn answered(walk: &Walk<'_>, line: &Demand, served: &Served, found: &mut Findings) {
    let at = usize::try_from(walk.minute(line.due.to_utc())).unwrap_or(0);
    if (&served.product, served.due, served.kind) != (&line.product, line.due, line.kind) {
        let text = format!("{} is answered with another product, time or kind", line.id);
        found.add(Rule::Sums, at, None, text);
    }
    let wanted = line.litres.litres();
    let sum = served.served_l + served.short_l;
    let adds_up = (sum - wanted).abs() <= DROP_L && (served.wanted_l - wanted).abs() <= DROP_L;
    if !adds_up || served.served_l < -HAIR_L || served.short_l < -HAIR_L {
        let text = format!(
            "{}: {} L served and {} L short of {} L; {wanted} L are wanted",
            line.id, served.served_l, served.short_l, served.wanted_l
        );
        found.add(Rule::Sums, at, None, text);
    }
}

fn totals(walk: &Walk<'_>, found: &mut Findings) {
    let (plan, verdict) = (walk.plan, &walk.plan.verdict);
    let rounding = DROP_L * (1.0 + plan.services.len() as f64);
    let served: f64 = plan.services.iter().map(|s| s.served_l).sum();
    let short: f64 = plan.services.iter().map(|s| s.short_l).sum();
    let gassed: u32 = walk.items.gassings.iter().map(|g| g.kegs).sum();
    let boils = walk.items.boils.len() as f64;
    for (what, stated, counted, rounding) in [
        ("litres served", verdict.served_l, served, rounding),
        ("litres short", verdict.short_l, short, rounding),
        (
            "kegs gassed",
            f64::from(verdict.kegs_gassed),
            f64::from(gassed),
            0.5,
        ),
        ("boils", f64::from(verdict.boils), boils, 0.5),
    ] {
        if (stated - counted).abs() > rounding {
            let text = format!("{stated} {what} in the verdict; the items add up to {counted}");
            found.add(Rule::Sums, 0, None, text);
        }
    }
    for served in &plan.services {
        if !walk
            .scenario
            .demand
            .iter()
            .any(|line| line.id == served.demand)
        {
            let text = format!("nobody asked for {}", served.demand);
            found.add(Rule::Sums, 0, None, text);
        }
    }
}
