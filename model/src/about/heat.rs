//! Water, ice, pots, baths and stores.

use super::{Equation, compared, estimate};

/// Density and enthalpy of water.
pub const WATER_PROPERTIES: Equation = Equation {
    gives: "density and enthalpy of liquid water",
    form: "polynomials over temperature at one atmosphere",
    source: "density: Kell 1975, J. Chem. Eng. Data 20:97; enthalpy: fitted to \
             IAPWS-IF97 region 1",
    valid: "-1 to 110 °C",
    uncertainty: compared(
        0.0003,
        "0.002 % in density, 0.03 % in differences of enthalpy, against IAPWS-95",
    ),
};

/// Steam over water.
pub const STEAM: Equation = Equation {
    gives: "density and heat of steam over boiling water",
    form: "Clausius and Clapeyron with vapour pressure and both densities",
    source: "IAPWS-IF97 region 4, saturated steam and Kell 1975, held against IAPWS-95",
    valid: "-1 to 110 °C",
    uncertainty: compared(0.001, "0.1 % against IAPWS-95"),
};

/// Enthalpy of ice.
pub const ICE_PROPERTIES: Equation = Equation {
    gives: "enthalpy of ice, on the zero of that of water",
    form: "quadratic over temperature",
    source: "fitted to IAPWS R10-06(2009)",
    valid: "-40 to 0 °C",
    uncertainty: compared(0.0002, "0.05 kJ/kg against IAPWS R10-06"),
};

/// Heating a covered pot.
pub const HEATING: Equation = Equation {
    gives: "time to heat a pot",
    form: "C(T) dT/dt = P · efficiency - U (T - room)",
    source: "energy balance; enthalpy of water: IAPWS-IF97; steel 0.5 kJ/(kg K) (from memory)",
    valid: "-1 to 110 °C, covered",
    uncertainty: estimate(
        Some(0.3),
        "the balance is exact; the efficiency of a burner is not published for the pot at hand and \
         good to 30 % until calibrated",
    ),
};

/// Steam from an open pot.
pub const OPEN_POT: Equation = Equation {
    gives: "steam and heat that leave an open pot",
    form: "Sh = Nu = 0.15 Ra^(1/3) with the lift of warm, moist air",
    source: "Lloyd & Moran 1974 and the heat-mass analogy (from memory)",
    valid: "0 to 110 °C, not boiling, still room of -4 to 60 °C",
    uncertainty: estimate(
        Some(1.0),
        "not published for pots; within a factor 2 in the losses",
    ),
};

/// Ice in water.
pub const ICE_BALANCE: Equation = Equation {
    gives: "ice that cools water, and what comes of mixing them",
    form: "m_ice/m_w = [h(T1) - h(T2)] / [h(T2) - h_ice(Ti)] · ice factor",
    source: "enthalpy balance; IAPWS-IF97 and IAPWS R10-06",
    valid: "water -1 to 110 °C, ice -40 to 0 °C",
    uncertainty: compared(
        0.001,
        "0.1 % for dry ice without heat from the room; wet ice takes 5 to 15 % more (engineering \
         estimate): calibrate the ice factor",
    ),
};

/// A bath of ice water.
pub const ICE_BATH: Equation = Equation {
    gives: "time and ice to cool a container in a bath",
    form: "C(T) dT/dt = -UA (T - bath)",
    source: "Newton's law; UA of a 19 L keg in still ice water 45 W/K (engineering estimate, from \
             memory)",
    valid: "-1 to 110 °C, bath of constant temperature",
    uncertainty: estimate(
        Some(0.5),
        "the conductance is not published; within a factor 1.5 until calibrated, less when the \
         bath is stirred",
    ),
};

/// A container in moving or still air.
pub const COOLING_IN_AIR: Equation = Equation {
    gives: "how a filled container cools in air, and the heat it gives off",
    form: "one temperature throughout; free and forced convection blended, and radiation",
    source: "Churchill & Chu 1975, Churchill & Bernstein 1977; air of the site's pressure",
    valid: "-1 to 110 °C in air of -30 to 60 °C, an upright cylinder",
    uncertainty: estimate(
        Some(0.5),
        "not published for kegs; real stores are within a factor 1.5: calibrate the conductance",
    ),
};

/// Several containers in a store.
pub const COLD_STORE: Equation = Equation {
    gives: "air and contents of a cold store whose cooling may fall short",
    form: "air at the set point, or where heat given off equals cooling power",
    source: "heat balance over the cooling of each container; heat stored in the air left out",
    valid: "set point -30 to 60 °C, up to a week",
    uncertainty: estimate(
        Some(0.5),
        "not published; within a factor 1.5 in time, as for one container",
    ),
};

/// Freezing of drinks.
pub const FREEZING_POINT: Equation = Equation {
    gives: "freezing point of a drink",
    form: "quadratic over sugar content, without the CO2",
    source: "handbook values for sucrose solutions: -0.29, -0.63, -1.03 °C at 5, 10, 15 °Bx (from \
             memory)",
    valid: "0 to 20 °Bx",
    uncertainty: estimate(
        None,
        "not published for drinks; 0.05 K for sugar, and CO2 lowers it by up to 0.4 K more",
    ),
};
