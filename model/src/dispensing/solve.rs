//! Flow from a pressure, pressure from a flow, and the length that balances both.

use super::{Drink, Line, PressureUse};
use crate::{Error, GaugePressure, Length, WaterFlow, numeric};

/// Fastest flow that is looked for, L/min: far above any tap.
const FASTEST: f64 = 200.0;

/// What the keg's gauge has to show for a flow, and where it goes.
///
/// # Errors
///
/// As [`Line::used`], and [`Error::OutOfRange`] for more than a [`GaugePressure`] can be: a tap so
/// far below the keg that the drink runs by itself needs none.
///
/// ```
/// use model::{Factor, Length, Lift, Roughness, SugarContent, Temperature, WaterFlow};
/// use model::dispensing::{self, Drink, Line};
///
/// let line = Line {
///     bore: Length::of(0.0048),
///     length: Length::of(4.0),
///     lift: Lift::of(1.0),
///     roughness: Roughness::SMOOTH,
///     fittings: Factor::of(0.0),
/// };
/// let soda = Drink { temperature: Temperature::of(4.0), sugar: SugarContent::of(0.0) };
/// let (pressure, _) = dispensing::needed(&line, &soda, WaterFlow::of(2.0))?;
/// let (flow, _) = dispensing::flow(&line, &soda, pressure)?;
/// assert!((flow.litres_per_minute() - 2.0).abs() < 1e-6);
/// # Ok::<(), model::Error>(())
/// ```
pub fn needed(
    line: &Line,
    drink: &Drink,
    flow: WaterFlow,
) -> Result<(GaugePressure, PressureUse), Error> {
    let used = line.used(drink, flow)?;
    Ok((GaugePressure::new(used.total().max(0.0))?, used))
}

/// What flows at a pressure, and where the pressure goes; nothing flows below what the lift takes.
///
/// # Errors
///
/// As [`Line::used`]; [`Error::NotPossible`] above 200 L/min, where there is hardly a line.
///
/// See [`needed`] for an example.
pub fn flow(
    line: &Line,
    drink: &Drink,
    pressure: GaugePressure,
) -> Result<(WaterFlow, PressureUse), Error> {
    let bar = pressure.bar();
    let over = |flow: f64| Ok::<f64, Error>(line.used(drink, WaterFlow::new(flow)?)?.total() - bar);
    if over(0.0)? >= 0.0 {
        return Ok((WaterFlow::of(0.0), line.used(drink, WaterFlow::of(0.0))?));
    }
    if over(FASTEST)? < 0.0 {
        return Err(Error::NotPossible {
            what: "pressure in a line that hardly resists, bar",
            wanted: bar,
            lowest: 0.0,
            highest: over(FASTEST)? + bar,
        });
    }
    let flow = WaterFlow::new(numeric::crossing(over, 0.0, FASTEST)?)?;
    Ok((flow, line.used(drink, flow)?))
}

/// Length of line at which a serving pressure pours at a wanted rate, and where the pressure then
/// goes. The length that `line` says is not looked at.
///
/// # Errors
///
/// As [`Line::used`]; [`Error::NotPossible`] where lift, fittings and speed alone take more than
/// the pressure, or a line of 100 m too little.
///
/// ```
/// use model::{Factor, GaugePressure, Length, Lift, Roughness, SugarContent, Temperature, WaterFlow};
/// use model::dispensing::{self, Drink, Line};
///
/// let line = Line {
///     bore: Length::of(0.0048),
///     length: Length::of(1.0),
///     lift: Lift::of(0.5),
///     roughness: Roughness::SMOOTH,
///     fittings: Factor::of(0.0),
/// };
/// let soda = Drink { temperature: Temperature::of(4.0), sugar: SugarContent::of(0.0) };
/// let (length, _) =
///     dispensing::balanced_length(&line, &soda, GaugePressure::of(1.8), WaterFlow::of(2.0))?;
/// assert!(length.metres() > 5.0 && length.metres() < 15.0);
/// # Ok::<(), model::Error>(())
/// ```
pub fn balanced_length(
    line: &Line,
    drink: &Drink,
    pressure: GaugePressure,
    flow: WaterFlow,
) -> Result<(Length, PressureUse), Error> {
    let longest = Length::of(Length::MAX);
    let used = Line {
        length: longest,
        ..*line
    }
    .used(drink, flow)?;
    let least = used.lift + used.fittings + used.kinetic;
    let bar = pressure.bar();
    let metres = (bar - least) / used.friction * longest.metres();
    if !(Length::MIN..=Length::MAX).contains(&metres) {
        return Err(Error::NotPossible {
            what: "serving pressure for this flow, bar",
            wanted: bar,
            lowest: least,
            highest: used.total(),
        });
    }
    let length = Length::new(metres)?;
    Ok((length, Line { length, ..*line }.used(drink, flow)?))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{Factor, Lift, Roughness, SugarContent, Temperature};

    fn soda() -> Drink {
        Drink {
            temperature: Temperature::of(4.0),
            sugar: SugarContent::of(0.0),
        }
    }

    fn line(length: f64, lift: f64) -> Line {
        Line {
            bore: Length::of(0.0048),
            length: Length::new(length).unwrap(),
            lift: Lift::new(lift).unwrap(),
            roughness: Roughness::SMOOTH,
            fittings: Factor::of(1.0),
        }
    }

    #[test]
    fn nothing_flows_below_the_lift() {
        let high = line(4.0, 12.0);
        let (none, used) = flow(&high, &soda(), GaugePressure::of(1.0)).unwrap();
        assert!(
            none.litres_per_minute().abs() < 1e-12 && used.lift > 1.1,
            "{used:?}"
        );
    }

    #[test]
    fn the_balanced_length_pours_at_the_rate_that_was_wanted() {
        for (bar, rate) in [(1.0, 1.0), (1.8, 2.0), (2.5, 3.0)] {
            let pressure = GaugePressure::new(bar).unwrap();
            let wanted = WaterFlow::new(rate).unwrap();
            let (length, _) = balanced_length(&line(1.0, 0.5), &soda(), pressure, wanted).unwrap();
            let as_built = line(length.metres(), 0.5);
            let (found, _) = flow(&as_built, &soda(), pressure).unwrap();
            assert!(
                (found.litres_per_minute() - rate).abs() < 1e-6,
                "{length} {found}"
            );
        }
    }

    #[test]
    fn too_little_pressure_has_no_length() {
        let asked = balanced_length(
            &line(1.0, 5.0),
            &soda(),
            GaugePressure::of(0.3),
            WaterFlow::of(2.0),
        );
        assert!(matches!(asked, Err(Error::NotPossible { .. })), "{asked:?}");
        // Without friction there is nothing to divide by, and no panic.
        let still = balanced_length(
            &line(1.0, 0.0),
            &soda(),
            GaugePressure::of(0.3),
            WaterFlow::of(0.0),
        );
        assert!(still.is_err());
    }
}
