//! Units people use. The unit is a number that Python knows too.

use model::{AbsolutePressure, Elevation, Energy, GaugePressure, Mass, Power, Temperature, Volume};

use crate::sheet::{Sheet, span};

/// In the order of `UNITS` in `checks/units.py`.
const UNITS: [fn(f64) -> f64; 9] = [
    |psi| GaugePressure::from_psi(psi).unwrap().bar(),
    |inches| {
        AbsolutePressure::from_inches_of_mercury(inches)
            .unwrap()
            .bar()
    },
    |gallons| Volume::from_us_gallons(gallons).unwrap().litres(),
    |ounces| Volume::from_us_fluid_ounces(ounces).unwrap().litres(),
    |pounds| Mass::from_pounds(pounds).unwrap().kilograms(),
    |feet| Elevation::from_feet(feet).unwrap().metres(),
    |fahrenheit| Temperature::from_fahrenheit(fahrenheit).unwrap().kelvin(),
    |btu| Power::from_btu_per_hour(btu).unwrap().watts(),
    |kwh| Energy::from_kilowatt_hours(kwh).unwrap().joules(),
];

pub(crate) fn sheets() -> Vec<Sheet> {
    let mut sheet = Sheet::new("units", &["unit", "value"]);
    for (unit, convert) in UNITS.iter().enumerate() {
        for value in span(1.0, 151.0, 30) {
            sheet.add(&[unit as f64, value], convert(value));
        }
    }
    vec![sheet]
}
