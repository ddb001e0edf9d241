//! Breaks, quiet hours, outages and delivery times lie where they can, and name what there is.

use std::collections::BTreeSet;

use super::Collector;
use crate::scenario::{Equipment, Outage, Setup};

pub(super) fn check(setup: &Setup, faults: &mut Collector) {
    breaks(setup, faults);
    quiet_hours(setup, faults);
    faults.count("setup.outages", setup.outages.len(), 0, 200);
    for (n, outage) in setup.outages.iter().enumerate() {
        check_outage(setup, (n, outage), faults);
    }
    delivery_times(setup, faults);
}

fn breaks(setup: &Setup, faults: &mut Collector) {
    for (n, shift) in setup.crew.shifts.iter().enumerate() {
        let field = format!("setup.crew.shifts[{n}].breaks");
        faults.count(&field, shift.breaks.len(), 0, 10);
        let mut before = shift.from;
        for (m, pause) in shift.breaks.iter().enumerate() {
            if pause.from < before || pause.to <= pause.from || pause.to > shift.to {
                faults.add(
                    format!("{field}[{m}]"),
                    format!(
                        "{} to {} found; a break lies within its shift, {} to {}, after the break \
                         before it",
                        pause.from, pause.to, shift.from, shift.to
                    ),
                );
            }
            before = pause.to;
        }
    }
}

fn quiet_hours(setup: &Setup, faults: &mut Collector) {
    faults.count("setup.quiet_hours", setup.quiet_hours.len(), 0, 28);
    for (n, quiet) in setup.quiet_hours.iter().enumerate() {
        let field = format!("setup.quiet_hours[{n}]");
        faults.count(&format!("{field}.days"), quiet.days.len(), 1, 7);
        faults.count(&format!("{field}.silent"), quiet.silent.len(), 1, 4);
    }
}

fn check_outage(setup: &Setup, (n, outage): (usize, &Outage), faults: &mut Collector) {
    let field = format!("setup.outages[{n}]");
    if outage.until <= outage.from {
        faults.add(
            format!("{field}.until"),
            format!(
                "{} found; it must be later than the start at {}",
                outage.until.to_rfc3339(),
                outage.from.to_rfc3339()
            ),
        );
    }
    let in_parts = match &outage.equipment {
        Equipment::Pot { pot } => {
            let pots: BTreeSet<_> = setup.pots.iter().map(|x| &x.id).collect();
            faults.known(format!("{field}.equipment.pot"), "pot", pot, &pots);
            false
        }
        Equipment::Places { store } => {
            let stores: BTreeSet<_> = setup.cold_stores.iter().map(|x| &x.id).collect();
            let field = format!("{field}.equipment.store");
            faults.known(field, "cold store", store, &stores);
            true
        }
        Equipment::Connections { station } => {
            let stations: BTreeSet<_> = setup.gas_stations.iter().map(|x| &x.id).collect();
            let field = format!("{field}.equipment.station");
            faults.known(field, "gassing point", station, &stations);
            true
        }
        Equipment::IceMachine => false,
        Equipment::Washing => true,
    };
    match outage.lost {
        Some(lost) if !in_parts => faults.add(
            format!("{field}.lost"),
            format!("{lost} found; this is out of service as a whole, so nothing is allowed"),
        ),
        Some(lost) if !(1..=5000).contains(&lost) => faults.add(
            format!("{field}.lost"),
            format!("{lost} found; 1 to 5000 are allowed"),
        ),
        _ => {}
    }
}

fn delivery_times(setup: &Setup, faults: &mut Collector) {
    let Some(purchase) = &setup.ice.purchase else {
        return;
    };
    let field = "setup.ice.purchase.delivered";
    faults.count(field, purchase.delivered.len(), 0, 28);
    for (n, time) in purchase.delivered.iter().enumerate() {
        faults.count(&format!("{field}[{n}].days"), time.days.len(), 1, 7);
    }
}
