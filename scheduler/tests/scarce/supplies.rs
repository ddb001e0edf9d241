//! Ordered ice, CO2 cylinders, materials and their deliveries.

use scheduler::plan::{GasStep, Need, Plan, Reason, Step};
use scheduler::scenario::quantities::{
    IngredientShare, MaterialAmount, Price, StepMinutes, StockMass,
};
use scheduler::scenario::{
    Cylinders, Delivery, DeliveryTime, Ingredient, Material, MaterialStock, MaterialUnit, Scenario,
    Weekday,
};

use crate::base::{at, blamed, gassed, id, of_kind, planned, served, small, time, wanted};

/// A site that makes no ice: all of it is ordered.
fn bought() -> Scenario {
    let mut scenario = small();
    scenario.stock.ice_kg = StockMass::of(0.0);
    scenario.setup.ice.rate_kg_per_h = scheduler::scenario::quantities::IceRate::of(0.0);
    let purchase = scenario.setup.ice.purchase.as_mut().unwrap();
    purchase.lead_min = StepMinutes::of(60.0);
    purchase.largest_kg = StockMass::of(20.0);
    wanted(&mut scenario, "plain-soda", (1, 17), 34.0);
    scenario
}

#[test]
fn ice_is_delivered_at_its_suppliers_times() {
    let mut scenario = bought();
    let delivered = vec![
        DeliveryTime {
            days: vec![Weekday::Mon, Weekday::Tue],
            at: time(10, 10),
        },
        // Nobody is there.
        DeliveryTime {
            days: vec![Weekday::Mon],
            at: time(7, 0),
        },
    ];
    scenario.setup.ice.purchase.as_mut().unwrap().delivered = delivered;
    let plan = planned(&scenario);
    let starts: Vec<_> = of_kind(&plan, "ice").map(|item| item.start).collect();
    assert!(!starts.is_empty());
    for start in &starts {
        assert!([at(0, 10, 30), at(1, 10, 30)].contains(start), "{start}");
    }
    // The bin holds what came on Monday, so both kegs can be made.
    assert!((served(&plan) - 34.0).abs() < 0.05, "{:?}", plan.services);
}

#[test]
fn a_fee_makes_fewer_deliveries() {
    let mut scenario = bought();
    scenario.setup.ice.purchase.as_mut().unwrap().largest_kg = StockMass::of(60.0);
    let cost = planned(&scenario).verdict.cost;
    scenario.setup.ice.purchase.as_mut().unwrap().fee = Some(Price::of(25.0));
    let plan = planned(&scenario);
    assert_eq!(of_kind(&plan, "ice").count(), 1);
    assert!(
        (plan.verdict.cost - cost - 25.0).abs() < 0.5,
        "{cost} {}",
        plan.verdict.cost
    );
}

fn with_cylinders(kg: f64) -> Scenario {
    let mut scenario = small();
    scenario.stock.co2_kg = StockMass::new(kg).unwrap();
    scenario.setup.cylinders = Some(Cylinders {
        coupled: 1,
        residual_kg: StockMass::of(0.5),
        change_min: StepMinutes::of(15.0),
    });
    wanted(&mut scenario, "plain-soda", (0, 17), 50.0);
    scenario
}

#[test]
fn an_empty_cylinder_is_changed_for_a_full_one() {
    // 0.7 kg are left in the coupled one, of which 0.2 kg can be drawn; three kegs take 0.7 kg.
    let plan = planned(&with_cylinders(9.7));
    let changes: Vec<_> = of_kind(&plan, "cylinder").collect();
    assert_eq!(changes.len(), 1);
    assert!((changes[0].hands_min - 15.0).abs() < 1e-9);
    assert!(
        changes[0]
            .cautions
            .iter()
            .any(|c| c.text.contains("soapy water"))
    );
    assert!(
        plan.short_litres() < 1e-9,
        "{} L short",
        plan.short_litres()
    );
}

#[test]
fn without_a_full_cylinder_co2_is_short() {
    let mut scenario = with_cylinders(0.7);
    let plan = planned(&scenario);
    assert!(plan.short_litres() > 10.0);
    blamed(&plan, "CO2");
    // A full one that arrives in time is changed.
    scenario.stock.deliveries = vec![Delivery {
        material: id("co2"),
        amount: MaterialAmount::of(9.0),
        at: at(0, 10, 15),
    }];
    let plan = planned(&scenario);
    assert!(
        plan.short_litres() < 1e-9,
        "{} L short",
        plan.short_litres()
    );
    let change = of_kind(&plan, "cylinder").next().unwrap();
    assert!(change.start >= at(0, 10, 30));
}

