//! What is used up: materials by weight, volume or piece, and CO2 in cylinders.

use chrono::{DateTime, FixedOffset};
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use super::MaterialId;
use super::quantities::{IngredientShare, MaterialAmount, StepMinutes, StockMass};

/// The material that stands for the dechlorinating agent, in grams.
pub const AGENT: &str = "ascorbate";

/// What CO2 is called where it is delivered, in kilograms.
pub const CO2: &str = "co2";

/// A material that limits a plan: no more of it is used than is on hand or delivered in time.
///
/// A syrup or an agent that is not listed is taken to be bought in time; the plan says how much.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct Material {
    /// The material's own id; `ascorbate` is the dechlorinating agent.
    pub id: MaterialId,
    /// What people call it.
    #[schema(min_length = 1, max_length = 120, example = "Quinine syrup")]
    pub name: String,
    /// The unit it is measured in: grams for the agent, litres for syrups.
    pub unit: MaterialUnit,
    /// The amount it is ordered in, such as one canister.
    pub pack: MaterialAmount,
}

/// The unit a material is measured in.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum MaterialUnit {
    /// Grams.
    G,
    /// Kilograms.
    Kg,
    /// Litres.
    L,
    /// Pieces, such as caps.
    Piece,
}

impl MaterialUnit {
    /// Its symbol, as plans write it.
    #[must_use]
    pub fn symbol(self) -> &'static str {
        match self {
            Self::G => "g",
            Self::Kg => "kg",
            Self::L => "L",
            Self::Piece => "pieces",
        }
    }
}

/// Something that goes into each litre of a product besides its syrup. It is dissolved and takes
/// no room.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct Ingredient {
    /// The material; the setup's materials list it.
    pub material: MaterialId,
    /// How much for a litre of drink, in the material's unit.
    pub per_l: IngredientShare,
}

/// A material that is on its way, whether it limits the plan or not.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct Delivery {
    /// The material; `co2` stands for CO2, in kilograms.
    pub material: MaterialId,
    /// How much.
    pub amount: MaterialAmount,
    /// When it arrives (RFC 3339); it is there from the first full step on.
    #[schema(value_type = String, format = DateTime, example = "2026-06-03T10:00:00+01:00")]
    #[serde(deserialize_with = "crate::scenario::instants::instant")]
    pub at: DateTime<FixedOffset>,
}

/// How CO2 cylinders are coupled and changed.
///
/// Without this a plan takes CO2 from all cylinders together, to the last gram.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct Cylinders {
    /// Cylinders that are coupled up at once.
    #[schema(minimum = 1, maximum = 20, example = 2)]
    pub coupled: u8,
    /// What stays in a cylinder that no longer holds its pressure and is changed.
    pub residual_kg: StockMass,
    /// Minutes of hands to change one and check it for leaks.
    pub change_min: StepMinutes,
}

/// CO2 as it stands: what coupled cylinders can still give, and full ones beside them.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Standing {
    /// Kilograms the coupled cylinders can still give.
    pub usable_kg: f64,
    /// Full cylinders that are not coupled.
    pub spare: u32,
}

impl Cylinders {
    /// Kilograms a full cylinder gives.
    #[must_use]
    pub fn usable_kg(&self, full: StockMass) -> f64 {
        (full.kilograms() - self.residual_kg.kilograms()).max(0.0)
    }

    /// How a weight of CO2 stands: one cylinder holds what is over whole ones and is coupled; as
    /// many full ones as there is room for are coupled beside it, and the others are spare.
    ///
    /// ```
    /// use scheduler::scenario::Cylinders;
    /// use scheduler::scenario::quantities::{StepMinutes, StockMass};
    ///
    /// let two = Cylinders {
    ///     coupled: 2,
    ///     residual_kg: StockMass::of(0.5),
    ///     change_min: StepMinutes::of(10.0),
    /// };
    /// // 21 kg in cylinders of 9 kg: 3 and 9 kg are coupled, 9 kg stand beside them.
    /// let found = two.standing(StockMass::of(21.0), StockMass::of(9.0));
    /// assert!((found.usable_kg - 11.0).abs() < 1e-9);
    /// assert_eq!(found.spare, 1);
    /// ```
    #[must_use]
    pub fn standing(&self, all: StockMass, full: StockMass) -> Standing {
        let (all, full) = (all.kilograms(), full.kilograms());
        let whole = (all / full + 1e-9).floor();
        let rest = (all - whole * full).max(0.0);
        let begun = if rest > 1e-6 { 1.0 } else { 0.0 };
        let beside = (f64::from(self.coupled) - begun).min(whole);
        let residual = self.residual_kg.kilograms();
        Standing {
            usable_kg: (rest - residual).max(0.0) + beside * (full - residual).max(0.0),
            spare: (whole - beside) as u32,
        }
    }
}
