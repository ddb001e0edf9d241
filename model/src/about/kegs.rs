//! Dosing, gas on the scales, limits, glasses and readings.

use super::{Equation, compared, estimate, exact};

/// Ascorbate for chlorine.
pub const ASCORBATE: Equation = Equation {
    gives: "ascorbate that neutralises chlorine, and the chlorine a dose covers",
    form: "one mole of ascorbate for one mole of Cl2: 2.79 g/g sodium ascorbate, 2.48 ascorbic acid",
    source: "stoichiometry; AWWA field guide Table 7-2 prints 2.8 and 2.5; Tikkanen et al. add 10 %",
    valid: "free chlorine, and chloramine measured as Cl2, up to 50 mg/L",
    uncertainty: compared(
        0.006,
        "0.6 % against field guides; the error of the strip comes on top: verify after dosing",
    ),
};

/// A carbon filter.
pub const CARBON_FILTER: Equation = Equation {
    gives: "contact time of a carbon filter, and the water its rating lasts for",
    form: "bed over flow; rated volume · rated chlorine over chlorine",
    source: "mass balance on the maker's rating, which is an input",
    valid: "contact no shorter than in the rating, and chlorine of the rated kind",
    uncertainty: estimate(
        None,
        "not published beyond the rating; chloramine passes ordinary carbon: verify with a strip",
    ),
};

/// Steady draw from a cylinder.
pub const DRAW_OFF: Equation = Equation {
    gives: "gas a cylinder gives for hours without growing colder than wanted",
    form: "UA (room - coldest) over the latent heat",
    source: "heat balance; latent heat by Clausius and Clapeyron with Span & Wagner 1996",
    valid: "-50 to 30 °C, liquid left",
    uncertainty: estimate(
        Some(0.5),
        "the conductance is not published; latent heat within 0.1 %, the limit within a factor 1.5",
    ),
};

/// A cylinder on the scales.
pub const WEIGHING: Equation = Equation {
    gives: "CO2 in a cylinder, and the kegs it is for",
    form: "weight less tare, over CO2 per keg",
    source: "mass balance, without leaks",
    valid: "any cylinder with its tare stamped on it",
    uncertainty: exact("as good as the scales and the figure per keg"),
};

/// CO2 in a room.
pub const ROOM_AIR: Equation = Equation {
    gives: "CO2 in the air of an unventilated room after a release",
    form: "volume of the gas over that of the room",
    source: "mass balance at 20 °C and 1 atm; 420 ppm of outdoor air left out",
    valid: "gas mixed into the whole room, no ventilation",
    uncertainty: estimate(
        None,
        "not published; cautious where air is changed, but at the floor of a cellar it is worse",
    ),
};

/// A value against a limit.
pub const LIMITS: Equation = Equation {
    gives: "a verdict with its margin",
    form: "limit less value",
    source: "each limit names its own source",
    valid: "local code and the stamp on the vessel go first",
    uncertainty: exact("a comparison; the value judged has the uncertainty of its own source"),
};

/// A drink in a glass.
pub const GLASS: Equation = Equation {
    gives: "temperature and CO2 of a drink in a glass",
    form: "heat balance of drink, glass and ice; equilibrium at the pressure of the site",
    source: "enthalpy of water and ice: IAPWS; glass 0.8 kJ/(kg K) (from memory); Weiss 1974",
    valid: "a mix of -1 to 40 °C, before heat comes in from hand and room",
    uncertainty: estimate(
        None,
        "not published. How much CO2 leaves in the pour depends on foam, nozzle and glass: \
         no physics settles it",
    ),
};

/// What a keg yields.
pub const YIELD: Equation = Equation {
    gives: "drink that reaches glasses from a keg",
    form: "(liquid - line - heel) · (1 - foam)",
    source: "volume balance; the usual losses are common practice, no source",
    valid: "losses as the site records them",
    uncertainty: estimate(
        None,
        "losses are not published; as good as the site's own records",
    ),
};

/// A fit to readings.
pub const REGRESSION: Equation = Equation {
    gives: "a site's own value of a parameter, with its spread",
    form: "linear least squares that start from theory, which counts as three readings",
    source: "conjugate normal-inverse-gamma regression (textbook method)",
    valid: "only within the range of the readings: it is not extrapolated",
    uncertainty: exact("the spread in the answer is one standard deviation"),
};
