//! What stands around: ice, places, cooling, kegs and hands.

use model::Temperature;

use super::fixture::{at, id};
use super::{Case, Rule, check, set};
use crate::plan::{Step, TapStep};
use crate::scenario::quantities::{CoolingPower, IceRate, PlacesPerContainer, StockMass};

#[test]
fn nobody_does_more_than_there_are_hands() {
    // 8 min to chill and 5 min for each of two kegs are done in half an hour; 12 min are not.
    let slow = |case: &mut Case| {
        case.scenario.setup.crew.fill_keg_min = minutes(12.0);
        case.item("fill-1").hands_min = 24.0;
        case.item("fill-2").hands_min = 12.0;
    };
    check(slow, &[Rule::Hands]);
    let closed = |case: &mut Case| case.scenario.setup.crew.closed = vec![at(3, 0, 0).date_naive()];
    check(closed, &[Rule::Hands]);
    let night = |case: &mut Case| {
        let wash = case.item("wash-3");
        wash.start = at(3, 20, 0);
        wash.end = at(3, 20, 30);
    };
    check(night, &[Rule::Hands]);
    check(|case| case.item("gas-2").hands_min = 7.0, &[Rule::Hands]);
    check(
        |case| case.item("return-2").start = at(3, 8, 30),
        &[Rule::Hands],
    );
}

fn minutes(minutes: f64) -> crate::scenario::quantities::StepMinutes {
    crate::scenario::quantities::StepMinutes::new(minutes).unwrap()
}

#[test]
fn work_longer_than_a_step_runs_on() {
    // Two people fill from 10:00 to 11:00; 45 min for one keg take 30 and then 15.
    let slow = |hands: u16| {
        move |case: &mut Case| {
            case.scenario.setup.crew.fill_keg_min = minutes(45.0);
            case.scenario.setup.crew.shifts[0].hands = hands;
            case.item("fill-1").hands_min = 90.0;
            case.item("fill-2").hands_min = 45.0;
        }
    };
    // 10:00: 8 + 2 × 30; 10:30: 2 × 15 + 30; 11:00: 15.
    check(slow(3), &[]);
    check(slow(2), &[Rule::Hands]);
}

#[test]
fn the_bar_gets_its_ice_first() {
    let rate = |rate: f64| {
        move |case: &mut Case| {
            case.scenario.setup.ice.rate_kg_per_h = IceRate::new(rate).unwrap();
        }
    };
    let start = |kg: f64| {
        move |case: &mut Case| {
            case.scenario.stock.ice_kg = StockMass::new(kg).unwrap();
        }
    };
    // By 10:00: 70 kg and 4 h × 6 kg, less 23.4 kg; by 17:00 42 kg more. The bar takes 45 kg.
    check(start(3.0), &[]);
    // 2 + 24 - 23.4 + 42 = 44.6 kg.
    check(start(2.0), &[Rule::Ice]);
    // Without soda the bar would get 2 + 11 × 3 = 35 kg, and soda wants more than 2 + 12.
    check(
        |case| {
            start(2.0)(case);
            rate(3.0)(case);
        },
        &[Rule::Ice],
    );
    // A full bin makes no more: 20 kg at 10:00 are too little, whatever the machine could make.
    check(
        |case| {
            case.scenario.setup.ice.bin_kg = StockMass::of(20.0);
            start(20.0)(case);
        },
        &[Rule::Ice],
    );
}

#[test]
fn ice_is_ordered_in_time() {
    check(
        set!(
            "ice-1",
            Ice {
                order_by: at(0, 14, 0)
            }
        ),
        &[Rule::Delivery],
    );
    check(
        set!(
            "ice-1",
            Ice {
                order_by: at(-1, 13, 0)
            }
        ),
        &[Rule::Delivery],
    );
    check(set!("ice-1", Ice { kg: 70.0 }), &[Rule::Delivery]);
    check(
        |case| case.scenario.setup.ice.purchase = None,
        &[Rule::Delivery],
    );
}

#[test]
fn kegs_fit_into_their_store() {
    // Three filled kegs and the tonic take 4 places until Tuesday's service.
    check(|case| case.scenario.setup.cold_stores[0].places = 4, &[]);
    check(
        |case| case.scenario.setup.cold_stores[0].places = 3,
        &[Rule::Places],
    );
    // At 1.5 places each they take 6.
    let wide = |case: &mut Case| {
        case.scenario.setup.keg_types[0].places = PlacesPerContainer::of(1.5);
        case.scenario.setup.cold_stores[0].places = 5;
    };
    check(wide, &[Rule::Places]);
}

#[test]
fn a_store_carries_the_heat_away() {
    // Three kegs 18 K over the air, at about 4 W/K each: 216 W at the start.
    let power = |watts: f64| {
        move |case: &mut Case| {
            case.scenario.setup.cold_stores[0].cooling_w = CoolingPower::new(watts).unwrap();
        }
    };
    check(power(260.0), &[]);
    check(power(170.0), &[Rule::Cooling]);
    // A hot keg that stands there at the start is a fact, but leaves nothing for others.
    let standing = |case: &mut Case| {
        let mut hot = case.scenario.stock.filled[0].clone();
        hot.store = id("walk-in");
        hot.temperature_c = Temperature::of(60.0);
        case.scenario.stock.filled.push(hot);
        power(260.0)(case);
    };
    check(standing, &[Rule::Cooling]);
}

#[test]
fn no_keg_is_in_two_states() {
    // Two are washed by 10:00, and filled then; one more is needed at 10:30.
    check(|case| case.scenario.stock.empty[0].clean = 1, &[]);
    check(|case| case.scenario.stock.empty[0].clean = 0, &[Rule::Kegs]);
    check(|case| case.scenario.stock.empty[0].dirty = 1, &[Rule::Kegs]);
    check(
        |case| {
            case.remove("return-1");
            case.remove("discard-1");
        },
        &[Rule::Kegs],
    );
    // One small keg comes back and one is discarded: there are no three to wash.
    let three = |case: &mut Case| {
        set!("wash-2", Wash { kegs: 3 })(case);
        case.item("wash-2").hands_min = 18.0;
        case.scenario.setup.wash.stations = 3;
    };
    check(three, &[Rule::Kegs]);
    check(|case| case.scenario.stock.ready.clear(), &[Rule::Kegs]);
    check(|case| case.scenario.stock.filled.clear(), &[Rule::Kegs]);
    check(
        set!("fill-1", Fill { kegs: 1 }),
        &[Rule::Kegs, Rule::Water, Rule::Hands],
    );
    let unready = |case: &mut Case| {
        if let Step::Tap(TapStep { from, .. }) = &mut case.item("tap-1").step {
            *from = rested();
        }
    };
    // The other keg was ready, and stays.
    check(unready, &[Rule::Kegs, Rule::Freshness]);
}

/// The keg that rests until Wednesday, which is not ready on Tuesday.
fn rested() -> Vec<crate::plan::Source> {
    vec![crate::plan::Source {
        item: Some(crate::plan::WorkId::new("gas", 1)),
        kegs: 1,
    }]
}

#[test]
fn washing_takes_a_station_and_its_time() {
    check(|case| case.scenario.setup.wash.stations = 1, &[Rule::Wash]);
    check(|case| case.item("wash-3").end = at(3, 9, 40), &[Rule::Wash]);
}
