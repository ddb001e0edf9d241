//! CO2 bubbled through a stone.

use crate::published::{bubble_column, jaehne};
use crate::{
    AbsolutePressure, Area, Error, GasFlow, MassTransfer, Temperature, carbon_dioxide, quantity,
};

/// Diffusion coefficient of oxygen in water at 20 °C, m²/s (handbook, from memory).
const OXYGEN_DIFFUSIVITY: f64 = 2.0e-9;

/// Mass-transfer coefficient of CO2 bubbling up a keg, from the flow a
/// regulator shows and the cross-section of the liquid.
///
/// Bubble-column correlation for oxygen at 20 °C, see [`bubble_column`], with
/// the square root of the ratio of diffusivities. Pressure makes the bubbles
/// small and the coefficient with them. An estimate, good to a factor 2; the
/// gas itself is then often the tighter limit, see
/// [`supply_time`](crate::kinetics::supply_time).
///
/// # Errors
///
/// [`Error::OutOfRange`] outside -1 to 40 °C, above 20 bar, or for bubbles that
/// rise with less than 0.01 mm/s or more than 0.3 m/s over the cross-section.
///
/// ```
/// use model::{AbsolutePressure, Area, GasFlow, Temperature, kinetics};
///
/// let (keg, cold) = (Area::of(0.0363), Temperature::of(2.0));
/// let flow = GasFlow::of(2.0);
/// let open = kinetics::sparged(flow, keg, AbsolutePressure::STANDARD_ATMOSPHERE, cold)?;
/// assert!((open.per_second() - 1.6e-3).abs() < 5e-5);
/// // Under pressure the same gas is smaller and stirs less.
/// let held = kinetics::sparged(flow, keg, AbsolutePressure::of(3.0), cold)?;
/// assert!(held < open);
/// # Ok::<(), model::Error>(())
/// ```
pub fn sparged(
    flow: GasFlow,
    surface: Area,
    pressure: AbsolutePressure,
    at: Temperature,
) -> Result<MassTransfer, Error> {
    let shown =
        carbon_dioxide::density(Temperature::of(15.0), AbsolutePressure::STANDARD_ATMOSPHERE)?;
    let squeezed = carbon_dioxide::density(at, pressure)?;
    let cubic_metres = flow.litres_per_minute() / 60_000.0 * shown / squeezed;
    let velocity = cubic_metres / surface.square_metres();
    quantity::within(velocity, "gas velocity", "m/s", 1e-5, 0.3)?;
    let slower = (jaehne::diffusivity(at.kelvin())? / OXYGEN_DIFFUSIVITY).sqrt();
    Ok(MassTransfer::new(
        bubble_column::oxygen_transfer(velocity)? * slower,
    )?)
}
