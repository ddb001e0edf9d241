//! Published values, asked for over HTTP: rows of `model/reference/physics.csv` that fit a
//! calculation, each named with its source when it disagrees.

use std::collections::BTreeMap;

use serde_json::{Value, json};
use tests::Server;

use super::{ask, number};

/// One standard atmosphere, bar.
const ATMOSPHERE_BAR: f64 = 1.013_25;

struct Row {
    quantity: String,
    inputs: Value,
    value: f64,
    tolerance: String,
    source: String,
}

impl Row {
    fn input(&self, name: &str) -> f64 {
        number(&self.inputs, &format!("/{name}"))
    }

    fn text(&self, name: &str) -> &str {
        self.inputs[name].as_str().unwrap()
    }

    fn agrees(&self, found: f64) -> bool {
        let (kind, digits) = self.tolerance.split_once(' ').unwrap();
        let allowed: f64 = digits.parse().unwrap();
        let allowed = if kind == "rel" {
            allowed * self.value.abs()
        } else {
            allowed
        };
        (found - self.value).abs() <= allowed
    }
}

/// The rows that are checks.
fn rows() -> Vec<Row> {
    let path = tests::here().join("../model/reference/physics.csv");
    let mut reader = csv::Reader::from_path(path).unwrap();
    let rows = reader.records().map(|record| {
        let record = record.unwrap();
        let check = record[4].starts_with("rel ") || record[4].starts_with("abs ");
        check.then(|| Row {
            quantity: record[0].to_owned(),
            inputs: serde_json::from_str(&record[1]).unwrap(),
            value: record[2].parse().unwrap(),
            tolerance: record[4].to_owned(),
            source: record[5].to_owned(),
        })
    });
    rows.flatten().collect()
}

/// What the service says to a row; none where no calculation fits it.
fn asked(server: &Server, row: &Row) -> Option<f64> {
    site(server, row)
        .or_else(|| water(server, row))
        .or_else(|| gas(server, row))
        .or_else(|| chemistry(server, row))
        .or_else(|| pots(server, row))
        .or_else(|| kegs(server, row))
}

fn site(server: &Server, row: &Row) -> Option<f64> {
    let at = |name| ask(server, name, &json!({ "elevation_m": row.input("z_m") }));
    Some(match row.quantity.as_str() {
        "isa_pressure_kPa" => number(&at("atmosphere/pressure"), "/answer/air_pressure/kpa"),
        "boiling_point_C" => number(&at("atmosphere/boiling-point"), "/answer/boiling_point/c"),
        "residual_air_mg_L" => {
            // From cold water, which holds more than any of these.
            let body =
                json!({ "to_c": row.input("t_C"), "from_c": 0, "elevation_m": row.input("z_m") });
            number(
                &ask(server, "air/after-heating", &body),
                "/answer/left/mg_per_l",
            )
        }
        "dissolved_gas_mg_L" | "dissolved_air_mg_L" => {
            let body = json!({
                "temperature_c": row.input("t_C"), "barometer_hpa": row.input("p_bar") * 1000.0,
            });
            let gas = match row.inputs["gas"].as_str() {
                Some("N2") => "nitrogen",
                Some("O2") => "oxygen",
                Some("Ar") => "argon",
                _ => "total",
            };
            let reply = ask(server, "air/saturation", &body);
            number(&reply, &format!("/answer/{gas}/mg_per_l"))
        }
        _ => return None,
    })
}

fn water(server: &Server, row: &Row) -> Option<f64> {
    let at = |name, t: &str| ask(server, name, &json!({ "temperature_c": row.input(t) }));
    Some(match row.quantity.as_str() {
        "water_psat_kPa" if (-1.0..=110.0).contains(&row.input("t_C")) => number(
            &at("properties/water", "t_C"),
            "/answer/vapour_pressure/kpa",
        ),
        "water_density" if row.input("t_C") <= 110.0 => {
            number(&at("properties/water", "t_C"), "/answer/density/kg_per_m3")
        }
        "water_enthalpy_diff" => {
            let held = |t| number(&at("properties/water", t), "/answer/enthalpy/kj_per_kg");
            held("t1_C") - held("t2_C")
        }
        "ice_enthalpy" => number(&at("properties/ice", "t_C"), "/answer/enthalpy/kj_per_kg"),
        "ice_latent_heat_fusion" => {
            number(&at("properties/ice", "t_C"), "/answer/to_water/kj_per_kg")
        }
        "ice_mass_ratio" => {
            let body = json!({
                "total_l": 18.5, "from_c": row.input("t_hot_C"), "to_c": row.input("t_end_C"),
                "ice_c": row.input("t_ice_C"),
            });
            number(&ask(server, "ice/needed", &body), "/answer/ratio")
        }
        _ => return None,
    })
}

