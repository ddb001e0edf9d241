//! Circuits, quiet hours, outages, cylinders, materials, crates and what else is scarce.

use chrono::NaiveTime;
use model::Temperature;

use super::fixture::{at, id};
use super::{Case, Rule, check, set};
use crate::plan::{CylinderStep, Dose, GasStep, Instead, Reserve, Step, WorkId, WorkItem};
use crate::scenario::quantities::{
    DemandVolume, HeaterPower, IngredientShare, MaterialAmount, Price, StepMinutes, StockMass,
};
use crate::scenario::{
    Break, Circuit, Cylinders, Delivery, DeliveryTime, Equipment, FilledKegs, Ingredient, Material,
    MaterialStock, MaterialUnit, Noisy, Outage, Product, QuietHours, SafetyStock, Substitute,
    Weekday,
};

/// A time of day.
fn time(hour: u32, minute: u32) -> NaiveTime {
    NaiveTime::from_hms_opt(hour, minute, 0).unwrap()
}

/// A boil in the small pot beside the first one, from Monday at nine. By hand, as in the test of
/// the ice bath: 60 min of heating, 28.3 kg of ice.
fn beside(case: &mut Case) {
    let mut second = case.item("boil-1").clone();
    second.id = WorkId::new("boil", 2);
    second.end = at(0, 12, 30);
    case.plan.verdict.boils = 2;
    case.plan.work.push(second);
    set!(
        "boil-2",
        Boil {
            route: id("ice-bath"),
            pot: id("small-pot"),
            tap_l: 28.0,
            heating_min: 60.2,
            chill_at: at(0, 10, 30),
            fill_from: at(0, 11, 0),
            ice_in_kg: 0.0,
            ice_bath_kg: 28.8,
            chill_to_c: 25.0,
            makes_l: 28.05,
            left_l: 28.05,
            air_mg_per_l: 2.7,
        }
    )(case);
    case.scenario.setup.crew.shifts[0].hands = 2;
}

#[test]
fn pots_that_heat_at_once_find_the_power() {
    // 4500 and 3000 W.
    let circuit = |watts: f64| {
        move |case: &mut Case| {
            beside(case);
            case.scenario.setup.circuits = vec![Circuit {
                id: id("ring"),
                name: "Ring main".to_owned(),
                power_w: HeaterPower::new(watts).unwrap(),
            }];
            for pot in &mut case.scenario.setup.pots {
                pot.circuit = Some(id("ring"));
            }
        }
    };
    check(circuit(7500.0), &[]);
    check(circuit(7000.0), &[Rule::Circuit]);
    // One after the other: the first is hot and held after 46.5 and 5 min.
    let later = |case: &mut Case| {
        circuit(5000.0)(case);
        let boil = case.item("boil-2");
        boil.start = at(0, 10, 0);
        boil.end = at(0, 13, 30);
        set!(
            "boil-2",
            Boil {
                chill_at: at(0, 11, 30),
                fill_from: at(0, 12, 0)
            }
        )(case);
    };
    check(later, &[]);
}

fn quiet(from: NaiveTime, to: NaiveTime, day: Weekday, silent: Noisy) -> impl Fn(&mut Case) {
    move |case: &mut Case| {
        case.scenario.setup.quiet_hours = vec![QuietHours {
            days: vec![day],
            from,
            to,
            silent: vec![silent],
        }];
    }
}

#[test]
fn nothing_is_heard_in_quiet_hours() {
    use Noisy::{Heating, IceMachine, Shaking, Washing};
    use Weekday::{Mon, Sun, Tue};
    // The heater is on from 9:00 to 9:51; then the water is chilled and filled.
    check(quiet(time(9, 51), time(20, 0), Mon, Heating), &[]);
    check(
        quiet(time(9, 50), time(20, 0), Mon, Heating),
        &[Rule::Quiet],
    );
    // Sunday's night lasts into Monday.
    check(quiet(time(22, 0), time(9, 0), Sun, Heating), &[]);
    check(quiet(time(22, 0), time(9, 1), Sun, Heating), &[Rule::Quiet]);
    // Two kegs are washed from 9:30 on, for 20 min.
    check(quiet(time(9, 50), time(20, 0), Mon, Washing), &[]);
    check(
        quiet(time(9, 49), time(20, 0), Mon, Washing),
        &[Rule::Quiet],
    );
    // On Tuesday kegs are shaken at 9:30 and 10:30; the resting one makes no noise.
    check(quiet(time(9, 0), time(9, 30), Tue, Shaking), &[]);
    check(quiet(time(9, 0), time(9, 31), Tue, Shaking), &[Rule::Quiet]);
    // 3 kg at the start and 24 kg by ten are just enough; without two hours of ice they are not.
    let night = |case: &mut Case| {
        case.scenario.stock.ice_kg = StockMass::of(3.0);
        quiet(time(6, 0), time(8, 0), Mon, IceMachine)(case);
    };
    check(night, &[Rule::Ice]);
}

