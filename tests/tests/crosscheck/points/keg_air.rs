//! Air shut in a keg.

use model::headspace::{self, Fill, Mixing, Purging};
use model::{AirContent, GaugePressure, Volume};

use super::{bar, celsius};
use crate::sheet::Sheet;

/// Liquid, L; dissolved air, mg/L; temperature, °C; purge, bar gauge; purges; shaken or not.
const COLUMNS: &[&str] = &[
    "liquid_L",
    "air_mg_L",
    "t_C",
    "purge_bar",
    "purges",
    "shaken",
];

pub(crate) fn sheets() -> Vec<Sheet> {
    let mut pressure = Sheet::new("keg_air_pressure", COLUMNS);
    let mut loss = Sheet::new("co2_lost_to_air", COLUMNS);
    for liquid in [10.0, 17.0, 18.5, 19.4] {
        for air in [0.0, 3.9, 12.0, 30.0] {
            for t in [0.0, 2.0, 6.0, 15.0, 25.0] {
                for gauge in [1.0, 2.0, 3.0] {
                    for purges in [0_u32, 1, 3, 6] {
                        for mixing in [Mixing::Prompt, Mixing::Reequilibrated] {
                            let fill = fill(liquid, air, t);
                            let purging = Purging {
                                gauge: GaugePressure::new(gauge).unwrap(),
                                count: purges,
                                mixing,
                            };
                            let shaken = f64::from(u8::from(mixing == Mixing::Reequilibrated));
                            let inputs = [liquid, air, t, gauge, f64::from(purges), shaken];
                            let left = headspace::air_pressure(&fill, &purging).unwrap();
                            pressure.add(&inputs, left.bar());
                            let held = GaugePressure::of(2.0);
                            let lost = headspace::loss(&fill, &purging, held).unwrap();
                            loss.add(&inputs, lost.value());
                        }
                    }
                }
            }
        }
    }
    vec![pressure, loss]
}

fn fill(liquid: f64, air: f64, t: f64) -> Fill {
    Fill {
        brim: Volume::of(19.5),
        liquid: Volume::new(liquid).unwrap(),
        air: AirContent::new(air).unwrap(),
        temperature: celsius(t),
        atmosphere: bar(1.01325),
    }
}
