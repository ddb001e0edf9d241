//! A plan for the quiet days, made by hand.

use super::fixture::{at, id};
use crate::plan::{
    BoilStep, DiscardStep, FillStep, GasStep, IceStep, Plan, ReturnStep, Served, Source, StaleStep,
    Status, Step, TapStep, Verdict, WashStep, WorkId, WorkItem,
};
use crate::scenario::{DemandKind, Scenario};

/// A day, an hour and a minute.
type When = (i64, i64, i64);

pub(super) fn plan(scenario: &Scenario) -> Plan {
    Plan {
        site: scenario.site.id.clone(),
        start: scenario.horizon.start,
        end: at(4, 6, 0),
        grid_minutes: 30,
        verdict: Verdict {
            status: Status::Optimal,
            worth: 0.0,
            bound: 0.0,
            gap: 0.0,
            cost: 0.0,
            currency: "EUR".to_owned(),
            served_l: 45.5,
            short_l: 2.5,
            kegs_gassed: 3,
            boils: 1,
            replayed_minutes: 0,
        },
        services: vec![
            served("tue-plain", "plain-soda", 1, (12.0, 12.0)),
            served("wed-plain", "plain-soda", 2, (18.0, 18.0)),
            served("wed-tonic", "tonic", 2, (10.0, 10.0)),
            // Two kegs yield 18.5 L less 3 % each: 35.89 L, of which 30 L are gone.
            served("thu-plain", "plain-soda", 3, (8.0, 5.5)),
        ],
        work: work(),
        needs: Vec::new(),
        reserves: Vec::new(),
    }
}

fn served(demand: &str, product: &str, day: i64, (wanted_l, served_l): (f64, f64)) -> Served {
    Served {
        demand: id(demand),
        product: id(product),
        due: at(day, 17, 0),
        kind: DemandKind::Forecast,
        wanted_l,
        served_l,
        short_l: wanted_l - served_l,
        instead: Vec::new(),
        why: Vec::new(),
    }
}

fn work() -> Vec<WorkItem> {
    vec![
        item(("boil", 1), (0, 9, 0), (0, 11, 30), 20.0, boil()),
        item(("wash", 1), (0, 9, 30), (0, 10, 0), 12.0, wash("keg-19", 2)),
        item(("fill", 1), (0, 10, 0), (0, 10, 30), 10.0, fill(2)),
        item(("fill", 2), (0, 10, 30), (0, 11, 0), 5.0, fill(1)),
        item(("stale", 1), (0, 18, 0), (0, 18, 0), 0.0, stale()),
        item(("ice", 1), (1, 9, 0), (1, 9, 0), 0.0, ice()),
        item(
            ("return", 1),
            (1, 9, 0),
            (1, 9, 0),
            0.0,
            back("ginger-soda", "keg-9"),
        ),
        item(("discard", 1), (1, 9, 0), (1, 9, 0), 0.0, discard()),
        item(("gas", 1), (1, 9, 0), (2, 9, 30), 8.0, rested()),
        item(("gas", 2), (1, 9, 30), (1, 10, 0), 16.74, shaken()),
        item(("gas", 3), (1, 10, 30), (1, 11, 0), 16.74, sweet()),
        item(("wash", 2), (1, 11, 0), (1, 11, 30), 6.0, wash("keg-9", 1)),
        item(
            ("tap", 1),
            (1, 17, 0),
            (1, 17, 0),
            0.0,
            tap("plain-soda", Some(2), 1.64),
        ),
        item(
            ("tap", 2),
            (2, 17, 0),
            (2, 17, 0),
            0.0,
            tap("plain-soda", Some(1), 1.64),
        ),
        item(
            ("tap", 3),
            (2, 17, 0),
            (2, 17, 0),
            0.0,
            tap("tonic", None, 1.78),
        ),
        item(
            ("return", 2),
            (3, 9, 0),
            (3, 9, 0),
            0.0,
            back("plain-soda", "keg-19"),
        ),
        item(("wash", 3), (3, 9, 30), (3, 10, 0), 6.0, wash("keg-19", 1)),
    ]
}

fn item(
    (kind, number): (&str, usize),
    (day, hour, minute): When,
    end: When,
    hands_min: f64,
    step: Step,
) -> WorkItem {
    WorkItem {
        id: WorkId::new(kind, number),
        start: at(day, hour, minute),
        end: at(end.0, end.1, end.2),
        hands_min,
        step,
        cautions: Vec::new(),
    }
}

/// Heat balance by hand, with handbook enthalpies in kJ/kg (water of 94 °C 393.8, of 20 °C 83.9,
/// of 17 °C 71.4, ice of -3 °C -339.7). 55.5 L of 20 °C are 55.40 kg: hot water and ice. A kilogram of
/// hot water gives 309.9 kJ, the pot's 9 kg of steel 9 × 0.5 × 74 = 333 kJ, and a kilogram of ice
/// takes 423.6 kJ: (55.40 × 309.9 + 333) / 733.5 = 23.86 kg of ice and 31.54 kg of water (31.58 L
/// from the tap). Heating takes 31.54 kg × 322.4 kJ and 9 kg × 0.5 kJ/K × 77 K, at 4500 W × 0.85:
/// 45.8 min.
///
/// Agent: 0.7 mg/L × 31.58 L × 2.794 × 1.1. Air: 2.7 mg in each of 32.8 hot litres, 12 mg/kg in the
/// ice.
fn boil() -> Step {
    Step::Boil(BoilStep {
        route: id("half-ice"),
        pot: id("large-pot"),
        tap_l: 31.58,
        agent_g: 0.07,
        agent_ml: Some(7.0),
        heat_to_c: 94.0,
        heating_min: 45.8,
        hold_min: 5.0,
        air_mg_per_l: 6.8,
        chill_at: at(0, 10, 0),
        ice_in_kg: 23.86,
        ice_bath_kg: 0.0,
        chill_to_c: 20.0,
        fill_from: at(0, 10, 0),
        makes_l: 55.5,
        left_l: 0.0,
    })
}

