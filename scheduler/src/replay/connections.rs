//! Connections: one for each gassing keg, at a station that fits it and reaches its store.

use super::begun;
use super::calendar;
use super::items::Gas;
use super::level::Level;
use super::levels::Gauge;
use super::violation::{Findings, Rule};
use super::walk::Walk;
use crate::scenario::Equipment;

pub(super) fn check(walk: &Walk<'_>, found: &mut Findings) {
    for station in &walk.scenario.setup.gas_stations {
        let mut coupled = Level::starting(begun::coupled(walk, &station.id), walk.minutes);
        for (until, kegs) in begun::uncoupled(walk, &station.id) {
            coupled.supply(until, -kegs);
        }
        let equipment = Equipment::Connections {
            station: station.id.clone(),
        };
        let all = f64::from(station.connections);
        // Kegs that were coupled before stay so.
        let lost = calendar::lost_beside(walk, &equipment, all, &coupled);
        coupled.lose(&lost);
        let here = walk
            .items
            .gassings
            .iter()
            .filter(|g| g.station.id == station.id);
        for gas in here {
            coupled.hold(
                gas.head.start,
                gas.ready_at,
                f64::from(gas.kegs),
                gas.head.id,
            );
        }
        let gauge = Gauge::Connections(station.id.clone());
        found.saw(gauge, all, coupled.levels());
        for over in coupled.above(f64::from(station.connections) + 0.5) {
            let (kegs, has) = (over.worst, station.connections);
            let text = format!(
                "{kegs:.0} connections of {} taken or out of service; it has {has}",
                station.id
            );
            found.add(Rule::Connections, over.minute, over.item, text);
        }
    }
    for gas in &walk.items.gassings {
        fits(gas, found);
    }
}

fn fits(gas: &Gas<'_>, found: &mut Findings) {
    let (station, product) = (gas.station, gas.product);
    let place = gas.head.place();
    found.require(
        station.stores.contains(&gas.store.id),
        Rule::Connections,
        place,
        || format!("{} does not reach {}", station.id, gas.store.id),
    );
    found.require(
        station.keg_types.contains(&gas.keg.id),
        Rule::Connections,
        place,
        || format!("{} does not fit {}", station.id, gas.keg.id),
    );
    let stations = &product.gas_stations;
    let made_there = stations.is_empty() || stations.contains(&station.id);
    found.require(made_there, Rule::Connections, place, || {
        format!("{} is not made on {}", product.id, station.id)
    });
    let kegs = &product.keg_types;
    let goes_in = kegs.is_empty() || kegs.contains(&gas.keg.id);
    found.require(goes_in, Rule::Connections, place, || {
        format!("{} is not put into {}", product.id, gas.keg.id)
    });
}
