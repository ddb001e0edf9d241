//! Steam, air as it carries heat, and what is acid.

use model::published::{air_properties, bubble_column, ionisation, sucrose, viscosity};
use model::{
    AbsolutePressure, SugarContent, Temperature, acidity, carbonation, gas_budget, limits, water,
};

use crate::liquid::celsius;
use crate::row::{Outcome, Row};

pub(crate) fn computed(row: &Row) -> Option<Outcome> {
    water_value(row)
        .or_else(|| air_value(row))
        .or_else(|| sour_or_sweet(row))
        .map(Outcome::Number)
}

fn water_value(row: &Row) -> Option<f64> {
    let at = || celsius(row, "t_C");
    Some(match row.quantity.as_str() {
        "water_viscosity" => viscosity::water(at().kelvin()).unwrap() * 1000.0,
        "water_vaporisation_heat" => water::vaporisation_heat(at()).unwrap() / 1000.0,
        "steam_density" => water::steam_density(at()).unwrap() * 1000.0,
        "co2_latent_heat" => gas_budget::latent_heat(at()).unwrap() / 1000.0,
        "boiling_point_at_kPa" => {
            let under = AbsolutePressure::from_kilopascals(row.input("p_kPa")).unwrap();
            water::boiling_point(under).unwrap().celsius()
        }
        _ => return None,
    })
}

fn air_value(row: &Row) -> Option<f64> {
    let air = || air_properties::air(row.input("T_K")).unwrap();
    Some(match row.quantity.as_str() {
        "air_conductivity" => air().conductivity * 1000.0,
        "air_kinematic_viscosity" => air().kinematic_viscosity * 1e6,
        "air_prandtl" => air().prandtl,
        _ => return None,
    })
}

fn sour_or_sweet(row: &Row) -> Option<f64> {
    Some(match row.quantity.as_str() {
        "kLa_bubble_column" => bubble_column::oxygen_transfer(row.input("u_g_m_s")).unwrap(),
        "carbonated_ph" => under_gas(celsius(row, "t_C"), row.input("pCO2_atm")),
        "carbonic_acid_pK1" => {
            let kelvin = celsius(row, "t_C").kelvin();
            -ionisation::carbonic_acid(kelvin).unwrap().log10()
        }
        "sucrose_freezing_point_C" => {
            let sugar = SugarContent::new(row.input("brix")).unwrap();
            limits::freezing_point(sugar).unwrap().celsius()
        }
        // Usher found 0.877 in water.
        "sucrose_co2_bunsen_20C" => 0.877 * sucrose_factor(row.input("c_mol_L")),
        _ => return None,
    })
}

/// pH of pure water under this pressure of CO2 besides its vapour.
fn under_gas(at: Temperature, atmospheres: f64) -> f64 {
    let total = 1.01325 * atmospheres + water::saturation_pressure(at).unwrap().bar();
    let content = carbonation::dissolved(
        at,
        AbsolutePressure::new(total).unwrap(),
        AbsolutePressure::VACUUM,
        SugarContent::of(0.0),
    );
    acidity::ph(content.unwrap(), at).unwrap()
}

/// The factor for a molarity, whose sugar content is found by halving.
fn sucrose_factor(molarity: f64) -> f64 {
    let (mut low, mut high) = (0.0, 20.0);
    for _ in 0..60 {
        let middle = f64::midpoint(low, high);
        if sucrose::molarity(middle).unwrap() < molarity {
            low = middle;
        } else {
            high = middle;
        }
    }
    sucrose::co2_factor(high).unwrap()
}
