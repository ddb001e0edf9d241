//! One batch of work with its readings, fitted by the model.

use chrono::{DateTime, FixedOffset};
use model::calibration::{
    self, ContentReading, CoolingLog, Estimate, HeatingLog, TemperatureReading,
};
use model::heating::Heater;
use model::units::{Unit, converted};
use model::{Carbonation, Conductance, Fraction, Load, Mass, Power, Temperature, TimeSpan, Volume};
use scheduler::plan::{BoilStep, GasStep, Step, WorkItem};
use scheduler::scenario::{Chill, GasMethod, Pot, Route, Setup, Site};

use super::{Fit, pot_parameter, stores};
use crate::domain::readings::{Reading, ReadingKind};
use crate::domain::work::WorkRecord;

/// A work item that was done, and what was measured.
#[derive(Debug, Clone)]
pub(crate) struct Batch {
    pub(crate) item: WorkItem,
    pub(crate) record: WorkRecord,
    pub(crate) readings: Vec<Reading>,
}

/// Everything the readings of a batch say about numbers of the setup. Too few readings, or such
/// that no number can explain, say nothing.
pub(super) fn fits(site: &Site, setup: &Setup, batch: &Batch) -> Vec<Fit> {
    match &batch.item.step {
        Step::Boil(_) => heater(site, setup, batch)
            .into_iter()
            .chain(bath(setup, batch))
            .collect(),
        Step::Fill(_) => stores::air(site, setup, batch).into_iter().collect(),
        Step::Gas(_) => uptake(setup, batch).into_iter().collect(),
        _ => Vec::new(),
    }
}

impl Batch {
    pub(super) fn begun(&self) -> DateTime<FixedOffset> {
        self.record.started_at.unwrap_or(self.item.start)
    }

    /// When it was over.
    pub(super) fn over(&self) -> DateTime<FixedOffset> {
        let planned = self.item.end + self.late();
        self.record.ended_at.unwrap_or(planned)
    }

    /// How much later than planned it began.
    fn late(&self) -> chrono::Duration {
        self.begun() - self.item.start
    }

    /// Readings of a kind in a unit, in order of time, with seconds since an instant.
    pub(super) fn series(
        &self,
        kind: ReadingKind,
        unit: Unit,
        since: DateTime<FixedOffset>,
    ) -> Vec<(f64, f64)> {
        let of_kind = self.readings.iter().filter(|reading| reading.kind == kind);
        let timed = of_kind.map(|reading| {
            let seconds = (reading.at - since).num_milliseconds() as f64 / 1000.0;
            (seconds, converted(reading.value, reading.unit, unit))
        });
        timed.filter(|(seconds, _)| *seconds >= 0.0).collect()
    }
}

pub(super) fn temperatures(series: &[(f64, f64)]) -> Option<Vec<TemperatureReading>> {
    let read = |(seconds, celsius): &(f64, f64)| {
        Some(TemperatureReading {
            time: TimeSpan::new(*seconds).ok()?,
            temperature: Temperature::new(*celsius).ok()?,
        })
    };
    series.iter().map(read).collect()
}

fn load(pot: &Pot, litres: f64) -> Option<Load> {
    Some(Load {
        liquid: Volume::new(litres).ok()?,
        steel: Mass::new(pot.empty_kg.kilograms()).ok()?,
    })
}

