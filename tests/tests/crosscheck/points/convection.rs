//! Air as it carries heat.

use model::cooling::{self, Container, Surroundings};
use model::published::{air_properties, convection};
use model::{AirSpeed, Temperature};

use super::{bar, celsius};
use crate::sheet::{Sheet, span};

pub(crate) fn sheets() -> Vec<Sheet> {
    let mut sheets = properties();
    sheets.push(free());
    sheets.push(forced());
    sheets.push(conductance());
    sheets
}

fn properties() -> Vec<Sheet> {
    let mut conductivity = Sheet::new("air_conductivity", &["t_C"]);
    let mut prandtl = Sheet::new("air_prandtl", &["t_C"]);
    let mut viscosity = Sheet::new("air_kinematic_viscosity", &["t_C", "p_bar"]);
    for t in span(-40.0, 110.0, 75) {
        let air = air_properties::air(t + 273.15).unwrap();
        conductivity.add(&[t], air.conductivity);
        prandtl.add(&[t], air.prandtl);
        for p in [0.6, 0.8353, 1.01325] {
            viscosity.add(&[t, p], air.under(p).kinematic_viscosity * 1e6);
        }
    }
    vec![conductivity, prandtl, viscosity]
}

fn free() -> Sheet {
    let mut sheet = Sheet::new("free_convection", &["surface_C", "air_C", "height_m"]);
    for surface in span(-1.0, 99.0, 25) {
        for air in [-10.0, 0.0, 2.0, 4.5, 20.0] {
            for height in [0.2, 0.56, 1.0] {
                if f64::abs(surface - air) > 0.2 {
                    let film = convection::free_vertical(surface, air, height).unwrap();
                    sheet.add(&[surface, air, height], film);
                }
            }
        }
    }
    sheet
}

fn forced() -> Sheet {
    let columns = &["surface_C", "air_C", "diameter_m", "speed_m_s"];
    let mut sheet = Sheet::new("forced_convection", columns);
    for surface in span(0.0, 95.0, 19) {
        for air in [-5.0, 2.0, 20.0] {
            for diameter in [0.06, 0.22, 0.4] {
                for speed in [0.1, 0.3, 1.0, 3.0, 10.0] {
                    let film = convection::forced_cylinder(surface, air, diameter, speed);
                    sheet.add(&[surface, air, diameter, speed], film.unwrap());
                }
            }
        }
    }
    sheet
}

/// A keg's conductance with both kinds of convection and radiation, also in thin air.
fn conductance() -> Sheet {
    let columns = &["surface_C", "air_C", "speed_m_s", "p_bar"];
    let mut sheet = Sheet::new("keg_conductance", columns);
    for surface in span(3.0, 93.0, 18) {
        for air in [-2.0, 1.0, 2.5] {
            for speed in [0.0, 0.3, 1.0, 2.0] {
                for p in [0.7, 0.8353, 1.01325] {
                    let around = around(celsius(air), speed, p);
                    let keg = Container::STEEL_KEG_19_L;
                    let ua = cooling::conductance(&keg, celsius(surface), around).unwrap();
                    sheet.add(&[surface, air, speed, p], ua.watts_per_kelvin());
                }
            }
        }
    }
    sheet
}

pub(super) fn around(air: Temperature, speed: f64, p: f64) -> Surroundings {
    Surroundings {
        air,
        speed: AirSpeed::new(speed).unwrap(),
        atmosphere: bar(p),
    }
}
