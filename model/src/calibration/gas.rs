//! Where the gas of a cylinder goes.

use super::Estimate;
use super::regression::{Prior, Row, Scatter, fit};
use crate::{Error, Mass, MassFlow, TimeSpan, Volume};

/// A stretch of time between two weighings of the cylinder.
///
/// See [`gas_use`] for an example.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct GasReading {
    /// Kegs carbonated.
    pub kegs: u32,
    /// Litres poured.
    pub poured: Volume,
    /// How long it was.
    pub time: TimeSpan,
    /// Weight lost by the cylinder.
    pub used: Mass,
}

/// What a keg, a litre and a day should take.
///
/// See [`gas_use`] for an example.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct GasUse {
    /// CO2 for carbonating one keg.
    pub per_keg: Mass,
    /// CO2 that follows one litre poured.
    pub per_litre: Mass,
    /// Leaks.
    pub leak: MassFlow,
}

/// What a keg, a litre and a day really take.
///
/// See [`gas_use`] for an example.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct GasUseFit {
    /// CO2 for carbonating one keg.
    pub per_keg: Estimate<Mass>,
    /// CO2 that follows one litre poured.
    pub per_litre: Estimate<Mass>,
    /// Leaks; its spread is in kg/h.
    pub leak: Estimate<MassFlow>,
}

/// Gas per keg and per litre, and the leak, that explain the weighings.
///
/// Weight lost = a · kegs + b · litres + c · days. The three can only be told
/// apart when they vary independently: weigh also over idle days. A share that
/// comes out negative is taken as none. Covered are days between weighings.
///
/// # Errors
///
/// [`Error::NotDetermined`] for fewer than three stretches or when kegs,
/// litres and days go together.
///
/// ```
/// use model::calibration::{self, GasReading, GasUse};
/// use model::{Mass, MassFlow, TimeSpan, Volume};
///
/// let reading = |kegs, litres: f64, days: f64, used: f64| GasReading {
///     kegs,
///     poured: Volume::of(litres),
///     time: TimeSpan::from_hours(24.0 * days).unwrap(),
///     used: Mass::of(used),
/// };
/// let readings = [
///     reading(6, 60.0, 7.0, 1.70),
///     reading(2, 80.0, 7.0, 1.05),
///     reading(0, 0.0, 3.0, 0.09),
///     reading(8, 110.0, 6.0, 2.30),
/// ];
/// let theory = GasUse {
///     per_keg: Mass::of(0.185),
///     per_litre: Mass::of(0.0059),
///     leak: MassFlow::from_grams_per_day(5.0)?,
/// };
/// let site = calibration::gas_use(&readings, &theory)?;
/// assert!(site.leak.value.grams_per_day() > 10.0);
/// # Ok::<(), model::Error>(())
/// ```
pub fn gas_use(readings: &[GasReading], theory: &GasUse) -> Result<GasUseFit, Error> {
    let rows = readings.iter().map(|reading| {
        let days = reading.time.hours() / 24.0;
        Row {
            x: [f64::from(reading.kegs), reading.poured.litres(), days],
            y: reading.used.kilograms(),
            at: days,
        }
    });
    let prior = Prior {
        values: [
            theory.per_keg.kilograms(),
            theory.per_litre.kilograms(),
            theory.leak.kilograms_per_hour() * 24.0,
        ],
        scatter: Scatter::Relative(0.2),
        what: "gas per keg, per litre and leak",
        over: "days between weighings",
    };
    let [keg, litre, mut day] = fit(rows, &prior)?;
    day.spread /= 24.0;
    Ok(GasUseFit {
        per_keg: keg.map(|value| Ok(Mass::new(value.max(0.0))?))?,
        per_litre: litre.map(|value| Ok(Mass::new(value.max(0.0))?))?,
        leak: day.map(|value| Ok(MassFlow::new(value.max(0.0) / 24.0)?))?,
    })
}
