//! Circuits, crates of bottles, water that stands, and stores that are overloaded at the start.

use model::{GaugePressure, Temperature};
use scheduler::plan::{BoilStep, FillStep, Step};
use scheduler::scenario::quantities::{
    ContainerVolume, CoolingPower, HeaterPower, OuterLength, PlacesPerContainer, StepMinutes,
    VesselMass,
};
use scheduler::scenario::{Circuit, ContainerMaterial, EmptyKegs, FilledKegs, KegType, Scenario};

use crate::base::{at, blamed, gassed, id, of_kind, planned, served, small, wanted};

fn on_one_circuit(watts: f64) -> Scenario {
    let mut scenario = small();
    // Early, so that both pots are wanted at once.
    wanted(&mut scenario, "plain-soda", (0, 11), 90.0);
    scenario.stock.ice_kg = scheduler::scenario::quantities::StockMass::of(105.0);
    scenario.setup.circuits = vec![Circuit {
        id: id("ring"),
        name: "Ring main".to_owned(),
        power_w: HeaterPower::new(watts).unwrap(),
    }];
    for pot in &mut scenario.setup.pots {
        pot.circuit = Some(id("ring"));
    }
    scenario
}

#[test]
fn pots_on_one_circuit_take_turns() {
    let (enough, short) = (
        planned(&on_one_circuit(7500.0)),
        planned(&on_one_circuit(5000.0)),
    );
    assert!(served(&short) < served(&enough) - 10.0);
    blamed(&short, "power of ring");
    let more = &short.services[0].why;
    assert!(
        more.iter().any(|r| r.one_more == "4500 W more power"),
        "{more:?}"
    );
}

/// 1.5 L bottles, twelve in a crate that takes one place.
fn bottles() -> KegType {
    KegType {
        id: id("bottle"),
        name: "1.5 L plastic bottle".to_owned(),
        material: ContainerMaterial::Pet,
        brim_l: ContainerVolume::of(1.55),
        fill_l: ContainerVolume::of(1.45),
        empty_kg: VesselMass::of(0.05),
        diameter_m: OuterLength::of(0.09),
        height_m: OuterLength::of(0.32),
        rating_bar: GaugePressure::of(8.0),
        hottest_fill_c: Temperature::of(30.0),
        places: PlacesPerContainer::new(1.0 / 12.0).unwrap(),
        per_crate: Some(12),
        fill_min: Some(StepMinutes::of(0.5)),
    }
}

fn bottled() -> Scenario {
    let mut scenario = small();
    scenario.setup.keg_types.push(bottles());
    scenario.setup.gas_stations[0].keg_types = vec![id("keg-19"), id("bottle")];
    scenario.setup.gas_stations[0].connections = 24;
    scenario.setup.gas_stations[0].couple_min = StepMinutes::of(1.0);
    scenario.setup.products[0].keg_types = vec![id("bottle")];
    scenario.stock.empty.push(EmptyKegs {
        keg_type: id("bottle"),
        clean: 60,
        dirty: 0,
    });
    wanted(&mut scenario, "plain-soda", (1, 17), 20.0);
    scenario
}

#[test]
fn bottles_are_filled_by_the_crate_and_cool() {
    let plan = planned(&bottled());
    let mut filled = 0;
    for fill in of_kind(&plan, "fill") {
        let Step::Fill(FillStep { kegs, at_c, .. }) = &fill.step else {
            panic!("a fill");
        };
        assert_eq!(kegs % 12, 0);
        assert!(*at_c <= 30.0);
        filled += kegs;
    }
    // 20 L are 15 bottles less the serving loss: two crates are filled, 15 bottles gassed.
    assert_eq!(filled, 24);
    assert_eq!(gassed(&plan), 15);
}

#[test]
fn no_route_fills_plastic_hot() {
    let mut scenario = bottled();
    // Without ice the water would be filled at 94 °C.
    let mut hot = scenario.setup.routes[0].clone();
    hot.id = id("hot");
    hot.chill = scheduler::scenario::Chill::None;
    scenario.setup.routes.push(hot.clone());
    let plan = planned(&scenario);
    assert!(of_kind(&plan, "fill").count() > 0);
    for fill in of_kind(&plan, "fill") {
        let Step::Fill(FillStep { route, .. }) = &fill.step else {
            panic!("a fill");
        };
        assert_eq!(route.as_str(), "all-ice");
    }
    scenario.setup.routes = vec![hot];
    let faults = scenario.check().unwrap_err().to_string();
    assert!(faults.contains("no route fills \"bottle\""), "{faults}");
}

#[test]
fn water_that_may_not_stand_is_boiled_in_smaller_lots() {
    let mut scenario = small();
    wanted(&mut scenario, "plain-soda", (0, 17), 53.0);
    // One pair of hands fills a keg in 20 min: one in each step.
    scenario.setup.crew.shifts[0].hands = 1;
    scenario.setup.crew.fill_keg_min = StepMinutes::of(20.0);
    let free = planned(&scenario);
    scenario.policy.water_stands_min = Some(StepMinutes::of(30.0));
    let hurried = planned(&scenario);
    for fill in of_kind(&hurried, "fill") {
        let Step::Fill(FillStep { from, .. }) = &fill.step else {
            panic!("a fill");
        };
        for boil in of_kind(&hurried, "boil").filter(|b| from.contains(&b.id)) {
            let Step::Boil(BoilStep { chill_at, .. }) = &boil.step else {
                panic!("a boil");
            };
            assert!((fill.end - *chill_at).num_minutes() <= 30);
        }
    }
    let boils = |plan| of_kind(plan, "boil").count();
    assert!(boils(&hurried) > boils(&free));
}

/// Eight kegs of 80 °C are too much for 400 W: its air warms, they cool more slowly than each
/// would alone, and nothing warm is added meanwhile.
#[test]
fn a_store_that_is_overloaded_at_the_start_catches_up_first() {
    let standing = |watts: f64| {
        let mut scenario = small();
        scenario.horizon.days = 4;
        scenario.setup.cold_stores[0].cooling_w = CoolingPower::new(watts).unwrap();
        scenario.stock.filled = vec![FilledKegs {
            keg_type: id("keg-19"),
            store: id("walk-in"),
            kegs: 8,
            temperature_c: Temperature::of(80.0),
            air_mg_per_l: None,
            co2_g_per_l: None,
        }];
        wanted(&mut scenario, "plain-soda", (3, 17), 140.0);
        scenario
    };
    let first_gas = |watts: f64| {
        let plan = planned(&standing(watts));
        of_kind(&plan, "gas").map(|gas| gas.start).min()
    };
    let (enough, short) = (first_gas(3000.0).unwrap(), first_gas(400.0).unwrap());
    assert!(enough < at(1, 16, 0), "{enough}");
    assert!(short > enough, "{short}");
}
