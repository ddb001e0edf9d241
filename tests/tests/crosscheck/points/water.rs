//! Water, ice and steam.

use model::published::{viscosity, water_enthalpy};
use model::{Elevation, IceFactor, SugarContent, atmosphere, ice, limits, water};

use super::{bar, celsius};
use crate::sheet::{Sheet, along, span};

pub(crate) fn sheets() -> Vec<Sheet> {
    let mut sheets = liquid();
    sheets.extend(saturation());
    sheets.extend(frozen());
    sheets
}

fn liquid() -> Vec<Sheet> {
    let mut rise = Sheet::new("water_enthalpy_rise", &["from_C", "to_C"]);
    for from in span(0.0, 105.0, 21) {
        for to in span(0.0, 110.0, 22).into_iter().filter(|to| *to > from) {
            let heat =
                water::enthalpy(celsius(to)).unwrap() - water::enthalpy(celsius(from)).unwrap();
            rise.add(&[from, to], heat / 1000.0);
        }
    }
    vec![
        along("water_density", &["t_C"], span(-5.0, 150.0, 310), |t| {
            water::density(celsius(t)).unwrap() * 1000.0
        }),
        along(
            "water_heat_capacity",
            &["t_C"],
            span(-5.0, 110.0, 230),
            |t| water_enthalpy::heat_capacity(t).unwrap(),
        ),
        along("water_viscosity", &["t_C"], span(-19.0, 109.0, 256), |t| {
            viscosity::water(t + 273.15).unwrap() * 1000.0
        }),
        rise,
    ]
}

fn saturation() -> Vec<Sheet> {
    vec![
        along(
            "water_vapour_pressure",
            &["t_C"],
            span(-5.0, 150.0, 620),
            |t| water::saturation_pressure(celsius(t)).unwrap().bar(),
        ),
        along("boiling_point", &["p_bar"], span(0.01, 4.7, 469), |p| {
            water::boiling_point(bar(p)).unwrap().celsius()
        }),
        along(
            "standard_atmosphere",
            &["z_m"],
            span(-500.0, 6000.0, 650),
            |z| {
                atmosphere::pressure_at(Elevation::new(z).unwrap())
                    .unwrap()
                    .bar()
            },
        ),
        along(
            "boiling_point_by_elevation",
            &["z_m"],
            span(-500.0, 6000.0, 130),
            |z| {
                let site = atmosphere::pressure_at(Elevation::new(z).unwrap()).unwrap();
                water::boiling_point(site).unwrap().celsius()
            },
        ),
        along("steam_density", &["t_C"], span(-5.0, 150.0, 310), |t| {
            water::steam_density(celsius(t)).unwrap() * 1000.0
        }),
        along("vaporisation_heat", &["t_C"], span(-5.0, 150.0, 310), |t| {
            water::vaporisation_heat(celsius(t)).unwrap() / 1000.0
        }),
        along("steam_enthalpy", &["t_C"], span(0.5, 110.0, 219), |t| {
            let zero = water::enthalpy(celsius(0.01)).unwrap();
            (water::steam_enthalpy(celsius(t)).unwrap() - zero) / 1000.0
        }),
    ]
}

fn frozen() -> Vec<Sheet> {
    let mut ratio = Sheet::new("ice_needed", &["hot_C", "end_C", "ice_C"]);
    for hot in span(20.0, 98.0, 13) {
        for end in span(0.5, 19.0, 8) {
            for cold in span(-30.0, 0.0, 6) {
                let needed =
                    ice::needed_ratio(celsius(hot), celsius(end), celsius(cold), IceFactor::DRY);
                ratio.add(&[hot, end, cold], needed.unwrap());
            }
        }
    }
    let zero = water::enthalpy(celsius(0.0)).unwrap();
    vec![
        ratio,
        along("ice_enthalpy", &["t_C"], span(-40.0, 0.0, 160), |t| {
            (ice::enthalpy(celsius(t)).unwrap() - zero) / 1000.0
        }),
        along("ice_fusion_heat", &["t_C"], [0.0], |t| {
            (zero - ice::enthalpy(celsius(t)).unwrap()) / 1000.0
        }),
        along("freezing_point", &["brix"], span(0.0, 20.0, 40), |brix| {
            let sugar = SugarContent::new(brix).unwrap();
            limits::freezing_point(sugar).unwrap().celsius()
        }),
    ]
}
