//! Kegs and pots: heating, cooling, purging, gassing.

use model::cooling::{self, Container, Surroundings};
use model::gas_budget::{self, Budget, GassedKeg};
use model::headspace::{self, Fill, Purging};
use model::heating::{self, Heater};
use model::kinetics::StillKeg;
use model::published::convection;
use model::{
    AbsolutePressure, AirSpeed, Carbonation, Conductance, Fraction, GaugePressure, Load, Mass,
    Power, SugarContent, Temperature, Volume, air, carbonation, ice_bath,
};

use crate::liquid::celsius;
use crate::row::{Outcome, Row};

const SEA_LEVEL: AbsolutePressure = AbsolutePressure::STANDARD_ATMOSPHERE;

pub(crate) fn computed(row: &Row) -> Option<Outcome> {
    heat_value(row)
        .or_else(|| gas_value(row))
        .map(Outcome::Number)
}

fn heat_value(row: &Row) -> Option<f64> {
    let input = |name: &str| row.input(name);
    let t = |name| celsius(row, name);
    Some(match row.quantity.as_str() {
        "h_natural_air" => {
            convection::free_vertical(input("ts_C"), input("ta_C"), input("L_m")).unwrap()
        }
        "h_forced_air" => {
            let (surface, air) = (input("ts_C"), input("ta_C"));
            convection::forced_cylinder(surface, air, input("D_m"), input("v_m_s")).unwrap()
        }
        "keg_cool_time_h" => {
            let speed = AirSpeed::new(input("v_air_m_s")).unwrap();
            let store = Surroundings {
                air: t("t_air_C"),
                speed,
                atmosphere: SEA_LEVEL,
            };
            cooling::time_to(&Container::STEEL_KEG_19_L, store, t("t0_C"), t("t1_C"))
                .unwrap()
                .hours()
        }
        "keg_ice_bath_time_h" => {
            let keg = Container::STEEL_KEG_19_L.load;
            let ua = Conductance::new(input("UA_W_K")).unwrap();
            ice_bath::time(&keg, t("t0_C"), t("t1_C"), t("t_bath_C"), ua)
                .unwrap()
                .hours()
        }
        "heat_time_min" => heating_minutes(row),
        _ => return None,
    })
}

/// A pot of 6 kg of steel, without losses.
fn heating_minutes(row: &Row) -> f64 {
    let pot = Load {
        liquid: Volume::new(row.input("v_L")).unwrap(),
        steel: Mass::of(6.0),
    };
    let heater = Heater {
        power: Power::new(row.input("p_kW") * 1000.0).unwrap(),
        efficiency: Fraction::new(row.input("eff")).unwrap(),
        loss: Conductance::of(0.0),
        room: Temperature::of(20.0),
    };
    heating::time(&pot, &heater, celsius(row, "t0_C"), celsius(row, "t1_C"))
        .unwrap()
        .minutes()
}

fn gas_value(row: &Row) -> Option<f64> {
    Some(match row.quantity.as_str() {
        "headspace_air_left_after_purges" => {
            let low = AbsolutePressure::new(row.input("p_low_bar")).unwrap();
            let high = AbsolutePressure::new(row.input("p_high_bar")).unwrap();
            let one = Purging::prompt(1, high.gauge(low).unwrap())
                .left_by_one(low)
                .unwrap();
            one.powf(row.input("n"))
        }
        "co2_loss_fraction_from_air" => loss(row),
        "co2_dissolved_g_per_keg" => budget(row).dissolved.grams(),
        "co2_headspace_g_per_keg" => budget(row).headspace.grams(),
        "co2_dispense_g_per_keg" => budget(row).push.grams(),
        "static_carbonation_time_h" => still_time(row),
        _ => return None,
    })
}

/// A 19.5 L keg, purged from 2 bar gauge before any gas redistributes.
fn loss(row: &Row) -> f64 {
    let brim = Volume::of(19.5);
    let liquid = brim.litres() * (1.0 - row.input("headspace_frac"));
    let fill = Fill {
        brim,
        liquid: Volume::new(liquid).unwrap(),
        air: air::saturated(celsius(row, "t_water_sat_C"), SEA_LEVEL).unwrap(),
        temperature: celsius(row, "t_final_C"),
        atmosphere: SEA_LEVEL,
    };
    let purging = Purging::prompt(row.input("purges") as u32, GaugePressure::of(2.0));
    let held = GaugePressure::new(row.input("p_gauge_bar")).unwrap();
    headspace::loss(&fill, &purging, held).unwrap().value()
}

fn budget(row: &Row) -> Budget {
    gas_budget::keg(&GassedKeg {
        brim: Volume::new(row.input("v_keg_L")).unwrap(),
        liquid: Volume::new(row.input("v_liq_L")).unwrap(),
        temperature: celsius(row, "t_C"),
        held: GaugePressure::new(row.input("p_gauge_bar")).unwrap(),
        purge: GaugePressure::of(2.0),
        purges: 0,
        sugar: SugarContent::of(0.0),
        atmosphere: SEA_LEVEL,
    })
    .unwrap()
}

fn still_time(row: &Row) -> f64 {
    let at = celsius(row, "t_C");
    let total = GaugePressure::new(row.input("p_gauge_bar"))
        .unwrap()
        .absolute(SEA_LEVEL)
        .unwrap();
    let sugar = SugarContent::of(0.0);
    let full = carbonation::dissolved(at, total, AbsolutePressure::VACUUM, sugar).unwrap();
    let target = Carbonation::new(row.input("fraction") * full.grams_per_litre()).unwrap();
    StillKeg::steel_19_l(at)
        .time(Carbonation::NONE, target, full)
        .unwrap()
        .hours()
}
