//! Boils, chilling, water and filling.

use model::IceFactor;

use super::fixture::{at, id};
use super::{Case, Rule, check, set};
use crate::plan::{BoilStep, Step, WorkId};
use crate::scenario::quantities::{StepMinutes, VesselMass};

/// A second boil like the first, at another time or in another pot.
fn second_boil(case: &mut Case) -> &mut crate::plan::WorkItem {
    let mut second = case.item("boil-1").clone();
    second.id = WorkId::new("boil", 2);
    if let Step::Boil(BoilStep {
        makes_l, left_l, ..
    }) = &mut second.step
    {
        *left_l = *makes_l;
    }
    case.plan.verdict.boils = 2;
    case.plan.work.push(second);
    case.item("boil-2")
}

#[test]
fn one_boil_at_a_time() {
    let overlapping = |case: &mut Case| {
        let boil = second_boil(case);
        boil.start = at(0, 11, 0);
        boil.end = at(0, 13, 30);
        set!(
            "boil-2",
            Boil {
                chill_at: at(0, 12, 0),
                fill_from: at(0, 12, 0)
            }
        )(case);
    };
    check(overlapping, &[Rule::Pot]);
    let one_after_the_other = |case: &mut Case| {
        overlapping(case);
        case.item("boil-2").start = at(0, 11, 30);
        set!(
            "boil-2",
            Boil {
                chill_at: at(0, 12, 30),
                fill_from: at(0, 12, 30)
            }
        )(case);
    };
    check(one_after_the_other, &[]);
}

#[test]
fn a_pot_holds_what_it_holds() {
    let small = |case: &mut Case| case.scenario.setup.pots[0].volume_l = quantity(54.0);
    check(small, &[Rule::Pot]);
    let large = |case: &mut Case| case.scenario.setup.pots[0].smallest_fill_l = quantity(33.0);
    check(large, &[Rule::Pot]);
    let other = |case: &mut Case| case.scenario.setup.routes[1].pots = vec![id("small-pot")];
    check(other, &[Rule::Pot]);
}

/// A pot volume.
fn quantity(litres: f64) -> crate::scenario::quantities::PotVolume {
    crate::scenario::quantities::PotVolume::new(litres).unwrap()
}

#[test]
fn heating_takes_its_time() {
    check(set!("boil-1", Boil { heating_min: 45.0 }), &[Rule::Heating]);
    check(set!("boil-1", Boil { heating_min: 46.2 }), &[]);
    check(set!("boil-1", Boil { heating_min: 56.0 }), &[Rule::Heating]);
    let held = |minutes: f64| {
        move |case: &mut Case| {
            for route in &mut case.scenario.setup.routes {
                route.hold_min = StepMinutes::of(5.0);
            }
            set!("boil-1", Boil { hold_min: minutes })(case);
        }
    };
    check(held(5.0), &[]);
    check(held(2.0), &[Rule::Heating]);
    check(
        set!(
            "boil-1",
            Boil {
                chill_at: at(0, 9, 30)
            }
        ),
        &[Rule::Heating],
    );
}

#[test]
fn water_does_not_get_hotter_than_its_boil() {
    let high = |case: &mut Case| {
        // At 2500 m water boils at about 91.8 °C.
        case.scenario.site.elevation_m = model::Elevation::of(2500.0);
    };
    let mut case = Case::good();
    high(&mut case);
    // A scenario as high as that is refused before it is planned.
    assert!(case.scenario.check().is_err());
    check(
        set!("boil-1", Boil { heat_to_c: 101.0 }),
        &[Rule::Heating, Rule::Chilling],
    );
}

#[test]
fn ice_brings_the_water_to_its_temperature() {
    // 5 % less ice leaves it 2 K warmer; the water is then also less than is said.
    let less = set!(
        "boil-1",
        Boil {
            ice_in_kg: 22.6,
            makes_l: 54.25,
            left_l: 0.0
        }
    );
    check(less, &[Rule::Chilling, Rule::Water]);
    check(set!("boil-1", Boil { ice_in_kg: 23.7 }), &[]);
    // A pot of 29 kg gives 740 kJ more, which 55 kg of water feel by 3 K; and it takes longer to
    // heat.
    let heavy = |case: &mut Case| {
        case.scenario.setup.pots[0].empty_kg = VesselMass::of(29.0);
    };
    check(heavy, &[Rule::Chilling, Rule::Heating]);
    // Of ice that is used a tenth over theory, 2.2 kg do not count: 920 kJ, or 4 K.
    let wet = |case: &mut Case| case.scenario.setup.ice.factor = Some(IceFactor::of(1.1));
    check(wet, &[Rule::Chilling]);
    check(set!("boil-1", Boil { chill_to_c: 22.0 }), &[Rule::Chilling]);
    check(set!("boil-1", Boil { ice_bath_kg: 5.0 }), &[Rule::Chilling]);
    check(
        set!("boil-1", Boil { air_mg_per_l: 3.0 }),
        &[Rule::Chilling],
    );
}

