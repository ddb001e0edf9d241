//! What one movement changes, and by how much.

use model::quantity;
use scheduler::scenario::{KegTypeId, MaterialId};
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

quantity! {
    /// Kilograms that came in, or went out if below zero.
    pub(crate) struct MassChange("mass change", "kg", -100_000.0..=100_000.0, example 40.0, get kilograms)
}
quantity! {
    /// Units of a material that came in, or went out if below zero: grams of ascorbate, litres of a syrup.
    pub(crate) struct AmountChange("amount change", "units", -10_000_000.0..=10_000_000.0, example 5.0, get units)
}

/// Kegs that came in, or went out if below zero.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(try_from = "i32", into = "i32")]
pub(crate) struct KegChange(i32);

/// Why a number is not a change of kegs.
#[derive(Debug, thiserror::Error)]
#[error("{0} kegs is not a change: -10000 to 10000 are allowed")]
pub(crate) struct BadKegChange(i32);

impl KegChange {
    pub(crate) fn kegs(self) -> i32 {
        self.0
    }
}

impl TryFrom<i32> for KegChange {
    type Error = BadKegChange;
    fn try_from(kegs: i32) -> Result<Self, BadKegChange> {
        if (-10_000..=10_000).contains(&kegs) {
            Ok(Self(kegs))
        } else {
            Err(BadKegChange(kegs))
        }
    }
}

impl From<KegChange> for i32 {
    fn from(change: KegChange) -> Self {
        change.0
    }
}

impl utoipa::PartialSchema for KegChange {
    fn schema() -> utoipa::openapi::RefOr<utoipa::openapi::schema::Schema> {
        utoipa::openapi::ObjectBuilder::new()
            .schema_type(utoipa::openapi::schema::Type::Integer)
            .description(Some("Kegs that came in, or went out if below zero"))
            .minimum(Some(-10_000))
            .maximum(Some(10_000))
            .examples([serde_json::json!(6)])
            .into()
    }
}

impl utoipa::ToSchema for KegChange {}

/// What came in or went out.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(tag = "of", rename_all = "snake_case", deny_unknown_fields)]
#[schema(as = StockChange)]
pub(crate) enum Change {
    /// Ice in the bin.
    Ice {
        /// How much.
        kg: MassChange,
    },
    /// CO2 in the cylinders, by weight.
    Co2 {
        /// How much.
        kg: MassChange,
    },
    /// Something else that is used up.
    Material {
        /// The material; `ascorbate` is the dechlorinating agent, in grams.
        material: MaterialId,
        /// How much: grams of ascorbate, litres of a syrup.
        amount: AmountChange,
    },
    /// Empty kegs, washed and ready to fill.
    CleanKegs {
        /// The keg type.
        keg_type: KegTypeId,
        /// How many.
        kegs: KegChange,
    },
    /// Empty kegs waiting for the wash.
    DirtyKegs {
        /// The keg type.
        keg_type: KegTypeId,
        /// How many.
        kegs: KegChange,
    },
}
