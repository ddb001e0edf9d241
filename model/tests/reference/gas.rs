//! CO2, in water and as a gas.

use model::published::{carroll, g704, jaehne, span_wagner, weiss};
use model::{
    AbsolutePressure, Carbonation, GaugePressure, SugarContent, Temperature, carbon_dioxide,
    carbonation, water,
};

use crate::liquid::celsius;
use crate::row::{Outcome, Row};

const MOLAR_MASS: f64 = 44.0095;

pub(crate) fn computed(row: &Row) -> Option<Outcome> {
    dissolved_value(row)
        .or_else(|| gas_value(row))
        .map(Outcome::Number)
}

/// g/L in plain water under a partial pressure of CO2, in bar.
fn under_partial(at: Temperature, bar: f64) -> f64 {
    let total = bar + water::saturation_pressure(at).unwrap().bar();
    under_total(at, AbsolutePressure::new(total).unwrap())
}

fn under_total(at: Temperature, total: AbsolutePressure) -> f64 {
    carbonation::dissolved(at, total, AbsolutePressure::VACUUM, SugarContent::of(0.0))
        .unwrap()
        .grams_per_litre()
}

fn dissolved_value(row: &Row) -> Option<f64> {
    let at = || celsius(row, "t_C");
    Some(match row.quantity.as_str() {
        "co2_K0_mol_kg_atm" => weiss::solubility(at().kelvin()).unwrap(),
        // Crovetto's is an independent review; the model is Weiss's.
        "co2_K0_crovetto_mol_kg_atm" => weiss::solubility(at().kelvin()).unwrap(),
        "co2_K0_G704_mol_kg_atm" => guideline(at().kelvin()),
        "co2_molefraction_p1atm_wilhelm" => mole_fraction(at(), under_partial(at(), 1.01325)),
        "co2_K0_carroll_mol_kg_atm" => carroll::solubility(at().kelvin()).unwrap(),
        "co2_g_per_L_pCO2_1atm" => under_partial(at(), 1.01325),
        "co2_volumes_pCO2_1atm" => Carbonation::new(under_partial(at(), 1.01325))
            .unwrap()
            .volumes(),
        "co2_g_per_L" => {
            let atmosphere = AbsolutePressure::new(row.input("p_atm_bar")).unwrap();
            let gauge = GaugePressure::new(row.input("p_gauge_bar")).unwrap();
            under_total(at(), gauge.absolute(atmosphere).unwrap())
        }
        // Litres of gas at 0 °C and 1 atm (22.263 L/mol) that a litre takes up.
        "co2_bunsen" => under_partial(at(), 1.01325) / MOLAR_MASS * 22.263,
        "co2_molefraction" => mole_fraction(at(), under_partial(at(), row.input("pCO2_bar"))),
        _ => return None,
    })
}

/// mol/(kg atm) by IAPWS G7-04, which the model does not use for CO2.
fn guideline(kelvin: f64) -> f64 {
    let henry = g704::henry_constant(g704::Solute::CarbonDioxide, kelvin).unwrap();
    let fraction = 0.101_325e-3 / henry;
    fraction / (1.0 - fraction) * 1000.0 / 18.015_28
}

/// Moles of CO2 over moles of CO2 and water, from g/L of solution.
fn mole_fraction(at: Temperature, grams_per_litre: f64) -> f64 {
    let moles = grams_per_litre / MOLAR_MASS;
    let water_litres = 1.0 - moles * weiss::MOLAR_VOLUME_IN_WATER / 1000.0;
    let water_moles = water_litres * water::density(at).unwrap() * 1000.0 / 18.015_28;
    moles / (moles + water_moles)
}

fn gas_value(row: &Row) -> Option<f64> {
    let at = || celsius(row, "t_C");
    let density =
        |bar: f64| carbon_dioxide::density(at(), AbsolutePressure::new(bar).unwrap()).unwrap();
    Some(match row.quantity.as_str() {
        "co2_phi" => weiss::fugacity_coefficient(at().kelvin(), row.input("p_bar")).unwrap(),
        "co2_B_cm3_mol" => weiss::virial(at().kelvin()).unwrap(),
        "co2_molar_volume_STP" => MOLAR_MASS / density(row.input("p_kPa") / 100.0),
        "g_per_volume_real" => Carbonation::VOLUME,
        "g_per_volume_ideal" => Carbonation::IDEAL_VOLUME,
        "co2_diffusivity" => jaehne::diffusivity(at().kelvin()).unwrap() * 1e9,
        "co2_vapour_pressure_bar" => carbon_dioxide::vapour_pressure(at()).unwrap().bar(),
        "co2_liquid_density" => span_wagner::liquid_density(at().kelvin()).unwrap(),
        "co2_gas_density" => density(row.input("p_bar")),
        "co2_litres_per_kg" => 1000.0 / density(row.input("p_bar")),
        _ => return None,
    })
}
