//! Readings made from a known number are fitted, and give that number back.

use model::units::Unit;
use scheduler::plan::WorkItem;
use serde_json::{Value, json};
use uuid::Uuid;

use super::*;
use crate::domain::plans::PlanId;
use crate::domain::readings::{Reading, ReadingId, ReadingKind};
use crate::domain::work::WorkRecord;

const START: &str = "2026-06-02T09:00:00+01:00";

fn after(minutes: f64) -> chrono::DateTime<chrono::FixedOffset> {
    let start = chrono::DateTime::parse_from_rfc3339(START).unwrap();
    start + chrono::Duration::milliseconds((minutes * 60_000.0) as i64)
}

fn reading(item: &WorkItem, kind: ReadingKind, minutes: f64, value: f64, unit: Unit) -> Reading {
    Reading {
        id: ReadingId(Uuid::now_v7()),
        plan: PlanId::new(),
        item: item.id.clone(),
        kind,
        value,
        unit,
        at: after(minutes),
        by: None,
        subject: None,
        note: None,
    }
}

fn batch(item: Value, kind: ReadingKind, unit: Unit, series: &[(f64, f64)]) -> Batch {
    let item: WorkItem = serde_json::from_value(item).unwrap();
    let readings = series
        .iter()
        .map(|(minutes, value)| reading(&item, kind, *minutes, *value, unit))
        .collect();
    Batch {
        item,
        record: WorkRecord::PLANNED,
        readings,
    }
}

fn boil(setup: &SetupDocument) -> Value {
    let pot = &setup.setup.pots[0];
    json!({ "id": "boil-1", "start": START, "end": after(180.0), "hands_min": 10.0, "kind": "boil",
        "route": setup.setup.routes[0].id, "pot": pot.id, "tap_l": 20.0, "agent_g": 1.0,
        "heat_to_c": 95.0, "heating_min": 40.0, "hold_min": 5.0, "air_mg_per_l": 8.0,
        "chill_at": after(120.0), "ice_in_kg": 0.0, "ice_bath_kg": 0.0, "chill_to_c": 20.0,
        "fill_from": after(150.0), "makes_l": 20.0, "left_l": 0.0 })
}

fn demo() -> (Site, SetupDocument) {
    let scenario = scheduler::sample::fixed();
    let document = SetupDocument {
        setup: scenario.setup,
        policy: scenario.policy,
    };
    (scenario.site, document)
}

/// Warming of 20 L of water and the pot by this part of the heater's power, read every half minute:
/// enough that the readings outweigh the theory. Water takes 4186 J and
/// steel 500 J for each kilogram and kelvin, about, so the test allows a few per cent.
fn warming(setup: &SetupDocument, part: f64) -> Vec<(f64, f64)> {
    let pot = &setup.setup.pots[0];
    let capacity = 20.0 * 4186.0 * 0.99 + pot.empty_kg.kilograms() * 500.0;
    let per_min = pot.power_w.watts() * part * 60.0 / capacity;
    let all = (0..200).map(|n| (f64::from(n) * 0.5, 15.0 + per_min * 0.5 * f64::from(n)));
    all.filter(|(_, celsius)| *celsius < 95.0).collect()
}

#[test]
fn a_heater_that_gives_less_is_found_out() {
    let (site, setup) = demo();
    let in_use = setup.setup.pots[0].efficiency.ratio();
    let part = in_use * 0.8;
    let series = warming(&setup, part);
    let one = batch(boil(&setup), ReadingKind::Temperature, Unit::C, &series);
    let alone = fitted(&site, &setup, std::slice::from_ref(&one));
    assert_eq!(alone[0].parameter, pot_parameter(&setup.setup.pots[0].id));
    let off = |found: &FittedParameter| (found.fitted - part).abs() / part;
    assert!(off(&alone[0]) < 0.06, "{:?}", alone[0]);
    assert!(alone[0].allowed);
    // Three batches that say the same are surer than one.
    let three = fitted(&site, &setup, &[one.clone(), one.clone(), one]);
    assert_eq!(three[0].batches, 3);
    assert!(three[0].spread < alone[0].spread);
    let mut accepted = setup.clone();
    put(&mut accepted, &three[0].parameter, three[0].fitted).unwrap();
    let now = accepted.setup.pots[0].efficiency.ratio();
    assert!((now - three[0].fitted).abs() < 1e-12);
    assert!(put(&mut accepted, "pots/none/efficiency", 0.5).is_err());
    assert!(put(&mut accepted, &three[0].parameter, 3.0).is_err());
}

#[test]
fn too_few_readings_say_nothing() {
    let (site, setup) = demo();
    let series = [(0.0, 15.0), (4.0, 20.0)];
    let two = batch(boil(&setup), ReadingKind::Temperature, Unit::C, &series);
    assert_eq!(fitted(&site, &setup, &[two]), []);
}

