//! A line, and what pressure is used up in it.

use std::f64::consts::PI;

use super::Drink;
use crate::constants::GRAVITY;
use crate::published::churchill;
use crate::{Error, Factor, Length, Lift, Roughness, WaterFlow};

/// A line from keg to tap.
///
/// ```
/// use model::{Factor, Length, Lift, Roughness, dispensing::Line};
///
/// let line = Line {
///     bore: Length::of(0.0048),
///     length: Length::of(4.0),
///     lift: Lift::of(1.0),
///     roughness: Roughness::SMOOTH,
///     fittings: Factor::of(0.0),
/// };
/// assert!(line.lift > Lift::of(0.0));
/// ```
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Line {
    /// Its inner diameter. Most of the uncertainty is here: friction goes with its fifth power.
    pub bore: Length,
    /// Its length.
    pub length: Length,
    /// How much higher the tap is than the drink in the keg; negative if it is lower.
    pub lift: Lift,
    /// Roughness of its wall.
    pub roughness: Roughness,
    /// Couplings, bends and the tap: loss over the kinetic energy in the line, together.
    pub fittings: Factor,
}

/// Where the pressure goes at a flow, bar each.
///
/// ```
/// use model::{Factor, Length, Lift, Roughness, SugarContent, Temperature, WaterFlow};
/// use model::dispensing::{Drink, Line};
///
/// let line = Line {
///     bore: Length::of(0.0048),
///     length: Length::of(4.0),
///     lift: Lift::of(1.0),
///     roughness: Roughness::SMOOTH,
///     fittings: Factor::of(0.0),
/// };
/// let soda = Drink { temperature: Temperature::of(4.0), sugar: SugarContent::of(0.0) };
/// let used = line.used(&soda, WaterFlow::of(2.0))?;
/// // 1000 kg/m³ · 9.80665 m/s² · 1 m are 0.098 bar.
/// assert!((used.lift - 0.0981).abs() < 1e-4);
/// assert!(used.friction > 0.5 && used.reynolds > 4000.0);
/// # Ok::<(), model::Error>(())
/// ```
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PressureUse {
    /// To lift the drink, ρ g h.
    pub lift: f64,
    /// Friction in the line, f L/d · ρ v²/2.
    pub friction: f64,
    /// Fittings, K · ρ v²/2.
    pub fittings: f64,
    /// The speed the drink leaves with, ρ v²/2.
    pub kinetic: f64,
    /// Mean speed in the line, m/s.
    pub speed: f64,
    /// Reynolds number: laminar below about 2000, turbulent above about 4000.
    pub reynolds: f64,
}

impl PressureUse {
    /// All of it, bar: what the keg's gauge has to show.
    ///
    /// See [`PressureUse`] for an example of its parts.
    #[must_use]
    pub fn total(&self) -> f64 {
        self.lift + self.friction + self.fittings + self.kinetic
    }
}

impl Line {
    /// Where the pressure goes when the drink flows through it.
    ///
    /// # Errors
    ///
    /// [`Error::OutOfRange`] for a drink outside -1 to 60 °C, a wall rougher than 5 % of the bore,
    /// or a flow faster than Reynolds numbers of 1e8.
    ///
    /// See [`PressureUse`] for an example.
    pub fn used(&self, drink: &Drink, flow: WaterFlow) -> Result<PressureUse, Error> {
        let bore = self.bore.metres();
        let density = drink.density()?;
        let speed = flow.litres_per_minute() / 6e4 / (PI / 4.0 * bore * bore);
        let reynolds = density * speed * bore / drink.viscosity()?;
        let kinetic = density * speed * speed / 2.0 / 1e5;
        let friction = if reynolds < 1e-6 {
            0.0
        } else {
            let rough = self.roughness.millimetres() / 1e3 / bore;
            let factor = churchill::friction_factor(reynolds, rough)?;
            factor * self.length.metres() / bore * kinetic
        };
        Ok(PressureUse {
            lift: density * GRAVITY * self.lift.metres() / 1e5,
            friction,
            fittings: self.fittings.value() * kinetic,
            kinetic,
            speed,
            reynolds,
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{SugarContent, Temperature};

    /// Hagen and Poiseuille: Δp = 128 μ L Q / (π d⁴). 0.05 L/min of water at 20 °C through 2 m of
    /// 5 mm: 128 · 1.0016e-3 · 2 · 8.333e-7 / (π · 6.25e-10) = 108.8 Pa.
    #[test]
    fn a_slow_flow_is_that_of_hagen_and_poiseuille() {
        let line = Line {
            bore: Length::of(0.005),
            length: Length::of(2.0),
            lift: Lift::of(0.0),
            roughness: Roughness::SMOOTH,
            fittings: Factor::of(0.0),
        };
        let water = Drink {
            temperature: Temperature::of(20.0),
            sugar: SugarContent::of(0.0),
        };
        let used = line.used(&water, WaterFlow::of(0.05)).unwrap();
        assert!((used.friction * 1e5 - 108.8).abs() < 0.3, "{used:?}");
        assert!((used.reynolds - 211.5).abs() < 0.5, "{used:?}");
    }

    /// White, Fluid Mechanics, chapter 6 (from memory), example on the flow at a given head loss:
    /// ρ 950 kg/m³, ν 2e-5 m²/s, 30 cm, 100 m, ε/d 0.0002, 8 m of head: 4.84 m/s, Re 72 600. The
    /// same Reynolds number and relative roughness in water at 20 °C through 5 cm: f L/d v²/2g.
    #[test]
    fn a_fast_flow_is_that_of_the_textbook() {
        let factor = churchill::friction_factor(72_600.0, 0.0002).unwrap();
        let head = factor * 100.0 / 0.3 * 4.84 * 4.84 / (2.0 * 9.81);
        assert!((head - 8.0).abs() < 0.1, "{head} m");
        let water = Drink {
            temperature: Temperature::of(20.0),
            sugar: SugarContent::of(0.0),
        };
        let bore = 0.05;
        let speed = 72_600.0 * water.viscosity().unwrap() / water.density().unwrap() / bore;
        let line = Line {
            bore: Length::of(bore),
            length: Length::of(50.0 / 3.0),
            lift: Lift::of(0.0),
            roughness: Roughness::of(0.01),
            fittings: Factor::of(0.0),
        };
        let flow = WaterFlow::new(speed * PI / 4.0 * bore * bore * 6e4).unwrap();
        let used = line.used(&water, flow).unwrap();
        // The same L/d: friction over kinetic energy is f L/d = 0.0201 · 333.3 = 6.70.
        assert!(
            (used.friction / used.kinetic / 6.70 - 1.0).abs() < 0.01,
            "{used:?}"
        );
    }
}