fn gas(server: &Server, row: &Row) -> Option<f64> {
    Some(match row.quantity.as_str() {
        "co2_g_per_L" => {
            let body = json!({
                "temperature_c": row.input("t_C"), "pressure_bar": row.input("p_gauge_bar"),
                "barometer_hpa": row.input("p_atm_bar") * 1000.0,
            });
            number(
                &ask(server, "carbonation/dissolved", &body),
                "/answer/carbonation/g_per_l",
            )
        }
        "co2_g_per_L_pCO2_1atm" | "co2_volumes_pCO2_1atm" => {
            // One atmosphere of CO2 besides the vapour of the water.
            let t = row.input("t_C");
            let water = ask(server, "properties/water", &json!({ "temperature_c": t }));
            let vapour = number(&water, "/answer/vapour_pressure/kpa") / 100.0;
            let body = json!({ "temperature_c": t, "pressure_bar": vapour });
            let unit = if row.quantity.contains("volumes") {
                "volumes"
            } else {
                "g_per_l"
            };
            let reply = ask(server, "carbonation/dissolved", &body);
            number(&reply, &format!("/answer/carbonation/{unit}"))
        }
        "co2_gas_density" if row.input("p_bar") >= ATMOSPHERE_BAR => {
            let body = json!({
                "temperature_c": row.input("t_C"),
                "pressure_bar": row.input("p_bar") - ATMOSPHERE_BAR,
            });
            let reply = ask(server, "properties/carbon-dioxide", &body);
            number(&reply, "/answer/density/kg_per_m3")
        }
        "co2_vapour_pressure_bar" if row.input("t_C") <= 30.0 => {
            let body = json!({ "temperature_c": row.input("t_C") });
            let reply = ask(server, "properties/cylinder-pressure", &body);
            number(&reply, "/answer/absolute/kpa") / 100.0
        }
        _ => return None,
    })
}

fn chemistry(server: &Server, row: &Row) -> Option<f64> {
    let dose = |agent: &str, chlorine: f64| {
        let body = json!({
            "agent": agent, "total_chlorine_mg_per_l": chlorine, "water_l": 1, "overdose": 0,
        });
        number(
            &ask(server, "dechlorination/ascorbate", &body),
            "/answer/dose/g",
        ) * 1000.0
    };
    let convert = |value: f64, from: &str, to: &str| {
        let body = json!({ "value": value, "from": from, "to": to });
        number(&ask(server, "units/convert", &body), "/answer/value")
    };
    Some(match row.quantity.as_str() {
        "dechlor_mg_per_mg_Cl2" => match row.text("agent") {
            "sodium ascorbate" => dose("sodium_ascorbate", 1.0),
            "ascorbic acid" => dose("ascorbic_acid", 1.0),
            _ => return None,
        },
        "sodium_ascorbate_for_MRDL" => dose("sodium_ascorbate", row.input("cl2_mg_L")),
        "chlorine_covered_by_5_mg_L_sodium_ascorbate" => {
            let body = json!({ "agent": "sodium_ascorbate", "dose_g": 0.005, "water_l": 1 });
            let reply = ask(server, "dechlorination/dose-covers", &body);
            number(&reply, "/answer/covers/mg_per_l")
        }
        "unit_conversion" => match row.text("from") {
            "psi" => convert(1.0, "psi", "kpa"),
            "bar" => convert(1.0, "bar", "kpa"),
            "inHg" => convert(1.0, "inhg", "kpa"),
            "gallon" => convert(1.0, "us_gal", "l"),
            "fluid_ounce" => convert(1.0, "us_fl_oz", "ml"),
            "Btu_IT" => convert(1.0, "btu", "j") / 1000.0,
            _ => return None,
        },
        "unit_temperature" => convert(row.input("t_F"), "f", "c"),
        _ => return None,
    })
}

