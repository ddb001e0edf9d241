//! CO2 in a keg: held at its pressure until it has taken up all it will, or rested and turned down.

use super::budget::{Budget, Input, budget, plus_minus, times};
use crate::about::CO2_IN_WATER;
use crate::kinetics::StillKeg;
use crate::{
    AbsolutePressure, Carbonation, Error, GaugePressure, SugarContent, Temperature, TimeSpan,
    carbonation,
};

const GIVES: (&str, &str) = ("CO2 in the drink", "g/L");
const PRACTICE: &str = "common practice, no source";

/// A keg that has taken up all it will at its pressure: shaken, or left for days.
///
/// See [`Budget`] for an example.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct HeldKeg {
    /// Its temperature, 0 to 39 °C.
    pub temperature: Temperature,
    /// The pressure its gauge shows.
    pub held: GaugePressure,
    /// Sugar in the drink.
    pub sugar: SugarContent,
    /// Air pressure of the site.
    pub atmosphere: AbsolutePressure,
}

/// A keg that rested under a pressure above its equilibrium for a set time.
///
/// ```
/// use model::kinetics::StillKeg;
/// use model::uncertainty::{HeldKeg, RestedKeg};
/// use model::{AbsolutePressure, GaugePressure, SugarContent, Temperature, TimeSpan};
///
/// let rested = RestedKeg {
///     gas: HeldKeg {
///         temperature: Temperature::of(2.0),
///         held: GaugePressure::of(4.3),
///         sugar: SugarContent::of(0.0),
///         atmosphere: AbsolutePressure::STANDARD_ATMOSPHERE,
///     },
///     keg: StillKeg::steel_19_l(Temperature::of(2.0)),
///     time: TimeSpan::from_hours(24.0)?,
/// };
/// let budget = rested.budget()?;
/// // Known to a factor of two in time, it may end a third too low or too high.
/// assert!(budget.down() > 0.25 * budget.value && budget.up() > 0.25 * budget.value);
/// # Ok::<(), model::Error>(())
/// ```
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct RestedKeg {
    /// Pressure and temperature it rests under.
    pub gas: HeldKeg,
    /// The liquid and its surface.
    pub keg: StillKeg,
    /// How long.
    pub time: TimeSpan,
}

impl HeldKeg {
    /// What goes into the equilibrium.
    fn inputs(&self) -> [Input; 5] {
        let sugar = self.sugar.brix();
        [
            Input::new(
                "solubility of CO2",
                times(1.0 + CO2_IN_WATER.uncertainty.relative.unwrap_or(0.025)),
                "±2.5 %",
                "Weiss 1974 against CRC Handbook and Carroll et al. 1991",
            ),
            Input::new(
                "temperature of the drink",
                plus_minus(self.temperature.celsius(), 1.0),
                "±1 K",
                "a thermometer, and what a door does to a fridge: common practice, no source",
            ),
            Input::new(
                "pressure on the gauge",
                plus_minus(self.held.bar(), 0.1),
                "±0.1 bar",
                "a gauge of accuracy class 2.5 and 4 bar of span, EN 837-1 (classes from memory); \
                 the set point's rounding to 0.05 bar is within it",
            ),
            Input::new(
                "air pressure",
                plus_minus(self.atmosphere.bar(), 0.02),
                "±20 hPa",
                "weather at one place, from memory",
            ),
            Input::new(
                "sugar in the drink",
                if sugar > 0.0 {
                    times(1.02)
                } else {
                    (1.0, [1.0, 1.0])
                },
                if sugar > 0.0 {
                    "±2 % of the CO2"
                } else {
                    "none"
                },
                "Sechenov fit to Usher 1910: an estimate",
            ),
        ]
    }

    fn content(&self, [fit, celsius, bar, outside, sweet]: [f64; 5]) -> Result<f64, Error> {
        let total = AbsolutePressure::new((bar + outside).max(0.0))?;
        let found = carbonation::dissolved(
            Temperature::new(celsius)?,
            total,
            AbsolutePressure::VACUUM,
            self.sugar,
        )?;
        Ok(found.grams_per_litre() * fit * sweet)
    }

    /// How far off its CO2 may be.
    ///
    /// # Errors
    ///
    /// [`Error::OutOfRange`] within 1 K of -1 and 40 °C, or above 19.8 bar.
    ///
    /// See [`Budget`] for an example.
    pub fn budget(&self) -> Result<Budget, Error> {
        budget(GIVES, self.inputs(), |inputs| self.content(inputs))
    }
}

impl RestedKeg {
    /// How far off its CO2 may be.
    ///
    /// # Errors
    ///
    /// As [`HeldKeg::budget`].
    ///
    /// See [`RestedKeg`] for an example.
    pub fn budget(&self) -> Result<Budget, Error> {
        let [fit, celsius, bar, outside, sweet] = self.gas.inputs();
        let speed = Input::new(
            "how fast a still keg takes up CO2",
            times(2.0),
            "within a factor of 2",
            "not published for kegs: an estimate; readings narrow it",
        );
        let late = Input::new(
            "when it is turned down",
            plus_minus(0.0, 0.25),
            "±15 min",
            PRACTICE,
        );
        let inputs = [fit, celsius, bar, outside, sweet, speed, late];
        budget(
            GIVES,
            inputs,
            |[fit, c, bar, outside, sweet, speed, late]| {
                let reached = self.gas.content([fit, c, bar, outside, sweet])?;
                let hours = (self.time.hours() + late).max(0.0) * speed;
                let keg = StillKeg {
                    temperature: Temperature::new(c)?,
                    ..self.keg
                };
                let time = TimeSpan::from_hours(hours)?;
                let found = keg.after(Carbonation::NONE, Carbonation::new(reached)?, time)?;
                Ok(found.grams_per_litre())
            },
        )
    }
}
