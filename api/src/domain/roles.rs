//! Roles of a crew: who does which kind of work.
//!
//! A setup says how many hands there are and not who does what, so a role is a kind of work.

use scheduler::plan::Step;
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

/// A role of a crew.
#[derive(
    Debug,
    Clone,
    Copy,
    PartialEq,
    Eq,
    PartialOrd,
    Ord,
    Serialize,
    Deserialize,
    ToSchema,
    strum::IntoStaticStr,
    strum::EnumString,
    strum::VariantArray,
)]
#[serde(rename_all = "snake_case")]
#[strum(serialize_all = "snake_case", const_into_str)]
pub(crate) enum Role {
    /// Boils water and fills kegs. `kettle` is taken for it too, which it was called before.
    #[serde(alias = "kettle")]
    #[strum(to_string = "pot", serialize = "kettle")]
    Pot,
    /// Gasses kegs, changes cylinders, empties what is past its time.
    Cellar,
    /// Takes kegs to the tap and back.
    Bar,
    /// Washes kegs.
    Wash,
    /// Takes deliveries in.
    GoodsIn,
}

impl Role {
    /// Whose work a step is.
    pub(crate) fn of(step: &Step) -> Self {
        match step {
            Step::Boil(_) | Step::Fill(_) => Self::Pot,
            Step::Gas(_) | Step::Cylinder(_) | Step::Discard(_) => Self::Cellar,
            Step::Tap(_) | Step::Stale(_) | Step::Return(_) => Self::Bar,
            Step::Wash(_) => Self::Wash,
            Step::Ice(_) => Self::GoodsIn,
        }
    }

    /// What people call it.
    pub(crate) fn title(self) -> &'static str {
        match self {
            Self::Pot => "Pot: boil and fill",
            Self::Cellar => "Cellar: gas and cylinders",
            Self::Bar => "Bar: tap and take back",
            Self::Wash => "Wash",
            Self::GoodsIn => "Goods in",
        }
    }
}
