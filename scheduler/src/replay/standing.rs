//! Kegs that stand filled in a store at the start, and air they are too much for.
//!
//! While they give off more than the store can carry away, its air warms until they give off just
//! that much. They are followed in short steps until the air is back at its temperature.

use model::cooling::{self, Store, Stored};
use model::{Conductance, Error, Power, Temperature, TimeSpan};

use super::walk::{Walk, container};
use crate::scenario::{ColdStore, FilledKegs};

/// Minutes followed at a time.
const SHORT: usize = 5;

/// Kegs that stand filled in one store.
pub(super) struct Standing<'a> {
    store: Store,
    kegs: Vec<(&'a FilledKegs, Stored)>,
    /// Full steps until the air is at its temperature again, in minutes.
    pub warm_until: usize,
    /// Temperature of each group of kegs then.
    after: Vec<Temperature>,
    /// The warmest air, in °C.
    pub warmest_air: f64,
}

impl<'a> Standing<'a> {
    pub(super) fn of(walk: &Walk<'a>, store: &ColdStore) -> Result<Self, Error> {
        let cooled = Store {
            set_point: store.air_c,
            power: Power::new(store.cooling_w.watts())?,
            // The power is what is left over for kegs: walls and doors are not part of it.
            walls: Conductance::new(0.0)?,
            room: walk.scenario.site.room_c,
            speed: store.air_speed_m_per_s,
            atmosphere: walk.atmosphere,
        };
        let mut kegs = Vec::new();
        for filled in &walk.scenario.stock.filled {
            let mut types = walk.scenario.setup.keg_types.iter();
            let keg = types.find(|k| k.id == filled.keg_type);
            if let Some(keg) = keg.filter(|_| filled.store == store.id) {
                let stored = Stored {
                    container: container(keg)?,
                    temperature: filled.temperature_c,
                    count: u32::from(filled.kegs),
                };
                kegs.push((filled, stored));
            }
        }
        let mut contents: Vec<Stored> = kegs.iter().map(|(_, stored)| *stored).collect();
        let mut air = cooling::air(&cooled, &contents)?;
        let warmest_air = air.temperature.celsius();
        let mut minute = 0;
        let short = TimeSpan::from_minutes(SHORT as f64)?;
        while (air.overloaded || minute % walk.grid != 0) && minute < walk.minutes {
            air = cooling::run(&cooled, &mut contents, short)?;
            minute += SHORT;
        }
        Ok(Self {
            store: cooled,
            kegs,
            warm_until: minute,
            after: contents.iter().map(|stored| stored.temperature).collect(),
            warmest_air,
        })
    }

    /// Each group of kegs, with its temperature when the air is right.
    pub(super) fn groups(&self) -> impl Iterator<Item = (&'a FilledKegs, Temperature)> {
        self.kegs
            .iter()
            .zip(&self.after)
            .map(|((filled, _), after)| (*filled, *after))
    }

    /// Temperature of a group of kegs after some minutes.
    pub(super) fn at(&self, filled: &FilledKegs, minutes: usize) -> Result<Temperature, Error> {
        let group = self.kegs.iter().position(|(f, _)| *f == filled);
        let Some(group) = group else {
            return Ok(filled.temperature_c);
        };
        if minutes < self.warm_until {
            let mut contents: Vec<Stored> = self.kegs.iter().map(|(_, stored)| *stored).collect();
            let time = TimeSpan::from_minutes(minutes as f64)?;
            cooling::run(&self.store, &mut contents, time)?;
            return Ok(contents[group].temperature);
        }
        let rest = TimeSpan::from_minutes((minutes - self.warm_until) as f64)?;
        let around = cooling::Surroundings {
            air: self.store.set_point,
            speed: self.store.speed,
            atmosphere: self.store.atmosphere,
        };
        let container = &self.kegs[group].1.container;
        Ok(cooling::after(container, around, self.after[group], rest)?.temperature)
    }
}