/// The part of the heater's power that reaches the water while it warms, losses included, as the
/// setup counts it.
fn heater(site: &Site, setup: &Setup, batch: &Batch) -> Option<Fit> {
    let Step::Boil(BoilStep {
        pot,
        tap_l,
        heat_to_c,
        chill_at,
        ..
    }) = &batch.item.step
    else {
        return None;
    };
    let pot = setup.pots.iter().find(|known| known.id == *pot)?;
    let until = (*chill_at + batch.late() - batch.begun()).num_seconds() as f64;
    let mut series = batch.series(ReadingKind::Temperature, Unit::C, batch.begun());
    series.retain(|(seconds, _)| *seconds <= until);
    // What is kept hot warms no further.
    let hot = series
        .iter()
        .position(|(_, celsius)| *celsius >= heat_to_c - 0.5);
    series.truncate(hot.map_or(series.len(), |hot| hot + 1));
    let log = HeatingLog {
        load: load(pot, *tap_l)?,
        room: site.room_c,
    };
    let theory = Heater {
        power: Power::new(pot.power_w.watts()).ok()?,
        efficiency: Fraction::new(pot.efficiency.ratio()).ok()?,
        loss: Conductance::of(0.0),
        room: site.room_c,
    };
    let found = calibration::heater(&log, &temperatures(&series)?, &theory).ok()?;
    let above = f64::midpoint(found.gain.lowest, found.gain.highest);
    let power = pot.power_w.watts();
    let net = found.gain.value.watts() - found.loss.value.watts_per_kelvin() * above;
    let spread = found.gain.spread.hypot(found.loss.spread * above);
    Some(Fit {
        parameter: pot_parameter(&pot.id),
        unit: "",
        in_use: pot.efficiency.ratio(),
        value: net / power,
        spread: spread / power,
        readings: found.gain.readings,
        over: found.gain.over,
        lowest: found.gain.lowest,
        highest: found.gain.highest,
    })
}

/// Heat a pot gives to an ice bath per kelvin. The first reading after chilling began is the start.
fn bath(setup: &Setup, batch: &Batch) -> Option<Fit> {
    let Step::Boil(BoilStep {
        route,
        pot,
        tap_l,
        chill_at,
        fill_from,
        ..
    }) = &batch.item.step
    else {
        return None;
    };
    let pot = setup.pots.iter().find(|known| known.id == *pot)?;
    let route: &Route = setup.routes.iter().find(|known| known.id == *route)?;
    let Chill::IceBath {
        conductance_w_per_k,
        ..
    } = &route.chill
    else {
        return None;
    };
    let from = *chill_at + batch.late();
    let until = (*fill_from + batch.late() - from).num_seconds() as f64;
    let mut series = batch.series(ReadingKind::Temperature, Unit::C, from);
    series.retain(|(seconds, _)| *seconds <= until);
    let (first, start) = *series.first()?;
    let later: Vec<(f64, f64)> = series[1..]
        .iter()
        .map(|(seconds, celsius)| (seconds - first, *celsius))
        .collect();
    let log = CoolingLog {
        load: load(pot, *tap_l)?,
        surroundings: Temperature::of(0.0),
        start: Temperature::new(start).ok()?,
    };
    let found =
        calibration::conductance(&log, &temperatures(&later)?, *conductance_w_per_k).ok()?;
    Some(fit(
        format!("routes/{}/conductance", route.id),
        "W/K",
        conductance_w_per_k.watts_per_kelvin(),
        &found,
        found.value.watts_per_kelvin(),
    ))
}

/// How fast kegs that are shaken take up CO2, by contents measured on the way to their target.
fn uptake(setup: &Setup, batch: &Batch) -> Option<Fit> {
    let Step::Gas(GasStep {
        station,
        target_g_per_l,
        ..
    }) = &batch.item.step
    else {
        return None;
    };
    let station = setup
        .gas_stations
        .iter()
        .find(|known| known.id == *station)?;
    let GasMethod::Shaken { kla_per_s } = &station.method else {
        return None;
    };
    let series = batch.series(ReadingKind::Carbonation, Unit::GPerL, batch.begun());
    let read = |(seconds, content): &(f64, f64)| {
        Some(ContentReading {
            time: TimeSpan::new(*seconds).ok()?,
            content: Carbonation::new(*content).ok()?,
        })
    };
    let readings: Option<Vec<ContentReading>> = series.iter().map(read).collect();
    let target = Carbonation::new(*target_g_per_l).ok()?;
    let found =
        calibration::mass_transfer(&readings?, Carbonation::NONE, target, *kla_per_s).ok()?;
    Some(fit(
        format!("gas_stations/{}/uptake", station.id),
        "1/s",
        kla_per_s.per_second(),
        &found,
        found.value.per_second(),
    ))
}

fn fit<Q>(
    parameter: String,
    unit: &'static str,
    in_use: f64,
    found: &Estimate<Q>,
    value: f64,
) -> Fit {
    Fit {
        parameter,
        unit,
        in_use,
        value,
        spread: found.spread,
        readings: found.readings,
        over: found.over,
        lowest: found.lowest,
        highest: found.highest,
    }
}
