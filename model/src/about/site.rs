//! Units, air pressure and boiling.

use super::{Equation, compared, exact};

/// Conversion of units.
pub const UNITS: Equation = Equation {
    gives: "the same quantity in another unit",
    form: "value · size of the unit, after its zero",
    source: "BIPM SI Brochure and NIST SP 811 as in the uom library; volumes of CO2: Span & Wagner \
             1996 and the ideal gas",
    valid: "any value the unit allows",
    uncertainty: exact("definitions, written with seven digits at least"),
};

/// Air pressure by elevation.
pub const STANDARD_ATMOSPHERE: Equation = Equation {
    gives: "mean air pressure at an elevation",
    form: "p = 1013.25 hPa · (1 - 6.5 K/km · H / 288.15 K)^5.255877, H geopotential height",
    source: "standard atmosphere: ICAO Doc 7488, ISO 2533",
    valid: "-500 to 6000 m",
    uncertainty: compared(
        0.02,
        "weather moves the real pressure by 2 % either way; a barometer is better",
    ),
};

/// Boiling point of water.
pub const BOILING: Equation = Equation {
    gives: "boiling point and vapour pressure of water",
    form: "saturation line, IAPWS-IF97 region 4",
    source: "IAPWS R7-97(2012), equations 30 and 31; printed check values reproduced",
    valid: "0 to 150 °C",
    uncertainty: compared(
        0.0005,
        "0.05 % in pressure, 0.02 K in temperature, against IAPWS-95",
    ),
};
