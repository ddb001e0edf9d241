//! Visits: a work item that lasts is gone to once more before it is over, and that has a time and
//! hands of its own.

use chrono::{DateTime, FixedOffset};
use scheduler::plan::{Step, WorkItem};
use scheduler::scenario::{GasMethod, Setup};

use super::{WorkRecord, WorkState};

/// What is done at a later visit.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum VisitKind {
    /// Ice goes into or around a hot pot.
    Chill,
    /// Kegs that have rested under pressure are turned down, vented and taken off the gas.
    TurnDown,
}

impl VisitKind {
    pub(crate) fn as_str(self) -> &'static str {
        match self {
            Self::Chill => "chill",
            Self::TurnDown => "turn-down",
        }
    }

    /// Whether the work is over once it is done.
    pub(crate) fn ends_it(self) -> bool {
        self == Self::TurnDown
    }
}

/// A later visit to a work item.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Visit {
    pub(crate) kind: VisitKind,
    /// When somebody must be there, by the plan.
    pub(crate) at: DateTime<FixedOffset>,
    /// Minutes of hands it takes, which are among those of the item.
    pub(crate) hands_min: f64,
}

/// The later visit to an item; none where one visit does it.
pub(crate) fn later(setup: &Setup, item: &WorkItem) -> Option<Visit> {
    let visit = match &item.step {
        Step::Boil(boil) if boil.ice_in_kg + boil.ice_bath_kg > 0.0 => Visit {
            kind: VisitKind::Chill,
            at: boil.chill_at,
            hands_min: setup.crew.chill_min.minutes(),
        },
        Step::Gas(gas) => {
            let mut stations = setup.gas_stations.iter();
            let station = stations.find(|station| station.id == gas.station)?;
            // Whoever shakes a keg is there until it is done.
            if let GasMethod::Shaken { .. } = station.method {
                return None;
            }
            Visit {
                kind: VisitKind::TurnDown,
                at: gas.ready_at,
                hands_min: station.uncouple_min.minutes() * f64::from(gas.kegs),
            }
        }
        _ => return None,
    };
    (visit.at > item.start).then_some(visit)
}

/// When a visit is due as things stand: what began late is gone to that much later. None once the
/// item is over.
pub(crate) fn due(
    visit: &Visit,
    item: &WorkItem,
    record: &WorkRecord,
) -> Option<DateTime<FixedOffset>> {
    match record.state {
        WorkState::Planned => Some(visit.at),
        WorkState::Started => {
            let late = record.started_at.map(|at| at - item.start);
            Some(visit.at + late.unwrap_or_default().max(chrono::Duration::zero()))
        }
        WorkState::Finished | WorkState::Failed | WorkState::Skipped => None,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn item(step: &serde_json::Value) -> WorkItem {
        let mut item = serde_json::json!({
            "id": "gas-1", "start": "2026-06-02T16:00:00+01:00",
            "end": "2026-06-03T12:00:00+01:00", "hands_min": 20.0,
        });
        let parts = step.as_object().cloned().unwrap();
        item.as_object_mut().unwrap().extend(parts);
        serde_json::from_value(item).unwrap()
    }

    fn gas(station: &str) -> WorkItem {
        item(&serde_json::json!({
            "kind": "gas", "station": station, "product": "tonic", "keg_type": "keg-19",
            "kegs": 3, "store": "walk-in", "from": [], "syrup_l_each": 0.0, "purges": 3,
            "purge_bar": 2.0, "regulator_bar": 2.6, "hold_bar": 1.55, "uptake_min": 1200.0,
            "target_g_per_l": 7.4, "co2_g_each": 180.0, "ready_at": "2026-06-03T12:00:00+01:00",
        }))
    }

    /// A station of the sample's setup by how it gasses.
    fn station(shaken: bool) -> (Setup, String) {
        let setup = scheduler::sample::fixed().setup;
        let is = |method: &GasMethod| matches!(method, GasMethod::Shaken { .. }) == shaken;
        let mut stations = setup.gas_stations.iter();
        let id = stations.find(|s| is(&s.method)).unwrap().id.to_string();
        (setup, id)
    }

    #[test]
    fn a_rest_is_gone_to_again_at_its_end_with_hands_for_each_keg() {
        let (setup, id) = station(false);
        let each = setup.gas_stations.iter().find(|s| s.id.as_str() == id);
        let each = each.unwrap().uncouple_min.minutes();
        let visit = later(&setup, &gas(&id)).unwrap();
        assert_eq!(visit.kind, VisitKind::TurnDown);
        assert_eq!(visit.at.to_rfc3339(), "2026-06-03T12:00:00+01:00");
        assert!((visit.hands_min - 3.0 * each).abs() < 1e-9);
        assert!(each > 0.0);
    }

    #[test]
    fn a_pot_is_gone_to_again_only_where_ice_chills_it() {
        let setup = scheduler::sample::fixed().setup;
        let boil = |ice: f64| {
            item(&serde_json::json!({
                "kind": "boil", "route": "iced", "pot": "large", "tap_l": 20.0, "agent_g": 0.0,
                "heat_to_c": 94.0, "heating_min": 30.0, "hold_min": 0.0, "air_mg_per_l": 7.0,
                "chill_at": "2026-06-02T17:00:00+01:00", "ice_in_kg": ice, "ice_bath_kg": 0.0,
                "chill_to_c": 20.0, "fill_from": "2026-06-02T17:00:00+01:00", "makes_l": 37.0,
                "left_l": 0.0,
            }))
        };
        assert_eq!(later(&setup, &boil(16.0)).unwrap().kind, VisitKind::Chill);
        assert_eq!(later(&setup, &boil(0.0)), None);
    }

    #[test]
    fn shaken_kegs_are_visited_once() {
        let (setup, id) = station(true);
        assert_eq!(later(&setup, &gas(&id)), None);
    }

    #[test]
    fn what_began_late_is_gone_to_later_and_what_is_over_is_not() {
        let (setup, id) = station(false);
        let item = gas(&id);
        let visit = later(&setup, &item).unwrap();
        let record = |state, started: Option<&str>| WorkRecord {
            state,
            started_at: started.map(|at| at.parse().unwrap()),
            ..WorkRecord::PLANNED
        };
        let planned = due(&visit, &item, &record(WorkState::Planned, None));
        assert_eq!(planned, Some(visit.at));
        let late = record(WorkState::Started, Some("2026-06-02T16:40:00+01:00"));
        let late = due(&visit, &item, &late).unwrap();
        assert_eq!((late - visit.at).num_minutes(), 40);
        let over = record(WorkState::Finished, Some("2026-06-02T16:00:00+01:00"));
        assert_eq!(due(&visit, &item, &over), None);
    }
}
