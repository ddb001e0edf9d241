//! CO2: as a gas, in its cylinder, and in water.

use model::published::{span_wagner, weiss};
use model::{
    AbsolutePressure, Carbonation, SugarContent, Temperature, acidity, carbon_dioxide, carbonation,
    gas_budget, limits,
};

use super::{bar, celsius};
use crate::sheet::{Sheet, along, span};

pub(crate) fn sheets() -> Vec<Sheet> {
    let mut sheets = gas();
    sheets.extend(cylinder());
    sheets.extend(dissolved());
    sheets
}

const PLAIN: SugarContent = SugarContent::of(0.0);

fn gas() -> Vec<Sheet> {
    let mut density = Sheet::new("co2_gas_density", &["t_C", "p_bar"]);
    let mut fugacity = Sheet::new("co2_fugacity_coefficient", &["t_C", "p_bar"]);
    for t in span(-8.0, 46.0, 27) {
        for p in span(0.25, 20.0, 79) {
            let gas = carbon_dioxide::density(celsius(t), bar(p)).unwrap();
            density.add(&[t, p], gas);
            let phi = weiss::fugacity_coefficient(t + 273.15, p).unwrap();
            fugacity.add(&[t, p], phi);
        }
    }
    vec![
        density,
        fugacity,
        along("co2_second_virial", &["t_C"], span(-8.0, 46.0, 108), |t| {
            weiss::virial(t + 273.15).unwrap()
        }),
        along("co2_one_volume", &["t_C"], [0.0], |_| Carbonation::VOLUME),
    ]
}

fn cylinder() -> Vec<Sheet> {
    let at = || span(-50.0, 30.0, 160);
    vec![
        along(
            "co2_vapour_pressure",
            &["t_C"],
            span(-50.0, 30.9, 809),
            |t| carbon_dioxide::vapour_pressure(celsius(t)).unwrap().bar(),
        ),
        along("co2_liquid_density", &["t_C"], at(), |t| {
            span_wagner::liquid_density(t + 273.15).unwrap()
        }),
        along("co2_vapour_density", &["t_C"], at(), |t| {
            span_wagner::vapour_density(t + 273.15).unwrap()
        }),
        along("co2_latent_heat", &["t_C"], at(), |t| {
            gas_budget::latent_heat(celsius(t)).unwrap() / 1000.0
        }),
        along("co2_room_ppm", &["kg"], span(0.01, 5.0, 40), |kg| {
            let mass = model::Mass::new(kg).unwrap();
            let room = model::Volume::of(50_000.0);
            limits::room_after_release(mass, room).unwrap().ppm()
        }),
    ]
}

fn dissolved() -> Vec<Sheet> {
    let mut content = Sheet::new("co2_dissolved", &["t_C", "total_bar", "air_bar"]);
    let mut ph = Sheet::new("carbonated_ph", &["t_C", "total_bar", "g_per_L"]);
    for t in span(-1.0, 40.0, 41) {
        for total in span(1.0, 11.0, 40) {
            for air in [0.0, 0.2, 0.7] {
                let held = holds(celsius(t), bar(total), bar(air));
                content.add(&[t, total, air], held.grams_per_litre());
                if air == 0.0 {
                    let acid = acidity::ph(held, celsius(t)).unwrap();
                    ph.add(&[t, total, held.grams_per_litre()], acid);
                }
            }
        }
    }
    let mut needed = Sheet::new("co2_pressure_for", &["t_C", "g_per_L", "air_bar"]);
    for t in span(-1.0, 25.0, 26) {
        for grams in span(1.0, 12.0, 11) {
            for air in [0.0, 0.3] {
                let target = Carbonation::new(grams).unwrap();
                let total = carbonation::pressure_for(target, celsius(t), bar(air), PLAIN);
                needed.add(&[t, grams, air], total.unwrap().bar());
            }
        }
    }
    vec![
        content,
        ph,
        needed,
        along("co2_solubility", &["t_C"], span(-1.0, 40.0, 410), |t| {
            weiss::solubility(t + 273.15).unwrap()
        }),
    ]
}

fn holds(at: Temperature, total: AbsolutePressure, air: AbsolutePressure) -> Carbonation {
    carbonation::dissolved(at, total, air, PLAIN).unwrap()
}