#[test]
fn shaking_is_fitted_from_contents_on_the_way() {
    let (site, mut setup) = demo();
    let station = &mut setup.setup.gas_stations[0];
    station.method = GasMethod::Shaken {
        kla_per_s: MassTransfer::of(0.004),
    };
    let truth = 0.006_f64;
    let target = 8.0;
    // Enough contents that they outweigh the theory.
    let series: Vec<(f64, f64)> = (1..=48)
        .map(|n| f64::from(n) / 6.0)
        .map(|minutes: f64| (minutes, target * (1.0 - (-truth * minutes * 60.0).exp())))
        .collect();
    let item = json!({ "id": "gas-1", "start": START, "end": after(20.0), "hands_min": 20.0,
        "kind": "gas", "station": station.id, "product": "plain", "keg_type": "keg-19", "kegs": 1,
        "store": "walk-in", "from": [], "syrup_l_each": 0.0, "purges": 3, "purge_bar": 2.0,
        "regulator_bar": 1.5, "hold_bar": 1.0, "uptake_min": 10.0, "target_g_per_l": target,
        "co2_g_each": 200.0, "ready_at": after(20.0) });
    let shaken = batch(item, ReadingKind::Carbonation, Unit::GPerL, &series);
    let found = fitted(&site, &setup, &[shaken]);
    assert_eq!(found[0].unit, "1/s");
    assert!(
        (found[0].fitted - truth).abs() / truth < 0.1,
        "{:?}",
        found[0]
    );
    assert!(found[0].fitted > found[0].in_use);
}

fn fill(setup: &SetupDocument) -> Value {
    json!({ "id": "fill-1", "start": START, "end": after(30.0), "hands_min": 20.0, "kind": "fill",
        "route": setup.setup.routes[0].id, "from": ["boil-1"],
        "keg_type": setup.setup.keg_types[0].id, "kegs": 2,
        "store": setup.setup.cold_stores[0].id, "litres_each": 18.0, "at_c": 20.0,
        "cold_at": after(900.0) })
}

/// Temperatures of a keg as Newton's law of cooling has them, every twenty minutes from when it is
/// filled.
fn chilling(setup: &SetupDocument, watts_per_kelvin: f64) -> Vec<(f64, f64)> {
    let keg = &setup.setup.keg_types[0];
    let capacity = keg.fill_l.litres() * 4186.0 * 0.999 + keg.empty_kg.kilograms() * 500.0;
    let air = setup.setup.cold_stores[0].air_c.celsius();
    let per_min = watts_per_kelvin * 60.0 / capacity;
    let all = (0..48).map(|n| f64::from(n) * 20.0);
    let all = all.map(|minutes| {
        (
            30.0 + minutes,
            air + (20.0 - air) * (-per_min * minutes).exp(),
        )
    });
    all.collect()
}

/// What the physics says of the heat that passes where the air moves this fast, halfway down.
fn passes(site: &Site, setup: &SetupDocument, speed: f64) -> f64 {
    let air = model::atmosphere::pressure_at(site.elevation_m).unwrap();
    let store = &setup.setup.cold_stores[0];
    let around = model::cooling::Surroundings {
        speed: AirSpeed::of(speed),
        ..scheduler::recipe::surroundings(store, air)
    };
    let keg = scheduler::recipe::container(&setup.setup.keg_types[0]).unwrap();
    let warm = model::Temperature::of(10.0);
    let found = model::cooling::conductance(&keg, warm, around).unwrap();
    found.watts_per_kelvin()
}

#[test]
fn a_store_whose_air_moves_faster_is_found_out() {
    let (site, setup) = demo();
    let in_use = setup.setup.cold_stores[0]
        .air_speed_m_per_s
        .metres_per_second();
    let truth = in_use + 1.5;
    let series = chilling(&setup, passes(&site, &setup, truth));
    let cooled = batch(fill(&setup), ReadingKind::Temperature, Unit::C, &series);
    let found = fitted(&site, &setup, &[cooled]);
    assert_eq!(found[0].unit, "m/s");
    assert!(found[0].allowed);
    // One conductance stands for one that weakens as the keg gets cold.
    let off = (found[0].fitted - truth).abs() / truth;
    assert!(off < 0.15, "{truth}: {:?}", found[0]);
    assert!(found[0].spread > 0.0);
    let mut accepted = setup.clone();
    put(&mut accepted, &found[0].parameter, found[0].fitted).unwrap();
    let now = accepted.setup.cold_stores[0].air_speed_m_per_s;
    assert!((now.metres_per_second() - found[0].fitted).abs() < 1e-12);
    assert!(put(&mut accepted, &found[0].parameter, 30.0).is_err());
}

#[test]
fn kegs_that_cool_as_no_air_could_cool_them_say_nothing() {
    let (site, setup) = demo();
    for watts_per_kelvin in [0.1, 200.0] {
        let series = chilling(&setup, watts_per_kelvin);
        let cooled = batch(fill(&setup), ReadingKind::Temperature, Unit::C, &series);
        assert_eq!(fitted(&site, &setup, &[cooled]), [], "{watts_per_kelvin}");
    }
}
