//! Air in water.

use model::{
    AirContent, Elevation, Fraction, Length, SurfaceTransfer, TimeSpan, air, atmosphere, water,
};

use super::{bar, celsius};
use crate::sheet::{Sheet, span};

pub(crate) fn sheets() -> Vec<Sheet> {
    let mut sheets = saturated();
    sheets.push(heated());
    sheets.push(removal());
    sheets.push(standing());
    sheets
}

fn saturated() -> Vec<Sheet> {
    let columns = &["t_C", "p_bar"];
    let mut nitrogen = Sheet::new("air_nitrogen", columns);
    let mut oxygen = Sheet::new("air_oxygen", columns);
    let mut argon = Sheet::new("air_argon", columns);
    for t in span(0.0, 95.0, 190) {
        for p in [0.65, 0.8353, 0.95, 1.01325, 1.08] {
            let gases = air::saturated_gases(celsius(t), bar(p)).unwrap();
            nitrogen.add(&[t, p], gases.nitrogen.milligrams_per_litre());
            oxygen.add(&[t, p], gases.oxygen.milligrams_per_litre());
            argon.add(&[t, p], gases.argon.milligrams_per_litre());
        }
    }
    vec![nitrogen, oxygen, argon]
}

/// From 50 °C to just below the boil.
fn heated() -> Sheet {
    let mut sheet = Sheet::new("air_after_heating", &["t_C", "z_m"]);
    for z in span(0.0, 4000.0, 20) {
        let site = atmosphere::pressure_at(Elevation::new(z).unwrap()).unwrap();
        let boil = water::boiling_point(site).unwrap().celsius();
        for t in span(50.0, boil - 0.25, 40) {
            let left = air::after_heating(celsius(t), site).unwrap();
            sheet.add(&[t, z], left.milligrams_per_litre());
        }
    }
    sheet
}

/// The inverse: how hot for a share.
fn removal() -> Sheet {
    let mut sheet = Sheet::new("air_removal_temperature", &["share", "from_C", "p_bar"]);
    for share in [0.3, 0.5, 0.7, 0.8, 0.9, 0.95, 0.98] {
        for from in span(2.0, 28.0, 13) {
            for p in [0.75, 0.8353, 0.9, 1.01325] {
                let wanted = Fraction::new(share).unwrap();
                let to = air::temperature_for_removal(wanted, celsius(from), bar(p)).unwrap();
                sheet.add(&[share, from, p], to.celsius());
            }
        }
    }
    sheet
}

fn standing() -> Sheet {
    let columns = &["t_C", "depth_m", "transfer_m_s", "start_mg_L", "hours"];
    let mut sheet = Sheet::new("air_reaeration", columns);
    for t in [4.0, 20.0, 28.0] {
        for depth in [0.05, 0.3] {
            for start in [1.0, 4.0, 40.0] {
                for hours in [0.25, 1.0, 4.0, 24.0] {
                    let pot = air::Standing {
                        temperature: celsius(t),
                        atmosphere: bar(1.01325),
                        depth: Length::new(depth).unwrap(),
                        transfer: SurfaceTransfer::of(2e-5),
                    };
                    let time = TimeSpan::from_hours(hours).unwrap();
                    let begun = AirContent::new(start).unwrap();
                    let now = air::reaerated(&pot, begun, time).unwrap();
                    let inputs = [t, depth, 2e-5, start, hours];
                    sheet.add(&inputs, now.milligrams_per_litre());
                }
            }
        }
    }
    sheet
}
