//! Shaken or sparged: the gap to equilibrium closes exponentially.

use super::gaps;
use crate::{Carbonation, Error, MassTransfer, TimeSpan};

/// Time from one content to another at a mass-transfer coefficient, under gas
/// whose equilibrium content is `equilibrium`; zero when already there.
///
/// dC/dt = kLa (C* - C).
///
/// # Errors
///
/// [`Error::NotPossible`] for a target at or above the equilibrium;
/// [`Error::OutOfRange`] beyond thirty years, as without any transfer.
///
/// ```
/// use model::{Carbonation, kinetics};
///
/// let held = Carbonation::of(9.1);
/// let time = kinetics::time(
///     kinetics::SHAKEN.low,
///     Carbonation::NONE,
///     Carbonation::of(0.95 * 9.1),
///     held,
/// )?;
/// assert!((time.minutes() - 16.6).abs() < 0.1);
/// # Ok::<(), model::Error>(())
/// ```
pub fn time(
    coefficient: MassTransfer,
    start: Carbonation,
    target: Carbonation,
    equilibrium: Carbonation,
) -> Result<TimeSpan, Error> {
    let Some((wide, narrow)) = gaps(start, target, equilibrium)? else {
        return Ok(TimeSpan::ZERO);
    };
    Ok(TimeSpan::new(
        (wide / narrow).ln() / coefficient.per_second(),
    )?)
}

/// Content after a time; it falls when there is more than the equilibrium.
///
/// # Errors
///
/// [`Error::OutOfRange`] never for quantities in range.
///
/// ```
/// use model::{Carbonation, TimeSpan, kinetics};
///
/// let shaken = kinetics::after(
///     kinetics::SHAKEN.high,
///     Carbonation::NONE,
///     Carbonation::of(9.1),
///     TimeSpan::from_minutes(5.0)?,
/// )?;
/// assert!(shaken > Carbonation::of(8.9));
/// # Ok::<(), model::Error>(())
/// ```
pub fn after(
    coefficient: MassTransfer,
    start: Carbonation,
    equilibrium: Carbonation,
    time: TimeSpan,
) -> Result<Carbonation, Error> {
    let gap = equilibrium.grams_per_litre() - start.grams_per_litre();
    let closed = -(-coefficient.per_second() * time.seconds()).exp_m1();
    Ok(Carbonation::new(start.grams_per_litre() + gap * closed)?)
}