fn out(
    equipment: Equipment,
    (day, from, until): (i64, i64, i64),
    lost: Option<u16>,
) -> impl Fn(&mut Case) {
    move |case: &mut Case| {
        case.scenario.setup.outages.push(Outage {
            equipment: equipment.clone(),
            from: at(day, from, 0),
            until: at(day, until, 0),
            lost,
            note: None,
        });
    }
}

#[test]
fn nothing_is_done_with_what_is_out_of_service() {
    let pot = || Equipment::Pot {
        pot: id("large-pot"),
    };
    // The pot is taken from 9:00 to 11:30.
    check(out(pot(), (0, 12, 18), None), &[]);
    check(out(pot(), (0, 11, 18), None), &[Rule::OutOfService]);
    // Two of two stations are taken from 9:30 to 10:00.
    check(out(Equipment::Washing, (0, 10, 12), None), &[]);
    check(out(Equipment::Washing, (0, 9, 12), Some(1)), &[Rule::Wash]);
    let bench = || Equipment::Connections {
        station: id("shaking-bench"),
    };
    check(out(bench(), (1, 9, 10), Some(1)), &[]);
    check(out(bench(), (1, 9, 10), None), &[Rule::Connections]);
    check(out(bench(), (1, 10, 11), None), &[Rule::Connections]);
    // One keg stands in the walk-in at the start and three are added: 4 of 24 places.
    let walk_in = || Equipment::Places {
        store: id("walk-in"),
    };
    check(out(walk_in(), (0, 10, 23), Some(20)), &[]);
    check(out(walk_in(), (0, 10, 23), Some(21)), &[Rule::Places]);
    check(out(walk_in(), (0, 6, 10), None), &[]);
    let still = |case: &mut Case| {
        case.scenario.stock.ice_kg = StockMass::of(3.0);
        out(Equipment::IceMachine, (0, 8, 9), None)(case);
    };
    check(still, &[Rule::Ice]);
}

#[test]
fn hands_rest() {
    let pause = |from, to| {
        move |case: &mut Case| case.scenario.setup.crew.shifts[0].breaks = vec![Break { from, to }]
    };
    // Half past ten on Monday: one keg is filled.
    check(pause(time(12, 0), time(13, 0)), &[]);
    check(pause(time(10, 30), time(11, 0)), &[Rule::Hands]);
}

#[test]
fn ice_comes_when_it_is_delivered() {
    let at_quarter = |minute: u32, day: Weekday| {
        move |case: &mut Case| {
            let purchase = case.scenario.setup.ice.purchase.as_mut().unwrap();
            purchase.delivered = vec![DeliveryTime {
                days: vec![day],
                at: time(8, minute),
            }];
        }
    };
    // It is there from the first full step on: at nine.
    check(at_quarter(45, Weekday::Tue), &[]);
    check(at_quarter(15, Weekday::Tue), &[Rule::Delivery]);
    check(at_quarter(45, Weekday::Wed), &[Rule::Delivery]);
}

fn change(number: usize, (day, hour): (i64, i64)) -> WorkItem {
    WorkItem {
        id: WorkId::new("cylinder", number),
        start: at(day, hour, 0),
        end: at(day, hour, 30),
        hands_min: 10.0,
        step: Step::Cylinder(CylinderStep {
            cylinders: 1,
            co2_kg_each: 8.5,
        }),
        cautions: Vec::new(),
    }
}

