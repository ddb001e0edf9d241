//! What every fit answers.

use model::calibration::Estimate;
use model::inputs::Amount;

use crate::app::calculations::refused::Refused;

/// Declares the estimate of one parameter, shown as `$Value`.
macro_rules! estimate {
    ($(#[doc = $doc:literal])+ $Name:ident: $Value:ty) => {
        $(#[doc = $doc])+
        #[derive(Debug, serde::Serialize, utoipa::ToSchema)]
        pub(in crate::app::calculations) struct $Name {
            /// The estimate: theory, which counts as three readings, and the readings.
            value: $Value,
            /// Its standard deviation.
            spread: $Value,
            /// Readings it rests on, besides theory.
            #[schema(minimum = 1, maximum = 500, example = 3)]
            readings: usize,
            /// What the readings varied, with its unit.
            #[schema(example = "temperature above the surroundings, K")]
            over: &'static str,
            /// Lowest value of that among the readings; below it use theory.
            #[schema(example = 7.3)]
            lowest: f64,
            /// Highest value of that among the readings; above it use theory.
            #[schema(example = 25.0)]
            highest: f64,
        }
    };
}
pub(super) use estimate;

/// Fills such an estimate in; the spread is a value of its own type.
macro_rules! estimated {
    ($Name:ident from $estimate:expr, $Spread:ident) => {{
        let found = $estimate;
        $Name {
            value: crate::app::calculations::values::Shown::of(found.value),
            spread: crate::app::calculations::values::Shown::of($Spread::new(found.spread)?),
            readings: found.readings,
            over: found.over,
            lowest: found.lowest,
            highest: found.highest,
        }
    }};
}
pub(super) use estimated;

/// The estimate, refused where it is to be used outside its readings.
pub(super) fn trusted<Q: Copy>(
    found: Estimate<Q>,
    use_at: Option<Amount>,
) -> Result<Estimate<Q>, Refused> {
    if let Some(place) = use_at {
        found
            .used_at(place.value())
            .map_err(|error| Refused::fields(&["use_at"], error.to_string()))?;
    }
    Ok(found)
}
