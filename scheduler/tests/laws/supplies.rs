//! Ice, materials and their deliveries in random scenarios.

use chrono::Duration;
use model::Temperature;
use scheduler::scenario::quantities as q;
use scheduler::scenario::{
    Delivery, DeliveryTime, IceDraw, IcePurchase, Ingredient, Material, MaterialStock,
    MaterialUnit, Scenario,
};

use crate::choices::Choices;
use crate::scenarios::{ALWAYS, id, instant, time};

pub(crate) fn ice(c: &mut Choices<'_>, scenario: &mut Scenario) {
    let ice = &mut scenario.setup.ice;
    ice.rate_kg_per_h = q::IceRate::new(c.between(12.0, 0.0)).unwrap();
    ice.bin_kg = q::StockMass::new(c.between(100.0, 10.0)).unwrap();
    ice.temperature_c = Temperature::new(c.one_of(&[-3.0, -10.0])).unwrap();
    ice.from_treated_water = !c.one_in(3);
    ice.bar_draw = (0..c.one_of(&[0, 1, 2]))
        .map(|_| IceDraw {
            days: ALWAYS.to_vec(),
            at: time(c.number(0, 23), c.one_of(&[0, 30, 20])),
            kg: q::StockMass::new(c.between(5.0, 80.0)).unwrap(),
        })
        .collect();
    ice.purchase = if c.one_in(2) { Some(purchase(c)) } else { None };
    scenario.stock.ice_kg = q::StockMass::new(c.between(80.0, 0.0)).unwrap();
}

fn purchase(c: &mut Choices<'_>) -> IcePurchase {
    let delivered = if c.one_in(2) {
        vec![DeliveryTime {
            days: ALWAYS.to_vec(),
            at: time(c.number(8, 18), c.one_of(&[0, 10, 45])),
        }]
    } else {
        Vec::new()
    };
    IcePurchase {
        price_per_kg: q::Price::of(0.5),
        lead_min: q::StepMinutes::new(c.one_of(&[60.0, 0.0, 500.0])).unwrap(),
        largest_kg: q::StockMass::new(c.between(10.0, 60.0)).unwrap(),
        delivered,
        fee: c
            .one_of(&[None, Some(12.0)])
            .map(|fee| q::Price::new(fee).unwrap()),
    }
}

pub(crate) fn materials(c: &mut Choices<'_>, scenario: &mut Scenario) {
    scenario.stock.materials.clear();
    for (name, unit, most) in [
        ("ascorbate", MaterialUnit::G, 0.3),
        ("ginger-syrup", MaterialUnit::L, 6.0),
        ("minerals", MaterialUnit::G, 120.0),
    ] {
        if !c.one_in(3) {
            continue;
        }
        scenario.setup.materials.push(Material {
            id: id(name),
            name: name.to_owned(),
            unit,
            pack: q::MaterialAmount::of(1.0),
        });
        scenario.stock.materials.push(MaterialStock {
            material: id(name),
            amount: q::MaterialAmount::new(c.between(most, 0.0)).unwrap(),
        });
        if c.one_in(2) {
            deliver(c, scenario, name, most);
        }
        if name == "minerals" {
            scenario.setup.products[0].ingredients = vec![Ingredient {
                material: id(name),
                per_l: q::IngredientShare::new(c.between(0.1, 3.0)).unwrap(),
            }];
        }
    }
    if c.one_in(4) {
        deliver(c, scenario, "co2", 9.0);
    }
}

fn deliver(c: &mut Choices<'_>, scenario: &mut Scenario, name: &str, amount: f64) {
    let early = Duration::hours(i64::from(c.one_of(&[0, 5])));
    let delivery = Delivery {
        material: id(name),
        amount: q::MaterialAmount::new(amount).unwrap(),
        at: instant(c, scenario) - early,
    };
    scenario.stock.deliveries.push(delivery);
}
