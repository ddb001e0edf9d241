//! What one replay draws: how far each thing is from what the plan reckons with.

use super::floor::Floor;
use super::spreads::{Draws, Spreads};
use crate::scenario::DemandKind;

/// How far each thing is from what the plan reckons with, in one replay.
pub(super) struct Luck {
    /// Factor of each pot's heating time, tap water included.
    pub heating: Vec<f64>,
    /// Factor of each store's cooling time, and kelvins its air is warmer.
    pub stores: Vec<(f64, f64)>,
    /// Factor of each gassing point's uptake time.
    pub uptake: Vec<f64>,
    pub ice_rate: f64,
    pub bar_draw: f64,
    /// Factors of each item's hands and ice.
    pub hands: Vec<f64>,
    pub ice_need: Vec<f64>,
    /// Litres each line of demand wants.
    pub wanted: Vec<f64>,
}

impl Luck {
    /// Draws a replay's luck. Every number is drawn whatever the spreads, so that changing one
    /// spread leaves the others' luck as it was.
    pub(super) fn draw(
        floor: &Floor,
        shaken: &[bool],
        spreads: &Spreads,
        mut draws: Draws,
    ) -> Self {
        let tap = draws.difference(spreads.tap_water_k);
        let span = (floor.heat_to_c - floor.tap_c).max(1.0);
        let water = (span - tap).max(0.0) / span;
        let heating = (0..floor.pots).map(|_| draws.factor(spreads.heating) * water);
        let heating = heating.collect();
        let stores = (0..floor.stores).map(|_| {
            (
                draws.factor(spreads.cooling),
                draws.difference(spreads.store_air_k),
            )
        });
        let stores = stores.collect();
        let uptake = shaken.iter().map(|shaken| {
            draws.factor(if *shaken {
                spreads.shaking
            } else {
                spreads.resting
            })
        });
        let uptake = uptake.collect();
        let ice_rate = draws.factor(spreads.ice_rate);
        let bar_draw = draws.factor(spreads.bar_draw);
        let hands = floor
            .ids
            .iter()
            .map(|_| draws.factor(spreads.hands))
            .collect();
        let ice_need = floor
            .ids
            .iter()
            .map(|_| draws.factor(spreads.ice_need))
            .collect();
        let wanted = floor.lines.iter().map(|(litres, kind)| {
            litres
                * draws.factor(match kind {
                    DemandKind::Forecast => spreads.forecast,
                    DemandKind::Booking => spreads.booking,
                })
        });
        let wanted = wanted.collect();
        Self {
            heating,
            stores,
            uptake,
            ice_rate,
            bar_draw,
            hands,
            ice_need,
            wanted,
        }
    }

    /// Everything is as planned.
    pub(super) fn as_planned(floor: &Floor) -> Self {
        Self {
            heating: vec![1.0; floor.pots],
            stores: vec![(1.0, 0.0); floor.stores],
            uptake: vec![1.0; floor.stations.len()],
            ice_rate: 1.0,
            bar_draw: 1.0,
            hands: vec![1.0; floor.ids.len()],
            ice_need: vec![1.0; floor.ids.len()],
            wanted: floor.lines.iter().map(|(litres, _)| *litres).collect(),
        }
    }
}