fn need<'a>(plan: &'a Plan, material: &str) -> &'a Need {
    plan.needs.iter().find(|n| n.material == material).unwrap()
}

fn stocked(scenario: &mut Scenario, name: &str, unit: MaterialUnit, (there, pack): (f64, f64)) {
    scenario.setup.materials.push(Material {
        id: id(name),
        name: format!("The {name}"),
        unit,
        pack: MaterialAmount::new(pack).unwrap(),
    });
    scenario.stock.materials.push(MaterialStock {
        material: id(name),
        amount: MaterialAmount::new(there).unwrap(),
    });
}

#[test]
fn a_syrup_limits_what_is_made_of_it() {
    let mut scenario = small();
    wanted(&mut scenario, "tonic", (0, 17), 34.0);
    wanted(&mut scenario, "tonic", (1, 17), 17.0);
    // A keg of 18.5 L takes 2.035 L.
    stocked(&mut scenario, "quinine-syrup", MaterialUnit::L, (2.5, 5.0));
    let plan = planned(&scenario);
    assert_eq!(gassed(&plan), 1);
    blamed(&plan, "The quinine-syrup");
    let short = plan.services.iter().find(|s| s.short_l > 0.0).unwrap();
    let pack = |r: &&Reason| r.one_more == "one more pack of 5 L";
    let pack = short.why.iter().find(pack).unwrap();
    // It is enough for all that is wanted; up to a keg more counts as served in the relaxation.
    let all: f64 = plan.services.iter().map(|s| s.short_l).sum();
    assert!(
        pack.brings <= all + 0.1 && pack.brings > all - 18.5,
        "{pack:?}, {all} L short"
    );
    assert!(pack.here_l.unwrap() <= short.short_l + 0.1, "{pack:?}");
    assert!(!pack.binds.is_empty(), "{pack:?}");
    scenario.stock.deliveries = vec![Delivery {
        material: id("quinine-syrup"),
        amount: MaterialAmount::of(5.0),
        at: at(1, 9, 0),
    }];
    let plan = planned(&scenario);
    assert_eq!(gassed(&plan), 2);
    let syrup = need(&plan, "quinine-syrup");
    assert!((syrup.arrives - 5.0).abs() < 1e-9 && syrup.order <= 0.0);
}

#[test]
fn an_unlisted_syrup_is_to_be_ordered() {
    let mut scenario = small();
    wanted(&mut scenario, "tonic", (0, 17), 34.0);
    let plan = planned(&scenario);
    assert!(
        plan.short_litres() < 1e-9,
        "{} L short",
        plan.short_litres()
    );
    let syrup = need(&plan, "quinine-syrup");
    assert!((syrup.order - 4.07).abs() < 0.02, "{syrup:?}");
}

#[test]
fn the_agent_and_other_ingredients_limit_too() {
    let mut scenario = small();
    wanted(&mut scenario, "plain-soda", (0, 17), 50.0);
    scenario.setup.products[0].ingredients = vec![Ingredient {
        material: id("minerals"),
        per_l: IngredientShare::of(2.0),
    }];
    // A keg takes 37 g.
    stocked(&mut scenario, "minerals", MaterialUnit::G, (80.0, 500.0));
    stocked(&mut scenario, "ascorbate", MaterialUnit::G, (100.0, 250.0));
    let plan = planned(&scenario);
    assert_eq!(gassed(&plan), 2);
    blamed(&plan, "The minerals");
    for gas in of_kind(&plan, "gas") {
        let Step::Gas(GasStep { ingredients, .. }) = &gas.step else {
            panic!("a gassing");
        };
        assert!((ingredients[0].amount_each - 37.0).abs() < 1e-9);
    }
    assert!((need(&plan, "minerals").uses - 74.0).abs() < 1e-9);
    // 10 L of tap water, half of a keg, need 0.7 mg/L × 2.79 × 1.1 × 10 L = 21 mg.
    scenario.stock.materials[1].amount = MaterialAmount::of(0.03);
    let plan = planned(&scenario);
    assert_eq!(gassed(&plan), 1);
    blamed(&plan, "The ascorbate");
}