#[test]
fn a_cylinder_is_changed_when_it_is_empty() {
    let with = |kg: f64, changes: Vec<WorkItem>| {
        move |case: &mut Case| {
            case.scenario.stock.co2_kg = StockMass::new(kg).unwrap();
            case.scenario.setup.cylinders = Some(Cylinders {
                coupled: 1,
                residual_kg: StockMass::of(0.5),
                change_min: StepMinutes::of(10.0),
            });
            case.plan.work.extend(changes);
        }
    };
    // 0.6 kg in the coupled cylinder give 0.1 kg; the first keg takes 0.166 kg.
    check(with(9.6, vec![change(1, (1, 9))]), &[]);
    check(with(9.6, Vec::new()), &[Rule::Co2]);
    // On Monday it is not empty yet.
    check(with(9.6, vec![change(1, (0, 11))]), &[Rule::Cylinders]);
    // There is no full one.
    check(with(0.6, vec![change(1, (1, 9))]), &[Rule::Cylinders]);
    // Half a kilogram cannot be drawn: a rest of 1.0 kg gives only that.
    check(with(1.3, Vec::new()), &[]);
    check(with(1.0, Vec::new()), &[Rule::Co2]);
    let nobody = |case: &mut Case| {
        with(9.6, vec![change(1, (1, 9))])(case);
        case.item("cylinder-1").start = at(1, 8, 0);
    };
    check(nobody, &[Rule::Hands, Rule::Cylinders]);
    let unknown = |case: &mut Case| case.plan.work.push(change(1, (1, 9)));
    check(unknown, &[Rule::Cylinders]);
    let wrong = |case: &mut Case| {
        with(9.6, vec![change(1, (1, 9))])(case);
        set!("cylinder-1", Cylinder { co2_kg_each: 9.0 })(case);
    };
    check(wrong, &[Rule::Cylinders]);
}

/// Lists a material, with so much of it on hand.
fn stocked(case: &mut Case, name: &str, unit: MaterialUnit, there: f64) {
    case.scenario.setup.materials.push(Material {
        id: id(name),
        name: name.to_owned(),
        unit,
        pack: MaterialAmount::of(1.0),
    });
    case.scenario.stock.materials.push(MaterialStock {
        material: id(name),
        amount: MaterialAmount::new(there).unwrap(),
    });
}

#[test]
fn no_more_of_a_material_is_used_than_there_is() {
    // One keg of ginger soda takes 2.3125 L of syrup, on Tuesday at half past ten.
    let syrup =
        |there: f64| move |case: &mut Case| stocked(case, "ginger-syrup", MaterialUnit::L, there);
    check(syrup(2.32), &[]);
    check(syrup(2.2), &[Rule::Materials]);
    let delivered = |hour: i64| {
        move |case: &mut Case| {
            syrup(2.2)(case);
            case.scenario.stock.deliveries.push(Delivery {
                material: id("ginger-syrup"),
                amount: MaterialAmount::of(0.5),
                at: at(1, hour, 10),
            });
        }
    };
    check(delivered(10), &[]);
    check(delivered(11), &[Rule::Materials]);
    // 0.069 g of the agent go into the boil.
    let agent =
        |there: f64| move |case: &mut Case| stocked(case, "ascorbate", MaterialUnit::G, there);
    check(agent(0.07), &[]);
    check(agent(0.05), &[Rule::Materials]);
}

#[test]
fn a_keg_gets_what_else_goes_into_it() {
    let peel = |there: f64, dosed: f64| {
        move |case: &mut Case| {
            stocked(case, "peel", MaterialUnit::G, there);
            let ginger = product(case, "ginger-soda");
            ginger.ingredients = vec![Ingredient {
                material: id("peel"),
                per_l: IngredientShare::of(2.0),
            }];
            if let Step::Gas(GasStep { ingredients, .. }) = &mut case.item("gas-3").step {
                ingredients.push(Dose {
                    material: id("peel"),
                    amount_each: dosed,
                });
            }
        }
    };
    // 18.5 L take 37 g.
    check(peel(40.0, 37.0), &[]);
    check(peel(40.0, 30.0), &[Rule::Filling]);
    check(peel(30.0, 37.0), &[Rule::Materials]);
}

fn product<'a>(case: &'a mut Case, name: &str) -> &'a mut Product {
    let mut products = case.scenario.setup.products.iter_mut();
    products.find(|p| p.id == id(name)).unwrap()
}

