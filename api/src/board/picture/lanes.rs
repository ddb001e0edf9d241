//! Lanes one under the other, and ribbons packed into them so that none lies on another.

use scheduler::scenario::Scenario;

use super::axis::View;
use super::streams::{Hold, Lane};

/// Units between two ribbons.
const GAP: f64 = 1.5;
/// The least height of a lane, so that its name can be read.
const LOWEST: f64 = 30.0;
/// Height that the ribbons of all lanes may take together.
const ALL: f64 = 440.0;
/// Units between two lanes.
const BETWEEN: f64 = 8.0;

/// A lane and where it is.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Placed {
    pub(super) lane: Lane,
    pub(super) name: String,
    pub(super) y: f64,
    pub(super) height: f64,
}

/// Where ribbons are: for each hold its top and its height; none for what is not shown.
pub(super) struct Layout {
    pub(super) lanes: Vec<Placed>,
    pub(super) ribbons: Vec<Option<(f64, f64)>>,
    pub(super) bottom: f64,
    /// Height of a litre.
    pub(super) litre: f64,
}

/// The lanes of a site, in the order in which water passes them.
fn lanes(scenario: &Scenario) -> Vec<(Lane, String)> {
    let setup = &scenario.setup;
    let pots = setup.pots.iter();
    let pots = pots.map(|pot| (Lane::Pot(pot.id.to_string()), pot.name.clone()));
    let stores = setup.cold_stores.iter();
    let stores = stores.map(|s| (Lane::Store(s.id.to_string()), s.name.clone()));
    let stations = setup.gas_stations.iter();
    let stations = stations.map(|s| (Lane::Station(s.id.to_string()), s.name.clone()));
    let last = [
        (Lane::Ready, "Ready, cold".to_owned()),
        (Lane::Tap, "On tap".to_owned()),
    ];
    pots.chain(stores).chain(stations).chain(last).collect()
}

/// Packs what is shown into its lanes, from `top` on.
pub(super) fn layout(scenario: &Scenario, holds: &[Hold], view: &View, top: f64) -> Layout {
    let lanes = lanes(scenario);
    let shown = |lane: &Lane| -> Vec<usize> {
        let mut found: Vec<usize> = (0..holds.len())
            .filter(|n| holds[*n].lane == *lane && view.shows(holds[*n].from, holds[*n].to))
            .collect();
        found.sort_by_key(|n| (holds[*n].from, holds[*n].to));
        found
    };
    let deep: f64 = lanes
        .iter()
        .map(|(lane, _)| depth(&packed(holds, &shown(lane), 1.0, 0.0)))
        .sum();
    let litre = (ALL / deep.max(1.0)).clamp(0.12, 0.6);
    let mut ribbons = vec![None; holds.len()];
    let mut placed = Vec::new();
    let mut y = top;
    for (lane, name) in lanes {
        let packed = packed(holds, &shown(&lane), litre, GAP);
        let height = depth(&packed).max(LOWEST);
        // Where a lane has room to spare, its ribbons stand in the middle.
        let above = (height - depth(&packed)).max(0.0) / 2.0;
        for (hold, at, high) in packed {
            ribbons[hold] = Some((y + above + at, high));
        }
        placed.push(Placed {
            lane,
            name,
            y,
            height,
        });
        y += height + BETWEEN;
    }
    Layout {
        lanes: placed,
        ribbons,
        bottom: y - BETWEEN,
        litre,
    }
}

fn depth(packed: &[(usize, f64, f64)]) -> f64 {
    packed.iter().map(|(_, y, h)| y + h).fold(0.0, f64::max)
}

/// Each hold's top and height: the highest place at which nothing stands at the same time.
fn packed(holds: &[Hold], shown: &[usize], litre: f64, gap: f64) -> Vec<(usize, f64, f64)> {
    let mut found: Vec<(usize, f64, f64)> = Vec::new();
    for &hold in shown {
        let height = (holds[hold].litres * litre).max(3.0 * gap);
        let together =
            |other: usize| holds[other].from < holds[hold].to && holds[hold].from < holds[other].to;
        let mut taken: Vec<(f64, f64)> = found
            .iter()
            .filter(|(other, _, _)| together(*other))
            .map(|(_, y, h)| (*y, y + h + gap))
            .collect();
        taken.sort_by(|a, b| a.0.total_cmp(&b.0));
        let mut y = 0.0;
        for (from, to) in taken {
            if from >= y + height + gap {
                break;
            }
            y = to.max(y);
        }
        found.push((hold, y, height));
    }
    found
}