/// 79 kJ/K lose 18 K down to 2 K over the air at about 4 W/K: 12 hours.
fn fill(kegs: u32) -> Step {
    Step::Fill(FillStep {
        route: id("half-ice"),
        from: vec![WorkId::new("boil", 1)],
        keg_type: id("keg-19"),
        kegs,
        store: id("walk-in"),
        litres_each: 18.5,
        at_c: 20.0,
        air_mg_per_l: None,
        blanket: None,
        cold_at: at(1, 0, 0),
    })
}

/// A pressure whose equilibrium is about twice the target. The keg has 2.3 °C when it is coupled,
/// and 19.0 mg/L of air: 6.8 of the boil, and 22.5 h under air, of which Cole & Caraco's transfer at
/// a calm surface brings 12.2 (`tests/crosscheck/plan.py`, in steps of ten minutes). There too the
/// law of the still keg gives 7.40 g/L after a day at 4.42 bar.
/// CO2: 7.4 g/L × 18.5 L, 1 L of gas at 5.4 bar, and 3 purges of 1 L from 3 to 1 bar.
fn rested() -> Step {
    gas("resting-rack", (24.0 * 60.0, 4.42), 159.5, (2, 9, 30))
}

/// Pressures by hand, from the solubility of Weiss 1974: 7.4 g/L at the store's 2 °C need 2.43 bar
/// of CO2; 0.2 bar of air (355 mg between 18.5 L of water and 1 L of gas, and what three purges
/// leave) and the site's 1.006 bar make it 1.64 bar on the gauge. When it is shaken the keg has
/// 2.25 °C, which takes 1.66 bar.
///
/// 97 % of the way at 0.006 per second: ln(1 / 0.03) / 0.006 = 584 s. CO2: 7.4 g/L × 18.5 L, 1 L of
/// gas at 2.8 bar, and 3 purges of 1 L from 3 to 1 bar.
fn shaken() -> Step {
    gas("shaking-bench", (9.74, 1.66), 154.0, (1, 10, 0))
}

fn gas(station: &str, (uptake_min, regulator_bar): (f64, f64), co2: f64, ready: When) -> Step {
    Step::Gas(GasStep {
        station: id(station),
        product: id("plain-soda"),
        keg_type: id("keg-19"),
        kegs: 1,
        store: id("walk-in"),
        from: vec![source(Some(("fill", 1)))],
        syrup: None,
        syrup_l_each: 0.0,
        ingredients: Vec::new(),
        purges: 3,
        purge_bar: 2.0,
        regulator_bar,
        hold_bar: 1.64,
        uptake_min,
        target_g_per_l: 7.4,
        air_mg_per_l: None,
        co2_g_each: co2,
        ready_at: at(ready.0, ready.1, ready.2),
    })
}

/// 125 mL of syrup in a litre; sugar raises the pressure, to 1.49 bar at the
/// store's 3 °C with 20 mg/L of air, the middle of what a keg may hold that nobody saw filled.
/// 6.2 g/L × 18.5 L of CO2 and the gas.
fn sweet() -> Step {
    Step::Gas(GasStep {
        station: id("shaking-bench"),
        product: id("ginger-soda"),
        keg_type: id("keg-19"),
        kegs: 1,
        store: id("under-counter"),
        from: vec![source(None)],
        syrup: Some(id("ginger-syrup")),
        syrup_l_each: 2.3125,
        ingredients: Vec::new(),
        purges: 3,
        purge_bar: 2.0,
        regulator_bar: 1.54,
        hold_bar: 1.49,
        uptake_min: 9.74,
        target_g_per_l: 6.2,
        air_mg_per_l: None,
        co2_g_each: 132.0,
        ready_at: at(1, 11, 0),
    })
}

fn tap(product: &str, gas: Option<usize>, serve_bar: f64) -> Step {
    Step::Tap(TapStep {
        product: id(product),
        keg_type: id("keg-19"),
        kegs: 1,
        store: id("walk-in"),
        from: vec![source(gas.map(|n| ("gas", n)))],
        serve_bar,
    })
}

fn source(item: Option<(&str, usize)>) -> Source {
    Source {
        item: item.map(|(kind, number)| WorkId::new(kind, number)),
        kegs: 1,
    }
}

fn stale() -> Step {
    Step::Stale(StaleStep {
        product: id("ginger-soda"),
        keg_type: id("keg-9"),
        litres: 3.0,
    })
}

fn ice() -> Step {
    Step::Ice(IceStep {
        kg: 20.0,
        order_by: at(0, 13, 0),
    })
}

fn back(product: &str, keg_type: &str) -> Step {
    Step::Return(ReturnStep {
        product: id(product),
        keg_type: id(keg_type),
        kegs: 1,
    })
}

fn discard() -> Step {
    Step::Discard(DiscardStep {
        product: id("mineral-soda"),
        keg_type: id("keg-9"),
        kegs: 1,
        store: id("under-counter"),
    })
}

fn wash(keg_type: &str, kegs: u32) -> Step {
    Step::Wash(WashStep {
        keg_type: id(keg_type),
        kegs,
    })
}
