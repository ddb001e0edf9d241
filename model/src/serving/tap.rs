//! A keg on tap.

use crate::kinetics::StillKeg;
use crate::{
    AbsolutePressure, Area, Carbonation, Error, GaugePressure, SugarContent, Temperature, TimeSpan,
    Volume, carbonation,
};

/// A keg on tap at a serving pressure.
///
/// ```
/// use model::{
///     AbsolutePressure, Area, GaugePressure, SugarContent, Temperature, Volume, serving::OnTap,
/// };
///
/// let keg = OnTap {
///     liquid: Volume::of(10.0),
///     surface: Area::of(0.0363),
///     temperature: Temperature::of(4.0),
///     held: GaugePressure::of(2.5),
///     sugar: SugarContent::of(0.0),
///     atmosphere: AbsolutePressure::STANDARD_ATMOSPHERE,
/// };
/// assert!(keg.equilibrium()?.volumes() > 4.9);
/// # Ok::<(), model::Error>(())
/// ```
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct OnTap {
    /// Liquid left.
    pub liquid: Volume,
    /// Area of its surface.
    pub surface: Area,
    /// Its temperature, -1 to 40 °C.
    pub temperature: Temperature,
    /// Serving pressure.
    pub held: GaugePressure,
    /// Sugar in the drink.
    pub sugar: SugarContent,
    /// Air pressure of the site.
    pub atmosphere: AbsolutePressure,
}

impl OnTap {
    /// Content the keg tends to at its serving pressure, without air.
    ///
    /// # Errors
    ///
    /// [`Error::OutOfRange`] outside -1 to 40 °C or 20 bar.
    ///
    /// See [`OnTap`] for an example.
    pub fn equilibrium(&self) -> Result<Carbonation, Error> {
        let total = self.held.absolute(self.atmosphere)?;
        carbonation::dissolved(
            self.temperature,
            total,
            AbsolutePressure::VACUUM,
            self.sugar,
        )
    }
}

/// Content after a time on tap.
///
/// A keg served above its equilibrium pressure slowly takes up more. Below it
/// the drink keeps its CO2 until it is disturbed, and then loses it as
/// bubbles: how fast is not settled by physics, so the answer is then the
/// equilibrium, the lowest it can fall to. How long a drink keeps its taste
/// and stays wholesome is not physics either: set a shelf life for each
/// product.
///
/// # Errors
///
/// As [`OnTap::equilibrium`], and [`Error::OutOfRange`] without liquid.
///
/// ```
/// use model::{
///     AbsolutePressure, Area, Carbonation, GaugePressure, SugarContent, Temperature, TimeSpan,
///     Volume,
/// };
/// use model::serving::{self, OnTap};
///
/// let keg = OnTap {
///     liquid: Volume::of(10.0),
///     surface: Area::of(0.0363),
///     temperature: Temperature::of(4.0),
///     held: GaugePressure::of(2.5),
///     sugar: SugarContent::of(0.0),
///     atmosphere: AbsolutePressure::STANDARD_ATMOSPHERE,
/// };
/// let before = Carbonation::of(8.0);
/// let after = serving::content_after(&keg, before, TimeSpan::from_hours(48.0)?)?;
/// assert!(after > before && after < keg.equilibrium()?);
/// # Ok::<(), model::Error>(())
/// ```
pub fn content_after(
    keg: &OnTap,
    content: Carbonation,
    time: TimeSpan,
) -> Result<Carbonation, Error> {
    let equilibrium = keg.equilibrium()?;
    if content >= equilibrium {
        return Ok(equilibrium);
    }
    let still = StillKeg {
        liquid: keg.liquid,
        surface: keg.surface,
        temperature: keg.temperature,
    };
    still.after(content, equilibrium, time)
}
