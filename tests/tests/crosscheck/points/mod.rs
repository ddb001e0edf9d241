//! The conditions, by field of physics.

mod air;
mod calibration;
mod carbonation;
mod convection;
mod cooling;
mod dispensing;
mod heating;
mod keg;
mod keg_air;
mod kinetics;
mod units;
mod water;

use model::{AbsolutePressure, Temperature};

use crate::sheet::Sheet;

/// Every sheet.
pub(crate) fn all() -> Vec<Sheet> {
    [
        air::sheets(),
        calibration::sheets(),
        carbonation::sheets(),
        convection::sheets(),
        cooling::sheets(),
        dispensing::sheets(),
        heating::sheets(),
        keg::sheets(),
        keg_air::sheets(),
        kinetics::sheets(),
        units::sheets(),
        water::sheets(),
    ]
    .into_iter()
    .flatten()
    .collect()
}

fn celsius(value: f64) -> Temperature {
    Temperature::new(value).unwrap()
}

fn bar(value: f64) -> AbsolutePressure {
    AbsolutePressure::new(value).unwrap()
}
