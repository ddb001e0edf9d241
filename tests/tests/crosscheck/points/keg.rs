//! The gas of a keg, and of one that is sealed and warms.

use model::gas_budget::{self, Budget, GassedKeg};
use model::limits::{self, SealedKeg};
use model::{Conductance, GaugePressure, SugarContent, Volume};

use super::{bar, celsius};
use crate::sheet::{Sheet, span};

pub(crate) fn sheets() -> Vec<Sheet> {
    let mut sheets = budget();
    sheets.push(sealed());
    sheets.push(draw_off());
    sheets
}

const PLAIN: SugarContent = SugarContent::of(0.0);

fn budget() -> Vec<Sheet> {
    let columns = &["t_C", "gauge_bar", "purge_bar", "purges", "liquid_L"];
    let mut dissolved = Sheet::new("gas_dissolved", columns);
    let mut rest = Sheet::new("gas_besides", columns);
    for t in [0.0, 2.0, 8.0, 20.0] {
        for gauge in span(0.5, 4.5, 8) {
            for (purge, purges) in [(1.0, 0_u32), (1.0, 2), (2.5, 5)] {
                for litres in [9.0, 18.5] {
                    let Budget {
                        dissolved: held,
                        headspace,
                        purges: vented,
                        push,
                    } = gas_budget::keg(&GassedKeg {
                        brim: Volume::of(19.5),
                        liquid: Volume::new(litres).unwrap(),
                        temperature: celsius(t),
                        held: GaugePressure::new(gauge).unwrap(),
                        purge: GaugePressure::new(purge).unwrap(),
                        purges,
                        sugar: PLAIN,
                        atmosphere: bar(1.01325),
                    })
                    .unwrap();
                    let inputs = [t, gauge, purge, f64::from(purges), litres];
                    dissolved.add(&inputs, held.grams());
                    rest.add(&inputs, headspace.grams() + vented.grams() + push.grams());
                }
            }
        }
    }
    vec![dissolved, rest]
}

fn sealed() -> Sheet {
    let columns = &["cold_C", "gauge_bar", "liquid_L", "warm_C"];
    let mut sheet = Sheet::new("sealed_keg_pressure", columns);
    for cold in [0.5, 4.0, 10.0] {
        for gauge in [0.5, 1.5, 2.5, 3.5] {
            for litres in [10.0, 17.5, 18.5] {
                for warm in [1.0, 15.0, 25.0, 35.0, 40.0] {
                    let keg = SealedKeg {
                        brim: Volume::of(19.5),
                        liquid: Volume::new(litres).unwrap(),
                        temperature: celsius(cold),
                        held: GaugePressure::new(gauge).unwrap(),
                        sugar: PLAIN,
                        atmosphere: bar(1.01325),
                    };
                    let reached = limits::warm_pressure(&keg, celsius(warm)).unwrap();
                    sheet.add(&[cold, gauge, litres, warm], reached.bar());
                }
            }
        }
    }
    sheet
}

fn draw_off() -> Sheet {
    let mut sheet = Sheet::new("cylinder_draw_off", &["ua_W_K", "room_C", "coldest_C"]);
    for ua in [0.5, 1.5, 4.0] {
        for room in [10.0, 20.0, 28.0] {
            for coldest in span(-40.0, 5.0, 9) {
                let conductance = Conductance::new(ua).unwrap();
                let flow = gas_budget::draw_off_limit(conductance, celsius(room), celsius(coldest));
                sheet.add(&[ua, room, coldest], flow.unwrap().kilograms_per_hour());
            }
        }
    }
    sheet
}
