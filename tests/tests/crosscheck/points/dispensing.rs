//! Flow through the line from keg to tap.

use model::dispensing::{self, Drink, Line};
use model::published::churchill;
use model::{Factor, GaugePressure, Length, Lift, Roughness, SugarContent, WaterFlow};

use super::celsius;
use crate::sheet::{Sheet, span};

const PRESSURE: &[&str] = &[
    "t_C",
    "bore_m",
    "length_m",
    "lift_m",
    "roughness_m",
    "fittings",
    "L_per_min",
];
const FLOW: &[&str] = &[
    "t_C",
    "bore_m",
    "length_m",
    "lift_m",
    "roughness_m",
    "fittings",
    "bar",
];

pub(crate) fn sheets() -> Vec<Sheet> {
    let mut sheets = vec![factor()];
    sheets.extend(lines());
    sheets
}

fn factor() -> Sheet {
    let mut sheet = Sheet::new("friction_factor", &["reynolds", "roughness"]);
    for decade in span(0.0, 7.5, 60) {
        let reynolds = 10_f64.powf(decade);
        for roughness in [0.0, 1e-5, 3e-4, 2e-3, 0.02, 0.05] {
            let factor = churchill::friction_factor(reynolds, roughness).unwrap();
            sheet.add(&[reynolds, roughness], factor);
        }
    }
    sheet
}

/// Lines as bars have them.
fn lines() -> [Sheet; 2] {
    let mut pressure = Sheet::new("line_pressure", PRESSURE);
    let mut flow = Sheet::new("line_flow", FLOW);
    for t in [1.0, 4.0, 10.0, 25.0] {
        for bore in [0.0032, 0.0048, 0.0064, 0.0095] {
            for (length, lift, fittings) in [(1.5, 0.6, 2.0), (6.0, 1.2, 0.0), (25.0, 4.0, 5.0)] {
                for roughness in [0.0, 0.0015, 0.02] {
                    let built = Line {
                        bore: Length::new(bore).unwrap(),
                        length: Length::new(length).unwrap(),
                        lift: Lift::new(lift).unwrap(),
                        roughness: Roughness::new(roughness).unwrap(),
                        fittings: Factor::new(fittings).unwrap(),
                    };
                    let drink = Drink {
                        temperature: celsius(t),
                        sugar: SugarContent::of(0.0),
                    };
                    let at = |last| [t, bore, length, lift, roughness / 1e3, fittings, last];
                    for litres in [0.2, 1.0, 2.0, 4.0] {
                        let used = built.used(&drink, WaterFlow::new(litres).unwrap()).unwrap();
                        pressure.add(&at(litres), used.total());
                    }
                    for bar in [0.5, 1.0, 2.0, 3.0] {
                        let gauge = GaugePressure::new(bar).unwrap();
                        let (found, _) = dispensing::flow(&built, &drink, gauge).unwrap();
                        flow.add(&at(bar), found.litres_per_minute());
                    }
                }
            }
        }
    }
    [pressure, flow]
}
