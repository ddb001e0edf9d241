//! Water, ice, air, sugar and units.

use model::published::{g704, if97, still_surface, sucrose, water_enthalpy, weir};
use model::{
    AbsolutePressure, Elevation, Energy, Fraction, GaugePressure, IceFactor, Load, Mass,
    Temperature, Volume, air, atmosphere, dechlorination, ice, water,
};

use crate::row::{Outcome, Row};

pub(crate) fn computed(row: &Row) -> Option<Outcome> {
    water_value(row)
        .or_else(|| air_value(row))
        .or_else(|| chemistry(row))
        .or_else(|| standing(row))
        .map(Outcome::Number)
        .or_else(|| unit(row))
}

pub(crate) fn celsius(row: &Row, name: &str) -> Temperature {
    Temperature::new(row.input(name)).unwrap()
}

fn site(row: &Row) -> AbsolutePressure {
    atmosphere::pressure_at(Elevation::new(row.input("z_m")).unwrap()).unwrap()
}

fn water_value(row: &Row) -> Option<f64> {
    let t = |name| celsius(row, name);
    Some(match row.quantity.as_str() {
        "water_psat_check_MPa" => if97::saturation_pressure(row.input("T_K")).unwrap(),
        "water_tsat_check_K" => if97::saturation_temperature(row.input("p_MPa")).unwrap(),
        "water_psat_kPa" => water::saturation_pressure(t("t_C")).unwrap().kilopascals(),
        "water_density" => water::density(t("t_C")).unwrap() * 1000.0,
        "water_cp" => water_enthalpy::heat_capacity(row.input("t_C")).unwrap(),
        "water_enthalpy_diff" => {
            (water::enthalpy(t("t1_C")).unwrap() - water::enthalpy(t("t2_C")).unwrap()) / 1000.0
        }
        "ice_enthalpy" => ice::enthalpy(t("t_C")).unwrap() / 1000.0,
        "ice_latent_heat_fusion" => {
            (water::enthalpy(t("t_C")).unwrap() - ice::enthalpy(t("t_C")).unwrap()) / 1000.0
        }
        "ice_mass_ratio" => {
            ice::needed_ratio(t("t_hot_C"), t("t_end_C"), t("t_ice_C"), IceFactor::DRY).unwrap()
        }
        "isa_pressure_kPa" => site(row).kilopascals(),
        "boiling_point_C" => water::boiling_point(site(row)).unwrap().celsius(),
        _ => return None,
    })
}

/// What water takes up where it stands or falls, and the steel around it.
fn standing(row: &Row) -> Option<f64> {
    Some(match row.quantity.as_str() {
        "k600_still_lake_cm_per_h" => match row.text("fit") {
            "Cole & Caraco" => still_surface::cole_caraco(row.input("U10_m_s")).unwrap(),
            "Crusius & Wanninkhof" => still_surface::CRUSIUS_WANNINKHOF,
            _ => return None,
        },
        "weir_deficit_ratio" => {
            let form = [row.input("a"), row.input("b")];
            weir::deficit_ratio(form, row.input("h_m"), row.input("t_C")).unwrap()
        }
        "steel_heat_capacity" => {
            let steel = Load {
                liquid: Volume::of(0.0),
                steel: Mass::of(1.0),
            };
            let heat = steel.heat_between(Temperature::of(20.0), Temperature::of(30.0));
            heat.unwrap().joules() / 10.0
        }
        _ => return None,
    })
}

