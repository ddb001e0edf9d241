//! A keg standing still under pressure.

use super::gaps;
use crate::constants::{CO2_MOLAR_MASS, GRAVITY};
use crate::published::{jaehne, kell, viscosity, weiss};
use crate::{Area, Carbonation, Error, MassTransfer, Temperature, TimeSpan, Volume};

/// A keg in which only the weight of the carbonated water moves it: water rich
/// in CO2 is denser and sinks from the surface.
///
/// Sh = 0.15 Ra^(1/3), by analogy with a heated plate (Lloyd & Moran 1974, from
/// memory); diffusion of Jähne et al. 1987. The rate grows as the power 4/3 of
/// the gap to equilibrium. An estimate, good to a factor 2.
///
/// ```
/// use model::{Area, Carbonation, Temperature, Volume, kinetics::StillKeg};
///
/// let keg = StillKeg {
///     liquid: Volume::of(18.5),
///     surface: Area::of(0.0363),
///     temperature: Temperature::of(2.0),
/// };
/// let held = Carbonation::of(9.1); // equilibrium at 2 °C and 2 bar gauge
/// let half = keg.time(Carbonation::NONE, Carbonation::of(4.55), held)?;
/// assert!((half.hours() - 30.5).abs() < 1.0);
/// # Ok::<(), model::Error>(())
/// ```
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct StillKeg {
    /// Liquid in the keg.
    pub liquid: Volume,
    /// Area of its surface.
    pub surface: Area,
    /// Its temperature, -1 to 40 °C.
    pub temperature: Temperature,
}

impl StillKeg {
    /// A 19 L steel keg of 0.215 m inner diameter with 18.5 L in it.
    ///
    /// ```
    /// use model::{Temperature, Volume, kinetics::StillKeg};
    ///
    /// let keg = StillKeg::steel_19_l(Temperature::of(2.0));
    /// assert_eq!(keg.liquid, Volume::of(18.5));
    /// ```
    #[must_use]
    pub const fn steel_19_l(temperature: Temperature) -> Self {
        Self {
            liquid: Volume::of(18.5),
            surface: Area::of(0.0363),
            temperature,
        }
    }

    /// Mass-transfer coefficient while this gap to equilibrium is left.
    ///
    /// # Errors
    ///
    /// [`Error::OutOfRange`] outside -1 to 40 °C, or without liquid.
    ///
    /// ```
    /// use model::{Carbonation, Temperature, kinetics::StillKeg};
    ///
    /// let keg = StillKeg::steel_19_l(Temperature::of(2.0));
    /// let fast = keg.coefficient(Carbonation::of(9.1))?;
    /// assert!((fast.per_second() / 7.1e-6 - 1.0).abs() < 0.02);
    /// # Ok::<(), model::Error>(())
    /// ```
    pub fn coefficient(&self, gap: Carbonation) -> Result<MassTransfer, Error> {
        let per_gap = self.strength()? * gap.grams_per_litre().cbrt();
        Ok(MassTransfer::new(per_gap)?)
    }

    /// Time from one content to another, under gas whose equilibrium content
    /// is `equilibrium`; zero when the target is already there.
    ///
    /// # Errors
    ///
    /// [`Error::NotPossible`] for a target at or above the equilibrium;
    /// [`Error::OutOfRange`] outside -1 to 40 °C or beyond thirty years.
    ///
    /// See [`StillKeg`] for an example.
    pub fn time(
        &self,
        start: Carbonation,
        target: Carbonation,
        equilibrium: Carbonation,
    ) -> Result<TimeSpan, Error> {
        let strength = self.strength()?;
        let Some((wide, narrow)) = gaps(start, target, equilibrium)? else {
            return Ok(TimeSpan::ZERO);
        };
        // d(gap)/dt = -k gap^(4/3) has gap^(-1/3) linear in time.
        let seconds = 3.0 / strength * (narrow.cbrt().recip() - wide.cbrt().recip());
        Ok(TimeSpan::new(seconds)?)
    }

    /// Content after a time under such gas; unchanged when there already is more.
    ///
    /// # Errors
    ///
    /// [`Error::OutOfRange`] outside -1 to 40 °C, or without liquid.
    ///
    /// ```
    /// use model::{Carbonation, Temperature, TimeSpan, kinetics::StillKeg};
    ///
    /// let keg = StillKeg::steel_19_l(Temperature::of(2.0));
    /// let week = TimeSpan::from_hours(168.0)?;
    /// let content = keg.after(Carbonation::NONE, Carbonation::of(9.1), week)?;
    /// assert!(content > Carbonation::of(8.0) && content < Carbonation::of(9.1));
    /// # Ok::<(), model::Error>(())
    /// ```
    pub fn after(
        &self,
        start: Carbonation,
        equilibrium: Carbonation,
        time: TimeSpan,
    ) -> Result<Carbonation, Error> {
        let strength = self.strength()?;
        let gap = equilibrium.grams_per_litre() - start.grams_per_litre();
        if gap <= 0.0 {
            return Ok(start);
        }
        let root = gap.cbrt().recip() + strength * time.seconds() / 3.0;
        let left = root.recip().powi(3);
        // In hardly any time rounding must not take away what was there.
        let content = equilibrium.grams_per_litre() - left;
        Ok(Carbonation::new(content.max(start.grams_per_litre()))?)
    }

    /// kLa over the cube root of the gap, 1/s per (g/L)^(1/3).
    fn strength(&self) -> Result<f64, Error> {
        let kelvin = self.temperature.kelvin();
        let diffusivity = jaehne::diffusivity(kelvin)?;
        let density = kell::density(self.temperature.celsius())?;
        // Density gained per kg/m³ of CO2: its mass less the water it displaces.
        let displaced = density * weiss::MOLAR_VOLUME_IN_WATER * 1e-3 / CO2_MOLAR_MASS;
        let buoyancy = GRAVITY * (1.0 - displaced) / viscosity::water(kelvin)?;
        let transfer = 0.15 * diffusivity.powf(2.0 / 3.0) * buoyancy.cbrt();
        let litres = crate::quantity::within(
            self.liquid.litres(),
            "liquid in a still keg",
            "L",
            1e-3,
            Volume::MAX,
        )?;
        Ok(transfer * self.surface.square_metres() / (litres / 1000.0))
    }
}
