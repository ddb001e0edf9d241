//! How fast air crosses the surface of water that stands still in a closed keg.

use crate::quantity::within;
use crate::{Error, SurfaceTransfer, Temperature};

/// Transfer at a surface without wind, for a Schmidt number of 600: 2.07 cm/h, the constant of Cole
/// & Caraco 1998 (Limnol. Oceanogr. 43:647). Measured on a lake, used for a keg: nobody has
/// published one for a keg. Crusius & Wanninkhof 2003 (Limnol. Oceanogr. 48:1010) have about 1 cm/h
/// where there is hardly any wind, so it is known to a factor of two.
const CALM_CM_PER_H: f64 = 2.07;

/// Schmidt number it is stated for.
const REFERENCE_SCHMIDT: f64 = 600.0;

/// Schmidt numbers of nitrogen in fresh water, 0 to 30 °C (Wanninkhof 1992, J. Geophys. Res. 97:7373,
/// table A1; from memory).
const NITROGEN: [f64; 4] = [1970.7, -131.45, 4.139, -0.052_106];

/// Warmest water the Schmidt numbers are known for; hotter water is taken to be like it.
const WARMEST_C: f64 = 30.0;

/// Surface transfer of air in a filled keg that stands still under air.
///
/// Cole & Caraco's transfer of a calm lake, times (Sc/600)^(-1/2) for nitrogen, most of what
/// dissolves of air. Known to a factor of two; beyond 30 °C it stays what it is there.
///
/// # Errors
///
/// [`Error::OutOfRange`] outside -5 to 150 °C.
///
/// ```
/// use model::{Temperature, air};
///
/// let cold = air::still_surface(Temperature::of(2.0))?.metres_per_second();
/// // A column of half a metre comes nearer to saturation by a third in 18 hours.
/// assert!((3.2e-6..3.6e-6).contains(&cold));
/// # Ok::<(), model::Error>(())
/// ```
pub fn still_surface(at: Temperature) -> Result<SurfaceTransfer, Error> {
    let celsius = within(
        at.celsius(),
        "temperature of still water",
        "°C",
        -5.0,
        150.0,
    )?;
    let t = celsius.clamp(0.0, WARMEST_C);
    let schmidt = NITROGEN.iter().rev().fold(0.0, |sum, c| sum * t + c);
    let calm = CALM_CM_PER_H / 100.0 / 3600.0;
    Ok(SurfaceTransfer::new(
        calm * (schmidt / REFERENCE_SCHMIDT).powf(-0.5),
    )?)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// By hand: at 20 °C nitrogen has 1970.7 - 2629.0 + 1655.6 - 416.8 = 580.5, so 2.07 cm/h ×
    /// (580.5/600)^-½ = 2.104 cm/h.
    #[test]
    fn warm_water_takes_up_air_about_as_a_calm_lake_does() {
        let found = still_surface(Temperature::of(20.0)).unwrap();
        let cm_per_h = found.metres_per_second() * 3600.0 * 100.0;
        assert!((cm_per_h - 2.104).abs() < 0.002, "{cm_per_h}");
    }

    #[test]
    fn cold_water_takes_it_up_more_slowly_and_hot_water_no_faster_than_warm() {
        let at = |c: f64| still_surface(Temperature::of(c)).unwrap();
        assert!(at(2.0) < at(20.0));
        assert_eq!(at(60.0), at(30.0));
    }
}
