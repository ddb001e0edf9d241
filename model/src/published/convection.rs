//! Heat transfer between a surface and air: two standard correlations.

use crate::OutOfRange;
use crate::constants::GRAVITY;
use crate::published::air_properties::{Air, air};
use crate::quantity::within;

/// Film coefficient of free convection on a vertical surface, W/(m² K).
///
/// Churchill & Chu 1975, Int. J. Heat Mass Transfer 18:1323, over the whole
/// range of Rayleigh numbers.
///
/// # Errors
///
/// [`OutOfRange`] for a film temperature outside 200 to 450 K or a height
/// outside 1 mm to 100 m.
///
/// ```
/// let h = model::published::convection::free_vertical(20.0, 2.0, 0.56)?;
/// assert!((h / 4.10 - 1.0).abs() < 0.02);
/// # Ok::<(), model::OutOfRange>(())
/// ```
pub fn free_vertical(surface_c: f64, air_c: f64, height_m: f64) -> Result<f64, OutOfRange> {
    let height = within(height_m, "height", "m", 0.001, 100.0)?;
    let film = air((surface_c + air_c) / 2.0 + 273.15)?;
    Ok(free(&film, (surface_c - air_c).abs(), height))
}

/// Film coefficient of air blowing across a cylinder, W/(m² K).
///
/// Churchill & Bernstein 1977, J. Heat Transfer 99:300; Re Pr > 0.2, below
/// which the constant term still gives a sensible floor.
///
/// # Errors
///
/// [`OutOfRange`] for a film temperature outside 200 to 450 K, a diameter
/// outside 1 mm to 100 m or a speed outside 0 to 20 m/s.
///
/// ```
/// let h = model::published::convection::forced_cylinder(20.0, 2.0, 0.22, 1.0)?;
/// assert!((h / 7.81 - 1.0).abs() < 0.02);
/// # Ok::<(), model::OutOfRange>(())
/// ```
pub fn forced_cylinder(
    surface_c: f64,
    air_c: f64,
    diameter_m: f64,
    speed_m_s: f64,
) -> Result<f64, OutOfRange> {
    let diameter = within(diameter_m, "diameter", "m", 0.001, 100.0)?;
    let speed = within(speed_m_s, "air speed", "m/s", 0.0, 20.0)?;
    let film = air((surface_c + air_c) / 2.0 + 273.15)?;
    Ok(forced(&film, diameter, speed))
}

pub(crate) fn free(film: &Air, difference: f64, height: f64) -> f64 {
    free_with(film, free_factor(film.prandtl), difference, height)
}

pub(crate) fn forced(film: &Air, diameter: f64, speed: f64) -> f64 {
    forced_with(film, forced_factor(film.prandtl), diameter, speed)
}

/// The part of Churchill & Chu that depends on the Prandtl number alone.
pub(crate) fn free_factor(prandtl: f64) -> f64 {
    0.387 / (1.0 + (0.492 / prandtl).powf(0.5625)).powf(8.0 / 27.0)
}

/// The part of Churchill & Bernstein that depends on the Prandtl number alone.
pub(crate) fn forced_factor(prandtl: f64) -> f64 {
    0.62 * prandtl.cbrt() / (1.0 + (0.4 / prandtl).powf(2.0 / 3.0)).sqrt().sqrt()
}

/// Churchill & Chu with [`free_factor`] worked out before.
pub(crate) fn free_with(film: &Air, factor: f64, difference: f64, height: f64) -> f64 {
    let viscosity = film.kinematic_viscosity;
    let rayleigh = GRAVITY / film.kelvin * difference * height * height * height * film.prandtl
        / (viscosity * viscosity);
    let root = 0.825 + factor * rayleigh.sqrt().cbrt();
    root * root * film.conductivity / height
}

/// Churchill & Bernstein with [`forced_factor`] worked out before.
pub(crate) fn forced_with(film: &Air, factor: f64, diameter: f64, speed: f64) -> f64 {
    let reynolds = speed * diameter / film.kinematic_viscosity;
    let root = (reynolds / 282_000.0).sqrt();
    // The power 5/8 from square roots, which are faster than a power.
    let turbulent = (1.0 + root * root.sqrt().sqrt()).powf(0.8);
    let nusselt = 0.3 + factor * reynolds.sqrt() * turbulent;
    nusselt * film.conductivity / diameter
}
