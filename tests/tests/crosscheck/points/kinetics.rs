//! How CO2 gets in.

use model::kinetics::{self, StillKeg, Supply};
use model::{Area, Carbonation, GasFlow, MassTransfer, TimeSpan, Volume};

use super::{bar, celsius};
use crate::sheet::Sheet;

pub(crate) fn sheets() -> Vec<Sheet> {
    vec![still(), stirred(), sparged(), supplied()]
}

fn grams(value: f64) -> Carbonation {
    Carbonation::new(value).unwrap()
}

/// Also under a higher pressure, whose equilibrium is far above what is wanted.
fn still() -> Sheet {
    let columns = &["t_C", "start", "wanted", "equilibrium", "litres"];
    let mut sheet = Sheet::new("still_keg_time", columns);
    for t in [0.0, 2.0, 8.0, 20.0] {
        for equilibrium in [8.0, 9.1, 14.0] {
            for start in [0.0, 3.0] {
                for wanted in [4.0, 6.0, 7.5, 7.9] {
                    for litres in [9.0, 18.5] {
                        let keg = StillKeg {
                            liquid: Volume::new(litres).unwrap(),
                            surface: Area::of(0.0363),
                            temperature: celsius(t),
                        };
                        let time = keg.time(grams(start), grams(wanted), grams(equilibrium));
                        let inputs = [t, start, wanted, equilibrium, litres];
                        sheet.add(&inputs, time.unwrap().hours());
                    }
                }
            }
        }
    }
    sheet
}

fn stirred() -> Sheet {
    let columns = &["kla_per_s", "start", "equilibrium", "minutes"];
    let mut sheet = Sheet::new("shaken_keg_content", columns);
    for kla in [6e-4, 3e-3, 1.5e-2] {
        for start in [0.0, 4.0, 12.0] {
            for equilibrium in [7.0, 9.1] {
                for minutes in [1.0, 5.0, 20.0] {
                    let transfer = MassTransfer::new(kla).unwrap();
                    let time = TimeSpan::from_minutes(minutes).unwrap();
                    let now = kinetics::after(transfer, grams(start), grams(equilibrium), time);
                    let inputs = [kla, start, equilibrium, minutes];
                    sheet.add(&inputs, now.unwrap().grams_per_litre());
                }
            }
        }
    }
    sheet
}

fn sparged() -> Sheet {
    let mut sheet = Sheet::new("sparged_keg_coefficient", &["flow_L_min", "p_bar", "t_C"]);
    for flow in [0.5, 1.0, 2.0, 10.0] {
        for p in [1.01325, 2.0, 3.0, 4.5] {
            for t in [0.0, 2.0, 10.0, 20.0] {
                let through = GasFlow::new(flow).unwrap();
                let keg = Area::of(0.0363);
                let found = kinetics::sparged(through, keg, bar(p), celsius(t)).unwrap();
                sheet.add(&[flow, p, t], found.per_second() * 1e3);
            }
        }
    }
    sheet
}

fn supplied() -> Sheet {
    let columns = &["kla_per_s", "flow_L_min", "litres", "wanted", "equilibrium"];
    let mut sheet = Sheet::new("supplied_keg_time", columns);
    for kla in [6e-4, 3e-3, 1.5e-2] {
        for flow in [0.5, 2.0, 10.0] {
            for litres in [9.0, 18.5] {
                for wanted in [4.0, 8.0, 9.0] {
                    let supply = Supply {
                        coefficient: MassTransfer::new(kla).unwrap(),
                        flow: GasFlow::new(flow).unwrap(),
                        liquid: Volume::new(litres).unwrap(),
                    };
                    let time = kinetics::supply_time(
                        &supply,
                        Carbonation::NONE,
                        grams(wanted),
                        grams(9.1),
                    );
                    sheet.add(&[kla, flow, litres, wanted, 9.1], time.unwrap().minutes());
                }
            }
        }
    }
    sheet
}