#[test]
fn bottles_are_filled_by_the_crate() {
    // Two and one are filled.
    let crate_of = |case: &mut Case| case.scenario.setup.keg_types[0].per_crate = Some(2);
    check(crate_of, &[Rule::Filling]);
    // A minute more for each keg of this type.
    let slow = |case: &mut Case| {
        case.scenario.setup.keg_types[0].fill_min = Some(StepMinutes::of(6.0));
    };
    check(slow, &[Rule::Hands]);
}

#[test]
fn heated_water_does_not_stand_for_long() {
    // The last keg is filled one hour after the water was hot.
    let longest = |minutes: f64| {
        move |case: &mut Case| {
            case.scenario.setup.routes.truncate(2);
            case.scenario.policy.water_stands_min = Some(StepMinutes::new(minutes).unwrap());
        }
    };
    check(longest(60.0), &[]);
    check(longest(50.0), &[Rule::Water]);
}

#[test]
fn first_ready_is_first_served() {
    let older = |case: &mut Case| {
        let mut keg = case.scenario.stock.ready[0].clone();
        keg.product = id("plain-soda");
        case.scenario.stock.ready.push(keg);
    };
    check(older, &[Rule::Freshness]);
    // In another store it is another queue.
    let elsewhere = |case: &mut Case| {
        older(case);
        case.scenario.stock.ready[2].store = id("under-counter");
    };
    check(elsewhere, &[]);
}

#[test]
fn what_is_said_to_stand_ready_does() {
    // One keg of tonic, 17.9 L, stands ready until Wednesday evening.
    let reserves = |kept: [f64; 4]| {
        move |case: &mut Case| {
            product(case, "tonic").safety = Some(SafetyStock {
                litres: DemandVolume::of(10.0),
                price_per_l: Price::of(1.0),
            });
            for (day, kept_l) in (1..).zip(kept) {
                case.plan.reserves.push(Reserve {
                    product: id("tonic"),
                    at: at(day, 6, 0),
                    wanted_l: 10.0,
                    kept_l,
                    short_l: 10.0 - kept_l,
                });
            }
        }
    };
    check(reserves([10.0, 10.0, 0.0, 0.0]), &[]);
    check(reserves([10.0, 10.0, 10.0, 0.0]), &[Rule::Reserve]);
    check(reserves([11.0, 10.0, 0.0, 0.0]), &[Rule::Reserve]);
    let unsaid = |case: &mut Case| {
        reserves([10.0, 10.0, 0.0, 0.0])(case);
        case.plan.reserves.pop();
    };
    check(unsaid, &[Rule::Reserve]);
}

#[test]
fn another_product_stands_in_only_where_it_may() {
    // Of two kegs of plain soda 0.39 L are left after all services.
    let poured = |litres: f64, allowed: bool| {
        move |case: &mut Case| {
            if allowed {
                product(case, "tonic").substitutes = vec![Substitute {
                    product: id("plain-soda"),
                    price_per_l: Price::of(5.0),
                }];
            }
            case.plan.services[2].instead = vec![Instead {
                product: id("plain-soda"),
                litres,
            }];
        }
    };
    check(poured(0.3, true), &[]);
    check(poured(0.3, false), &[Rule::Service]);
    check(poured(1.0, true), &[Rule::Service]);
    check(poured(11.0, true), &[Rule::Service]);
}

/// A keg of 60 °C gives off some 190 W in still air (physics reference, section 4); the cabinet
/// carries away 180 W. Six of them warm its air, and with it the cold keg that stands there.
#[test]
fn a_store_that_is_overloaded_at_the_start_warms() {
    let hot = |temperature_c: f64| {
        move |case: &mut Case| {
            case.scenario.stock.filled.push(FilledKegs {
                keg_type: id("keg-19"),
                store: id("under-counter"),
                kegs: 6,
                temperature_c: Temperature::new(temperature_c).unwrap(),
                air_mg_per_l: None,
                co2_g_per_l: None,
            });
        }
    };
    check(hot(8.0), &[]);
    check(hot(60.0), &[Rule::Temperature, Rule::Carbonation]);
    let mut case = Case::good();
    hot(8.0)(&mut case);
    let report = case.replay().unwrap();
    assert!((report.stores[1].air_c - 3.0).abs() < 1e-9);
    assert!(report.stores[1].watts < 180.0);
}
