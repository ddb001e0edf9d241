//! How fast CO2 gets into the water: still, shaken or through a stone.
//!
//! The driving force is the gap between the content at equilibrium with the
//! gas and the content now. To carbonate at a higher pressure for a limited
//! time, pass the equilibrium of that pressure and the content wanted.
//!
//! No measurement on kegs was found in print. Still kegs are good to a factor
//! 2, shaking to a factor 3: calibrate on site.

mod planning;
mod sparged;
mod still;
mod stirred;
mod supply;

pub use planning::{PlanningRange, SHAKEN, STILL_KEG_19_L, STONE};
pub use sparged::sparged;
pub use still::StillKeg;
pub use stirred::{after, time};
pub use supply::{Supply, supply_time};

use crate::{Carbonation, Error};

/// How far a content is below its equilibrium; nothing where it is not.
///
/// ```
/// use model::{Carbonation, kinetics};
///
/// let gap = kinetics::gap(Carbonation::of(4.0), Carbonation::of(9.0));
/// assert!((gap.grams_per_litre() - 5.0).abs() < 1e-12);
/// assert_eq!(kinetics::gap(Carbonation::of(9.5), Carbonation::of(9.0)), Carbonation::NONE);
/// ```
#[must_use]
pub fn gap(content: Carbonation, equilibrium: Carbonation) -> Carbonation {
    let gap = equilibrium.grams_per_litre() - content.grams_per_litre();
    // A difference of two contents is in range, so the fallback is never taken.
    Carbonation::new(gap.max(0.0)).unwrap_or(Carbonation::NONE)
}

/// Gaps to equilibrium at the start and at the target, g/L, or none when the
/// target is already there.
fn gaps(
    start: Carbonation,
    target: Carbonation,
    equilibrium: Carbonation,
) -> Result<Option<(f64, f64)>, Error> {
    if target <= start {
        return Ok(None);
    }
    let end = equilibrium.grams_per_litre() - target.grams_per_litre();
    if end <= 0.0 {
        return Err(Error::NotPossible {
            what: "carbonation, g/L",
            wanted: target.grams_per_litre(),
            lowest: start.grams_per_litre(),
            highest: equilibrium.grams_per_litre(),
        });
    }
    Ok(Some((
        equilibrium.grams_per_litre() - start.grams_per_litre(),
        end,
    )))
}
