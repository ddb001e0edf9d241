//! Air in water and in kegs.

use super::{Equation, compared, estimate};

/// Air in water at equilibrium.
pub const AIR_IN_WATER: Equation = Equation {
    gives: "nitrogen, oxygen and argon dissolved at equilibrium with moist air",
    form: "Henry's law for each gas under (P - p_w) · its share of dry air",
    source: "to 30 °C Hamme & Emerson 2004 (N2, Ar) and Benson & Krause 1984 (O2), from 50 °C IAPWS \
             G7-04 (2004), a passage in between; dry air 0.78084 N2, 0.20946 O2, 0.00934 Ar",
    valid: "0 to 100 °C",
    uncertainty: compared(
        0.04,
        "0.2 % to 30 °C; other fits differ by 3.5 % at 90 °C. Equilibrium is the least heating \
         leaves: real removal needs stirring, bubbles or time",
    ),
};

/// Air taken up again.
pub const REAERATION: Equation = Equation {
    gives: "air taken up again by open water",
    form: "dC/dt = kL/depth · (Cs - C)",
    source: "film theory; kL = 2e-5 m/s for open, still water (from memory)",
    valid: "open water, mixed throughout, without a cover",
    uncertainty: estimate(
        Some(1.0),
        "not published for pots; within a factor 2 in time, far more where it is stirred",
    ),
};

/// Air left in a purged keg.
pub const AIR_AFTER_PURGING: Equation = Equation {
    gives: "air left in a purged keg, and the CO2 it keeps out",
    form: "Dalton and Henry for each gas over headspace and liquid; a purge leaves the vented over \
           the high absolute pressure",
    source: "mass balance with the solubilities of nitrogen, oxygen and argon; perfect mixing of the gas in each purge",
    valid: "0 to 40 °C, 0 to 10 bar gauge",
    uncertainty: estimate(
        Some(0.05),
        "not published; 5 % of the air for the solubilities, more where purges mix badly: \
         calibrate their effectiveness",
    ),
};