fn pots(server: &Server, row: &Row) -> Option<f64> {
    Some(match row.quantity.as_str() {
        "heat_time_min" => {
            let body = json!({
                "liquid_l": row.input("v_L"), "steel_kg": 6, "power_w": row.input("p_kW") * 1000.0,
                "efficiency": row.input("eff"), "from_c": row.input("t0_C"),
                "to_c": row.input("t1_C"),
            });
            number(&ask(server, "heating/time", &body), "/answer/time/min")
        }
        "keg_cool_time_h" => {
            let body = json!({
                "from_c": row.input("t0_C"), "to_c": row.input("t1_C"),
                "air_c": row.input("t_air_C"), "air_speed_m_per_s": row.input("v_air_m_s"),
            });
            number(&ask(server, "cooling/keg", &body), "/answer/time/h")
        }
        "keg_ice_bath_time_h" => {
            let body = json!({
                "from_c": row.input("t0_C"), "to_c": row.input("t1_C"),
                "bath_c": row.input("t_bath_C"), "conductance_w_per_k": row.input("UA_W_K"),
            });
            number(&ask(server, "ice/bath", &body), "/answer/time/h")
        }
        _ => return None,
    })
}

fn kegs(server: &Server, row: &Row) -> Option<f64> {
    Some(match row.quantity.as_str() {
        "co2_loss_fraction_from_air" => loss(server, row),
        "co2_dissolved_g_per_keg" => budget(server, row, "dissolved"),
        "co2_headspace_g_per_keg" => budget(server, row, "headspace"),
        "co2_dispense_g_per_keg" => budget(server, row, "push"),
        "static_carbonation_time_h" => still(server, row),
        _ => return None,
    })
}

/// A 19.5 L keg of water saturated cold, purged from 2 bar gauge before any gas redistributes.
fn loss(server: &Server, row: &Row) -> f64 {
    let cold = json!({ "temperature_c": row.input("t_water_sat_C") });
    let air = number(
        &ask(server, "air/saturation", &cold),
        "/answer/total/mg_per_l",
    );
    let body = json!({
        "brim_l": 19.5, "liquid_l": 19.5 * (1.0 - row.input("headspace_frac")),
        "air_mg_per_l": air, "temperature_c": row.input("t_final_C"),
        "pressure_bar": row.input("p_gauge_bar"), "purges": row.inputs["purges"],
        "purge_bar": 2, "mixing": "prompt",
    });
    number(&ask(server, "headspace/sealed-keg", &body), "/answer/loss")
}

fn budget(server: &Server, row: &Row, part: &str) -> f64 {
    let body = json!({
        "brim_l": row.input("v_keg_L"), "liquid_l": row.input("v_liq_L"),
        "temperature_c": row.input("t_C"), "pressure_bar": row.input("p_gauge_bar"),
    });
    number(
        &ask(server, "gas/keg-budget", &body),
        &format!("/answer/{part}/g"),
    )
}

/// The default keg standing still, to a share of what it tends to.
fn still(server: &Server, row: &Row) -> f64 {
    let held =
        json!({ "temperature_c": row.input("t_C"), "pressure_bar": row.input("p_gauge_bar") });
    let full = number(
        &ask(server, "carbonation/dissolved", &held),
        "/answer/carbonation/g_per_l",
    );
    let mut body = held;
    body["target_g_per_l"] = json!(full * row.input("fraction"));
    body["method"] = json!("still");
    number(
        &ask(server, "uptake/time-to-target", &body),
        "/answer/time/h",
    )
}

#[test]
fn published_values_are_answered_over_http() {
    let server = Server::empty();
    let mut checked: BTreeMap<String, u32> = BTreeMap::new();
    let mut wrong = Vec::new();
    for row in rows() {
        let Some(found) = asked(&server, &row) else {
            continue;
        };
        *checked.entry(row.quantity.clone()).or_default() += 1;
        if !row.agrees(found) {
            let Row {
                quantity,
                inputs,
                value,
                tolerance,
                source,
            } = &row;
            wrong.push(format!(
                "{quantity} {inputs}: {value} ({tolerance}), found {found}; {source}"
            ));
        }
    }
    assert!(
        wrong.is_empty(),
        "{} rows:\n{}",
        wrong.len(),
        wrong.join("\n")
    );
    let rows: u32 = checked.values().sum();
    assert!(
        rows >= 150 && checked.len() >= 28,
        "{rows} rows: {checked:#?}"
    );
}
