//! How sour carbonated water is.

use crate::constants::CO2_MOLAR_MASS;
use crate::published::{ionisation, kell};
use crate::{Carbonation, Error, Temperature};

/// pH of pure water with this much CO2 in it, -1 to 40 °C.
///
/// Electroneutrality with the first ionisation of carbonic acid and that of
/// water. Tap water holds bicarbonate, which raises the pH by up to one unit;
/// acids in a drink lower it.
///
/// # Errors
///
/// [`Error::OutOfRange`] outside that range.
///
/// ```
/// use model::{Carbonation, Temperature, acidity};
///
/// // Textbook value for water under one atmosphere of CO2 at 25 °C: 3.9.
/// let open = acidity::ph(Carbonation::of(1.49), Temperature::of(25.0))?;
/// assert!((open - 3.91).abs() < 0.02);
/// let keg = acidity::ph(Carbonation::of(9.1), Temperature::of(2.0))?;
/// assert!((keg - 3.6).abs() < 0.05);
/// # Ok::<(), model::Error>(())
/// ```
pub fn ph(content: Carbonation, at: Temperature) -> Result<f64, Error> {
    let kelvin = crate::quantity::within(
        at.kelvin(),
        "temperature of carbonated water",
        "K",
        272.15,
        313.15,
    )?;
    let molality =
        content.grams_per_litre() / CO2_MOLAR_MASS / (kell::density(at.celsius())? / 1000.0);
    let squared = ionisation::carbonic_acid(kelvin)? * molality + ionisation::water(kelvin)?;
    Ok(-0.5 * squared.log10())
}