#[test]
fn an_ice_bath_takes_its_time_and_its_ice() {
    // By hand: 28 L (27.9 kg, 117 kJ/K) and 5 kg of steel (2.5 kJ/K) from 94 to 25 °C at 90 W/K:
    // 119.5e3 × ln(94/25) / 90 s = 29.3 min; 119.5 × 69 kJ melt 24.3 kg of ice of -3 °C at 0 °C
    // (339.7 kJ/kg), with 4 kg to spare 28.3 kg. Heating: 27.9 × 322.4 and 192 kJ at 2550 W: 60 min.
    let bath = |ready: (i64, i64), kg: f64| {
        move |case: &mut Case| {
            let boil = second_boil(case);
            boil.start = at(0, 12, 0);
            boil.end = at(0, 15, 0);
            let ready = at(0, ready.0, ready.1);
            set!(
                "boil-2",
                Boil {
                    route: id("ice-bath"),
                    pot: id("small-pot"),
                    tap_l: 28.0,
                    heating_min: 60.2,
                    chill_at: at(0, 13, 30),
                    fill_from: ready,
                    ice_in_kg: 0.0,
                    ice_bath_kg: kg,
                    chill_to_c: 25.0,
                    makes_l: 28.05,
                    left_l: 28.05,
                    air_mg_per_l: 2.7,
                }
            )(case);
        }
    };
    check(bath((14, 0), 28.8), &[]);
    check(bath((13, 50), 28.8), &[Rule::Chilling]);
    check(bath((14, 0), 27.0), &[Rule::Chilling]);
}

#[test]
fn chlorine_is_covered() {
    check(
        set!("boil-1", Boil { agent_g: 0.06 }),
        &[Rule::Dechlorination],
    );
    let untreated = |case: &mut Case| case.scenario.setup.ice.from_treated_water = false;
    check(untreated, &[Rule::Dechlorination]);
}

#[test]
fn no_more_water_than_was_made() {
    check(set!("boil-1", Boil { makes_l: 50.0 }), &[Rule::Water]);
    check(set!("boil-1", Boil { left_l: 2.0 }), &[Rule::Water]);
    check(
        |case| case.item("boil-1").end = at(0, 10, 30),
        &[Rule::Water],
    );
    check(
        set!(
            "fill-2",
            Fill {
                route: id("all-ice")
            }
        ),
        &[Rule::Water],
    );
    check(set!("fill-2", Fill { at_c: 12.0 }), &[Rule::Water]);
    let early = |case: &mut Case| {
        case.item("fill-1").start = at(0, 9, 30);
        case.scenario.setup.crew.shifts[0].hands = 2;
    };
    check(early, &[Rule::Water]);
}

#[test]
fn kegs_are_filled_with_what_they_take() {
    check(
        |case| {
            set!("fill-2", Fill { litres_each: 17.0 })(case);
            set!("boil-1", Boil { left_l: 1.5 })(case);
        },
        &[Rule::Filling],
    );
    let delicate = |case: &mut Case| {
        case.scenario.setup.keg_types[0].hottest_fill_c = model::Temperature::of(15.0);
    };
    check(delicate, &[Rule::Filling]);
    let elsewhere =
        |case: &mut Case| case.scenario.setup.routes[1].stores = vec![id("under-counter")];
    check(elsewhere, &[Rule::Filling]);
    check(set!("gas-3", Gas { syrup_l_each: 1.0 }), &[Rule::Filling]);
    check(
        set!(
            "gas-2",
            Gas {
                syrup: Some(id("ginger-syrup"))
            }
        ),
        &[Rule::Filling],
    );
}
