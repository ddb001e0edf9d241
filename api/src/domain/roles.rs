//! Roles of a crew: who does which kind of work.
//!
//! A setup says how many hands there are and not who does what, so a role is a kind of work.

use scheduler::plan::Step;
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

/// A role of a crew.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub(crate) enum Role {
    /// Boils water and fills kegs. `kettle` is taken for it too, which it was called before.
    #[serde(alias = "kettle")]
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
    pub(crate) const ALL: [Self; 5] = [
        Self::Pot,
        Self::Cellar,
        Self::Bar,
        Self::Wash,
        Self::GoodsIn,
    ];

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

    pub(crate) fn as_str(self) -> &'static str {
        match self {
            Self::Pot => "pot",
            Self::Cellar => "cellar",
            Self::Bar => "bar",
            Self::Wash => "wash",
            Self::GoodsIn => "goods_in",
        }
    }

    pub(crate) fn parse(text: &str) -> Option<Self> {
        let text = if text == "kettle" { "pot" } else { text };
        Self::ALL.into_iter().find(|role| role.as_str() == text)
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
