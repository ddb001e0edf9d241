//! Pots that heat, with and without a lid, and drinks that meet ice or glass.

use model::heating::{self, Heater, OpenSurface};
use model::ice::{self, Mix};
use model::serving::{self, Glass};
use model::{
    AirContent, Area, Carbonation, Conductance, Fraction, Load, Mass, Power, SugarContent, Volume,
};

use super::{bar, celsius};
use crate::sheet::{Sheet, span};

pub(crate) fn sheets() -> Vec<Sheet> {
    let mut sheets = vec![covered()];
    sheets.extend(open());
    sheets.extend(over_ice());
    sheets.push(glass());
    sheets
}

fn heater(watts: f64, loss: f64) -> Heater {
    Heater {
        power: Power::new(watts).unwrap(),
        efficiency: Fraction::ALL,
        loss: Conductance::new(loss).unwrap(),
        room: celsius(20.0),
    }
}

fn covered() -> Sheet {
    let columns = &["litres", "from_C", "to_C", "watts", "loss_W_K"];
    let mut sheet = Sheet::new("heating_time", columns);
    for litres in [5.0, 30.0, 60.0] {
        for from in [5.0, 15.0, 40.0] {
            for to in [60.0, 85.0, 95.0] {
                for watts in [1500.0, 3500.0, 9000.0] {
                    for loss in [0.0, 3.0, 12.0] {
                        let pot = Load {
                            liquid: Volume::new(litres).unwrap(),
                            steel: Mass::of(6.0),
                        };
                        let heater = heater(watts, loss);
                        let time = heating::time(&pot, &heater, celsius(from), celsius(to));
                        sheet.add(&[litres, from, to, watts, loss], time.unwrap().minutes());
                    }
                }
            }
        }
    }
    sheet
}

fn surface(p: f64) -> OpenSurface {
    OpenSurface {
        area: Area::of(0.1),
        room: celsius(20.0),
        humidity: Fraction::of(0.5),
        atmosphere: bar(p),
    }
}

fn open() -> Vec<Sheet> {
    let mut water = Sheet::new("pot_steam", &["t_C", "p_bar"]);
    let mut heat = Sheet::new("pot_heat", &["t_C", "p_bar"]);
    for t in span(30.0, 90.0, 60) {
        for p in [0.8353, 1.01325] {
            let steam = heating::steam(&surface(p), celsius(t)).unwrap();
            water.add(&[t, p], steam.water.kilograms_per_hour());
            heat.add(&[t, p], steam.heat.watts());
        }
    }
    let mut time = Sheet::new("open_pot_time", &["litres", "to_C", "watts", "p_bar"]);
    for litres in [10.0, 30.0] {
        for to in [60.0, 80.0, 90.0] {
            for watts in [2500.0, 6000.0] {
                for p in [0.8353, 1.01325] {
                    let pot = Load {
                        liquid: Volume::new(litres).unwrap(),
                        steel: Mass::of(6.0),
                    };
                    let heater = heater(watts, 3.0);
                    let (from, to_t) = (celsius(15.0), celsius(to));
                    let heated = heating::open_time(&pot, &heater, &surface(p), from, to_t);
                    time.add(&[litres, to, watts, p], heated.unwrap().time.minutes());
                }
            }
        }
    }
    vec![water, heat, time]
}

fn over_ice() -> Vec<Sheet> {
    let columns = &["litres", "t_C", "ice_kg", "ice_C"];
    let mut temperature = Sheet::new("ice_in_water_temperature", columns);
    let mut melted = Sheet::new("ice_in_water_melted", columns);
    for litres in [0.2, 9.0] {
        for t in span(2.0, 92.0, 15) {
            for share in [0.1, 0.5, 1.0, 1.5] {
                for cold in [-18.0, -5.0, 0.0] {
                    let kilograms: f64 = share * litres;
                    let none = AirContent::of(0.0);
                    let mixed = ice::mixed(&Mix {
                        hot: Volume::new(litres).unwrap(),
                        temperature: celsius(t),
                        air: none,
                        ice: Mass::new(kilograms).unwrap(),
                        ice_temperature: celsius(cold),
                        ice_air: none,
                    })
                    .unwrap();
                    let inputs = [litres, t, kilograms, cold];
                    temperature.add(&inputs, mixed.temperature.celsius());
                    melted.add(&inputs, kilograms - mixed.unmelted.kilograms());
                }
            }
        }
    }
    vec![temperature, melted]
}

fn glass() -> Sheet {
    let columns = &["litres", "drink_C", "glass_kg", "glass_C"];
    let mut sheet = Sheet::new("glass_temperature", columns);
    for litres in [0.15, 0.25, 0.4] {
        for drink in [1.0, 4.0, 8.0] {
            for kilograms in [0.15, 0.35] {
                for glass in [0.0, 22.0, 35.0] {
                    let poured = serving::poured(
                        Volume::new(litres).unwrap(),
                        celsius(drink),
                        Carbonation::of(7.9),
                        SugarContent::of(0.0),
                        Glass {
                            mass: Mass::new(kilograms).unwrap(),
                            temperature: celsius(glass),
                        },
                        bar(1.01325),
                    );
                    let inputs = [litres, drink, kilograms, glass];
                    sheet.add(&inputs, poured.unwrap().temperature.celsius());
                }
            }
        }
    }
    sheet
}
