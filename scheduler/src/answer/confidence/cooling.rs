//! How long kegs cool, by the temperature of their store.

use model::{AbsolutePressure, Temperature};

use crate::recipe::{NoRecipe, container, surroundings};
use crate::scenario::{ColdStore, KegType};

/// Points of the table on either side of the store's own temperature.
const SIDE: i32 = 6;

/// Minutes that stand for a keg that never gets cold enough.
const NEVER: f64 = 1e7;

/// The air of a store.
#[derive(Clone, Copy)]
pub(super) struct StoreAir<'a> {
    pub(super) store: &'a ColdStore,
    /// The pressure of the site.
    pub(super) atmosphere: AbsolutePressure,
    /// Spread of its temperature, in kelvins.
    pub(super) spread_k: f64,
}

/// Minutes until a keg is cold, over the temperature of the air.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Cooling {
    /// Kelvins between two points.
    step: f64,
    minutes: Vec<f64>,
}

impl Cooling {
    /// The table of a keg filled at `from` in a store, over three times the spread of its air.
    pub(super) fn of(
        keg: &KegType,
        air: StoreAir<'_>,
        from: Temperature,
        wanted: Temperature,
    ) -> Result<Self, NoRecipe> {
        let step = (3.0 * air.spread_k / f64::from(SIDE)).max(1e-3);
        let container = container(keg)?;
        let mut minutes = Vec::new();
        for n in -SIDE..=SIDE {
            let mut around = surroundings(air.store, air.atmosphere);
            around.air = Temperature::new(around.air.celsius() + f64::from(n) * step)?;
            minutes.push(if from <= wanted {
                0.0
            } else if around.air >= wanted {
                NEVER
            } else {
                model::cooling::time_to(&container, around, from, wanted)?.minutes()
            });
        }
        Ok(Self { step, minutes })
    }

    /// Minutes at so many kelvins above the store's own temperature.
    pub(super) fn minutes(&self, above_k: f64) -> f64 {
        let side = f64::from(SIDE);
        let at = (above_k / self.step).clamp(-side, side) + side;
        let low = (at.floor() as usize).min(self.minutes.len() - 2);
        let part = at - low as f64;
        self.minutes[low] * (1.0 - part) + self.minutes[low + 1] * part
    }
}
