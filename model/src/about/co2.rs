//! CO2 in drinks, in gas and on its way from one to the other.

use super::{Equation, compared, estimate, exact};

/// CO2 dissolved at equilibrium.
pub const CO2_IN_WATER: Equation = Equation {
    gives: "CO2 dissolved at equilibrium with a pressure",
    form: "m = K0 · (P - p_w - p_air)/1 atm · exp[(B - v)P/RT + v · 1 atm/RT]",
    source: "Weiss 1974, Marine Chemistry 2:203-215; v = 32.3 cm³/mol and the coefficients of B \
             from memory",
    valid: "-1 to 40 °C, up to 20 bar; checked at 0 to 20 °C and 0 to 10 bar gauge",
    uncertainty: compared(
        0.025,
        "2.5 %: within 1.5 % of CRC Handbook, Findlay & Shen 1912, Van Slyke 1939 and others, while \
         the fit of Carroll et al. 1991 lies 2.3 % below at 0 °C and 1.6 % above at 20 °C; a \
         thermometer 1 K off adds 4 %, a gauge 0.1 bar off 3 %",
    ),
};

/// What sugar does to it.
pub const CO2_IN_SUGAR: Equation = Equation {
    gives: "CO2 taken up by a sugar solution, over that of water",
    form: "10^(-0.13 c), c in mol of sucrose per litre",
    source: "Sechenov fit to Usher 1910, J. Chem. Soc. 97:66 (values from memory)",
    valid: "0 to 16 °Bx; extrapolated to 20 °Bx",
    uncertainty: estimate(Some(0.02), "not published; treat as good to 2 %"),
};

/// How sour CO2 makes water.
pub const ACIDITY: Equation = Equation {
    gives: "pH of pure water with CO2 in it",
    form: "electroneutrality with the first ionisation of carbonic acid and that of water",
    source: "Plummer & Busenberg 1982, Geochim. Cosmochim. Acta 46:1011; Millero 1979, Geochim. Cosmochim. Acta 43:1651 \
             (coefficients from memory)",
    valid: "-1 to 40 °C, pure water; bicarbonate of tap water raises it by up to one unit, acids \
            lower it",
    uncertainty: compared(0.02, "0.05 in pH for pure water, one unit for tap water"),
};

/// Density of CO2 gas.
pub const CO2_GAS: Equation = Equation {
    gives: "density of CO2 gas",
    form: "Z = 1 + B/V",
    source: "B: Weiss 1974 (coefficients from memory), held against Span & Wagner 1996",
    valid: "-8 to 46 °C, 0 to 20 bar",
    uncertainty: compared(
        0.006,
        "0.2 % to 11 bar, 0.6 % above, against Span & Wagner 1996",
    ),
};

/// Pressure in a cylinder with liquid.
pub const CO2_VAPOUR: Equation = Equation {
    gives: "pressure in a cylinder that still holds liquid CO2",
    form: "vapour-pressure equation of Span & Wagner",
    source: "Span & Wagner 1996, J. Phys. Chem. Ref. Data 25:1509, equation 3.13 (coefficients from memory)",
    valid: "-50 to 30.9 °C",
    uncertainty: compared(0.001, "0.1 % against CoolProp 8.0.0"),
};

/// A sealed keg at another temperature.
pub const SEALED_KEG: Equation = Equation {
    gives: "pressure a sealed keg reaches at another temperature",
    form: "CO2 of liquid and headspace stays the same; the liquid swells as water does",
    source: "mass balance over Weiss 1974 and the virial equation; density of water: Kell 1975",
    valid: "-1 to 40 °C, up to 20 bar, air-free, with some headspace",
    uncertainty: estimate(
        Some(0.03),
        "not published; 3 % from the solubility at two temperatures, more where air is left",
    ),
};

/// A keg standing still.
pub const STILL_UPTAKE: Equation = Equation {
    gives: "CO2 taken up by a keg standing still",
    form: "dC/dt = kLa (C* - C), kLa ~ (C* - C)^(1/3) from Sh = 0.15 Ra^(1/3)",
    source: "analogy with a heated plate: Lloyd & Moran 1974 (from memory); diffusion: Jaehne et \
             al. 1987",
    valid: "-1 to 40 °C; derived for a 19 L steel keg",
    uncertainty: estimate(
        Some(1.0),
        "no measurement on kegs was found, not published; within a factor 2: calibrate on site",
    ),
};

/// Shaking.
pub const SHAKING: Equation = Equation {
    gives: "CO2 taken up while shaken",
    form: "dC/dt = kLa (C* - C)",
    source: "kLa 0.003 to 0.015 1/s derived from the eddy model of Linek et al. 2004, Chem. Eng. \
             Process. 43:1511",
    valid: "constant pressure and temperature, supply not limiting",
    uncertainty: estimate(
        Some(2.0),
        "no measurement on kegs was found, not published; within a factor 3: calibrate per person",
    ),
};

/// A stone.
pub const SPARGING: Equation = Equation {
    gives: "CO2 taken up through a porous stone",
    form: "dC/dt = the smaller of kLa (C* - C) and what the supply passes",
    source: "kLa = 0.32 u^0.7: Heijnen & van 't Riet 1984 (from memory)",
    valid: "0.5 to 2 L/min of gas through one stone in a keg",
    uncertainty: estimate(
        Some(1.0),
        "not published for kegs; within a factor 2, less where the supply sets the pace",
    ),
};

/// A limited supply.
pub const SUPPLY: Equation = Equation {
    gives: "time a gas supply needs for a mass of CO2",
    form: "mass over flow · density at 15 °C and 1 atm",
    source: "mass balance; density by the virial equation",
    valid: "constant flow",
    uncertainty: exact("a balance; as good as the flow that is put in"),
};
