//! Kegs that cool: in air, in ice water, and several in one store.

use model::cooling::{self, Container, State, Store, Stored};
use model::{AirSpeed, Conductance, Power, TimeSpan, ice_bath};

use super::convection::around;
use super::{bar, celsius};
use crate::sheet::{Sheet, span};

pub(crate) fn sheets() -> Vec<Sheet> {
    let mut sheets = in_air();
    sheets.extend(in_a_bath());
    sheets.push(in_a_store());
    sheets
}

const KEG: Container = Container::STEEL_KEG_19_L;

fn in_air() -> Vec<Sheet> {
    let place = &["from_C", "air_C", "speed_m_s", "p_bar"];
    let mut curve = Sheet::new(
        "keg_cooling_curve",
        &["from_C", "air_C", "speed_m_s", "p_bar", "hours"],
    );
    let mut time = Sheet::new("keg_cooling_time", place);
    for from in [15.0, 30.0, 60.0, 92.0] {
        for air in [-0.5, 1.0, 2.5] {
            for speed in [0.0, 0.5, 2.0] {
                for p in [0.8353, 1.01325] {
                    let place = [from, air, speed, p];
                    let around = around(celsius(air), speed, p);
                    let mut states = [State::BLANK; 49];
                    let hour = TimeSpan::of(3600.0);
                    cooling::curve(&KEG, around, celsius(from), hour, &mut states).unwrap();
                    for (hours, state) in states.iter().enumerate().skip(1) {
                        let inputs = [&place[..], &[hours as f64]].concat();
                        curve.add(&inputs, state.temperature.celsius());
                    }
                    let to = cooling::time_to(&KEG, around, celsius(from), celsius(4.0)).unwrap();
                    time.add(&place, to.hours());
                }
            }
        }
    }
    vec![curve, time]
}

fn in_a_bath() -> Vec<Sheet> {
    let mut time = Sheet::new("ice_bath_time", &["from_C", "to_C", "ua_W_K"]);
    let mut curve = Sheet::new("ice_bath_curve", &["from_C", "ua_W_K", "hours"]);
    let load = &KEG.load;
    let ice = celsius(0.0);
    for from in span(10.0, 95.0, 17) {
        for ua in [5.0, 45.0, 120.0] {
            let conductance = Conductance::new(ua).unwrap();
            for to in [1.0, 2.0, 4.0, 8.0] {
                let needed = ice_bath::time(load, celsius(from), celsius(to), ice, conductance);
                time.add(&[from, to, ua], needed.unwrap().hours());
            }
            for hours in [0.1, 0.5, 1.0, 3.0] {
                let span = TimeSpan::from_hours(hours).unwrap();
                let now = ice_bath::after(load, celsius(from), ice, conductance, span).unwrap();
                curve.add(&[from, ua, hours], now.celsius());
            }
        }
    }
    vec![time, curve]
}

/// Warm kegs that are more than the store can carry away at first.
fn in_a_store() -> Sheet {
    let columns = &["from_C", "kegs", "power_W", "speed_m_s", "hours"];
    let mut sheet = Sheet::new("store_of_kegs", columns);
    for (from, kegs, power, speed) in [
        (60.0, 1_u8, 150.0, 0.0),
        (60.0, 3, 150.0, 0.0),
        (90.0, 2, 250.0, 0.5),
        (40.0, 6, 200.0, 1.0),
        (25.0, 4, 60.0, 0.0),
    ] {
        let store = Store {
            set_point: celsius(2.0),
            power: Power::new(power).unwrap(),
            walls: Conductance::of(2.0),
            room: celsius(22.0),
            speed: AirSpeed::new(speed).unwrap(),
            atmosphere: bar(1.01325),
        };
        let warm = Stored {
            container: KEG,
            temperature: celsius(from),
            count: 1,
        };
        let mut contents = vec![warm; usize::from(kegs)];
        for hours in 1..=36_u8 {
            cooling::run(&store, &mut contents, TimeSpan::of(3600.0)).unwrap();
            let inputs = [from, f64::from(kegs), power, speed, f64::from(hours)];
            sheet.add(&inputs, contents[0].temperature.celsius());
        }
    }
    sheet
}