fn air_value(row: &Row) -> Option<f64> {
    let at = || celsius(row, "t_C");
    let pressure = || AbsolutePressure::new(row.input("p_bar")).unwrap();
    Some(match row.quantity.as_str() {
        "henry_lnkH_GPa" => {
            let solute = match row.text("gas") {
                "N2" => g704::Solute::Nitrogen,
                "O2" => g704::Solute::Oxygen,
                "Ar" => g704::Solute::Argon,
                "CO2" => g704::Solute::CarbonDioxide,
                _ => return None,
            };
            g704::henry_constant(solute, row.input("T_K")).unwrap().ln()
        }
        "dissolved_gas_mg_L" => {
            let gases = air::saturated_gases(at(), pressure()).unwrap();
            match row.text("gas") {
                "N2" => gases.nitrogen.milligrams_per_litre(),
                "O2" => gases.oxygen.milligrams_per_litre(),
                "Ar" => gases.argon.milligrams_per_litre(),
                _ => return None,
            }
        }
        "dissolved_air_mg_L" => air::saturated(at(), pressure())
            .unwrap()
            .milligrams_per_litre(),
        "residual_air_mg_L" => air::after_heating(at(), site(row))
            .unwrap()
            .milligrams_per_litre(),
        "air_k_1e-6_per_bar" => mole_fraction_per_bar(at()),
        _ => return None,
    })
}

/// Dissolved air at one bar of dry air, in parts per million of moles.
fn mole_fraction_per_bar(at: Temperature) -> f64 {
    let vapour = water::saturation_pressure(at).unwrap().bar();
    let gases = air::saturated_gases(at, AbsolutePressure::new(1.0 + vapour).unwrap()).unwrap();
    let millimoles = gases.nitrogen.milligrams_per_litre() / 28.0134
        + gases.oxygen.milligrams_per_litre() / 31.9988
        + gases.argon.milligrams_per_litre() / 39.948;
    let moles_of_water = water::density(at).unwrap() * 1000.0 / 18.015_28;
    millimoles / 1000.0 / moles_of_water * 1e6
}

fn chemistry(row: &Row) -> Option<f64> {
    use dechlorination::Agent;
    let litre = Volume::of(1.0);
    Some(match row.quantity.as_str() {
        "dechlor_mg_per_mg_Cl2" => match row.text("agent") {
            "sodium ascorbate" => Agent::SodiumAscorbate.per_chlorine(),
            "ascorbic acid" => Agent::AscorbicAcid.per_chlorine(),
            _ => return None,
        },
        "chlorine_covered_by_5_mg_L_sodium_ascorbate" => {
            let dose = Mass::from_grams(0.005).unwrap();
            dechlorination::covers(Agent::SodiumAscorbate, dose, litre, Fraction::NONE)
                .unwrap()
                .milligrams_per_litre()
        }
        "sodium_ascorbate_for_MRDL" => {
            let chlorine = model::ChlorineResidual::new(row.input("cl2_mg_L")).unwrap();
            dechlorination::dose(Agent::SodiumAscorbate, chlorine, litre, Fraction::NONE)
                .unwrap()
                .grams()
                * 1000.0
        }
        "sucrose_density_20C" => sucrose::density(row.input("brix")).unwrap(),
        "sucrose_co2_factor" => sucrose::co2_factor(row.input("brix")).unwrap(),
        _ => return None,
    })
}

fn unit(row: &Row) -> Option<Outcome> {
    let value = match row.quantity.as_str() {
        "unit_conversion" => match row.text("from") {
            "psi" => GaugePressure::from_psi(1.0).unwrap().bar() * 100.0,
            "bar" => AbsolutePressure::of(1.0).kilopascals(),
            "inHg" => AbsolutePressure::from_inches_of_mercury(1.0)
                .unwrap()
                .kilopascals(),
            "gallon" => Volume::from_us_gallons(1.0).unwrap().litres(),
            "fluid_ounce" => Volume::from_us_fluid_ounces(1.0).unwrap().litres() * 1000.0,
            "Btu_IT" => model::Power::from_btu_per_hour(3600.0).unwrap().watts() / 1000.0,
            "ft" | "foot" => Elevation::from_feet(1.0).unwrap().metres(),
            "lb" | "pound" => Mass::from_pounds(1.0).unwrap().kilograms(),
            "kWh" => Energy::from_kilowatt_hours(1.0).unwrap().joules() / 1000.0,
            _ => return None,
        },
        "unit_temperature" => Temperature::from_fahrenheit(row.input("t_F"))
            .unwrap()
            .celsius(),
        _ => return None,
    };
    Some(Outcome::Number(value))
}
