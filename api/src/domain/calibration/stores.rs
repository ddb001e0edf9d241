//! How a cold store really cools: the speed of its air that explains how kegs got cold.

use model::calibration::{self, CoolingLog, TemperatureReading};
use model::cooling::{self, Container, Surroundings};
use model::units::Unit;
use model::{AirSpeed, Conductance, Temperature};
use scheduler::plan::{FillStep, Step};
use scheduler::recipe;
use scheduler::scenario::{Setup, Site};

use super::Fit;
use super::batches::{Batch, temperatures};
use crate::domain::readings::ReadingKind;

/// Speeds of air between which the one that explains the readings is looked for, m/s: the least and
/// the largest the setup may hold.
const SPEEDS: (f64, f64) = (0.0, 20.0);

/// Halvings of that range; the last is below a millionth of it.
const HALVINGS: usize = 24;

/// Fits after which a conductance no longer depends on where it started: each leaves at most three
/// quarters of the difference.
const REPEATS: usize = 24;

/// The speed of a store's air, by temperatures of the kegs of one filling. The first reading after
/// the kegs are filled is the start; a reading counts for each keg alike.
pub(super) fn air(site: &Site, setup: &Setup, batch: &Batch) -> Option<Fit> {
    let Step::Fill(FillStep {
        keg_type, store, ..
    }) = &batch.item.step
    else {
        return None;
    };
    let keg = setup.keg_types.iter().find(|known| known.id == *keg_type)?;
    let store = setup.cold_stores.iter().find(|known| known.id == *store)?;
    let series = batch.series(ReadingKind::Temperature, Unit::C, batch.over());
    let (first, start) = *series.first()?;
    let later: Vec<(f64, f64)> = series[1..]
        .iter()
        .map(|(seconds, celsius)| (seconds - first, *celsius))
        .collect();
    let atmosphere = model::atmosphere::pressure_at(site.elevation_m).ok()?;
    let cooled = Cooled {
        container: recipe::container(keg).ok()?,
        around: recipe::surroundings(store, atmosphere),
        start: Temperature::new(start).ok()?,
        readings: temperatures(&later)?,
    };
    let in_use = store.air_speed_m_per_s;
    let theory = cooled.conductance_at(in_use)?;
    let found = calibration::conductance(&cooled.log(), &cooled.readings, theory).ok()?;
    let value = cooled.speed_for(found.value.watts_per_kelvin())?;
    let other = cooled.speed_for(found.value.watts_per_kelvin() + found.spread)?;
    Some(Fit {
        parameter: format!("cold_stores/{}/air_speed", store.id),
        unit: "m/s",
        in_use: in_use.metres_per_second(),
        value,
        spread: other - value,
        readings: found.readings,
        over: found.over,
        lowest: found.lowest,
        highest: found.highest,
    })
}

/// Kegs that were measured while they cooled.
struct Cooled {
    container: Container,
    around: Surroundings,
    start: Temperature,
    readings: Vec<TemperatureReading>,
}

impl Cooled {
    fn log(&self) -> CoolingLog {
        CoolingLog {
            load: self.container.load,
            surroundings: self.around.air,
            start: self.start,
        }
    }

    /// The one conductance that explains best what the physics says the readings would be in air of
    /// this speed. What is measured is explained by one conductance too, so the two compare,
    /// although heat really passes less easily the colder the keg is.
    fn conductance_at(&self, speed: AirSpeed) -> Option<Conductance> {
        let around = Surroundings {
            speed,
            ..self.around
        };
        let would_be: Option<Vec<TemperatureReading>> = self
            .readings
            .iter()
            .map(|reading| {
                let then = cooling::after(&self.container, around, self.start, reading.time);
                Some(TemperatureReading {
                    time: reading.time,
                    temperature: then.ok()?.temperature,
                })
            })
            .collect();
        let would_be = would_be?;
        let mut found = cooling::conductance(&self.container, self.start, around).ok()?;
        for _ in 0..REPEATS {
            let fit = calibration::conductance(&self.log(), &would_be, found).ok()?;
            found = fit.value;
        }
        Some(found)
    }

    /// The speed of air at which the physics gives this conductance, m/s; none if there is no such.
    fn speed_for(&self, watts_per_kelvin: f64) -> Option<f64> {
        let above = |speed: f64| {
            let found = self.conductance_at(AirSpeed::new(speed).ok()?)?;
            Some(found.watts_per_kelvin() > watts_per_kelvin)
        };
        let (mut low, mut high) = SPEEDS;
        if above(low)? || !above(high)? {
            return None;
        }
        for _ in 0..HALVINGS {
            let middle = f64::midpoint(low, high);
            if above(middle)? {
                high = middle;
            } else {
                low = middle;
            }
        }
        Some(f64::midpoint(low, high))
    }
}
