//! Work items: one thing to do, with the numbers to do it by.

use std::fmt;

use chrono::{DateTime, FixedOffset};
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use super::Caution;
use crate::scenario::{GasStationId, KegTypeId, MaterialId, PotId, ProductId, RouteId, StoreId};

/// Names a work item within its plan: kind and number, such as `boil-3`.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize, ToSchema)]
#[schema(value_type = String, example = "boil-3")]
pub struct WorkId(String);

impl WorkId {
    pub(crate) fn new(kind: &str, number: usize) -> Self {
        Self(format!("{kind}-{number}"))
    }

    /// The number at its end.
    pub(crate) fn number(&self) -> Option<usize> {
        self.0.rsplit('-').next()?.parse().ok()
    }

    /// The id as text.
    #[must_use]
    pub fn as_str(&self) -> &str {
        &self.0
    }
}

impl fmt::Display for WorkId {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.0)
    }
}

/// One thing to do.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct WorkItem {
    /// Its id within the plan.
    pub id: WorkId,
    /// When to start.
    #[schema(value_type = String, format = DateTime, example = "2026-06-02T09:00:00+01:00")]
    pub start: DateTime<FixedOffset>,
    /// When it is over.
    #[schema(value_type = String, format = DateTime, example = "2026-06-02T11:00:00+01:00")]
    pub end: DateTime<FixedOffset>,
    /// Minutes of hands it needs in all.
    #[schema(minimum = 0, example = 40.0)]
    pub hands_min: f64,
    /// What to do.
    #[serde(flatten)]
    pub step: Step,
    /// What to mind.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub cautions: Vec<Caution>,
}

/// Kegs that come from an earlier work item, or from stock where there is none.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
pub struct Source {
    /// The work item that made them; none for what was on hand.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub item: Option<WorkId>,
    /// How many kegs.
    #[schema(example = 2)]
    pub kegs: u32,
}

/// How much of a material goes into each keg.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct Dose {
    /// The material.
    pub material: MaterialId,
    /// How much, in the material's unit.
    #[schema(minimum = 0, example = 46.25)]
    pub amount_each: f64,
}

/// What to do, with the numbers to do it by.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(tag = "kind", rename_all = "snake_case")]
pub enum Step {
    /// Heat a pot, chill it, and have its water filled.
    Boil {
        /// The route.
        route: RouteId,
        /// The pot.
        pot: PotId,
        /// Litres of tap water to put in.
        tap_l: f64,
        /// Grams of dechlorinating agent to stir in; none where the water holds no chlorine.
        agent_g: f64,
        /// Millilitres of a fresh stock solution, 10 g of the agent in a litre of water, that hold
        /// them; none where there is nothing to stir in.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        #[schema(minimum = 1, example = 7.0)]
        agent_ml: Option<f64>,
        /// Temperature to heat to.
        heat_to_c: f64,
        /// Minutes until it is hot, as computed from power, volume and efficiency.
        heating_min: f64,
        /// Minutes to keep it there.
        hold_min: f64,
        /// Dissolved air expected in the water when it is filled.
        air_mg_per_l: f64,
        /// When chilling starts.
        #[schema(value_type = String, format = DateTime)]
        chill_at: DateTime<FixedOffset>,
        /// Kilograms of ice to stir into the water.
        ice_in_kg: f64,
        /// Kilograms of ice to put around the pot.
        ice_bath_kg: f64,
        /// Temperature to chill to.
        chill_to_c: f64,
        /// When filling may start; the item's end is when the pot must be empty.
        #[schema(value_type = String, format = DateTime)]
        fill_from: DateTime<FixedOffset>,
        /// Litres of finished water.
        makes_l: f64,
        /// Litres left over after filling, to be poured away.
        left_l: f64,
    },
    /// Fill kegs and put them into a cold store.
    Fill {
        /// The route.
        route: RouteId,
        /// The boils whose water it is.
        from: Vec<WorkId>,
        /// The keg type.
        keg_type: KegTypeId,
        /// How many.
        kegs: u32,
        /// The cold store.
        store: StoreId,
        /// Litres into each keg.
        litres_each: f64,
        /// Temperature of the water.
        at_c: f64,
        /// When they are cold enough to gas.
        #[schema(value_type = String, format = DateTime)]
        cold_at: DateTime<FixedOffset>,
    },
    /// Dose, purge and gas kegs.
    Gas {
        /// The gassing point.
        station: GasStationId,
        /// The product they become.
        product: ProductId,
        /// The keg type.
        keg_type: KegTypeId,
        /// How many.
        kegs: u32,
        /// The cold store they stand in.
        store: StoreId,
        /// Where their water comes from.
        from: Vec<Source>,
        /// The syrup, if there is one.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        syrup: Option<MaterialId>,
        /// Litres of water to draw off each keg, and of syrup to put in instead.
        syrup_l_each: f64,
        /// What else goes into each keg.
        #[serde(default, skip_serializing_if = "Vec::is_empty")]
        ingredients: Vec<Dose>,
        /// Purges of the headspace.
        purges: u8,
        /// Gauge pressure to bring each purge to.
        purge_bar: f64,
        /// Gauge pressure to set the regulator to while the keg takes up CO2.
        regulator_bar: f64,
        /// Gauge pressure to hold it at afterwards.
        hold_bar: f64,
        /// Minutes it takes up CO2.
        uptake_min: f64,
        /// CO2 dissolved in the finished drink.
        target_g_per_l: f64,
        /// CO2 each keg takes, purges included.
        co2_g_each: f64,
        /// When it is ready for service.
        #[schema(value_type = String, format = DateTime)]
        ready_at: DateTime<FixedOffset>,
    },
    /// Take kegs to the tap.
    Tap {
        /// The product.
        product: ProductId,
        /// The keg type.
        keg_type: KegTypeId,
        /// How many.
        kegs: u32,
        /// The cold store they come from.
        store: StoreId,
        /// Where they come from.
        from: Vec<Source>,
        /// Gauge pressure that keeps them as they are.
        serve_bar: f64,
    },
    /// Pour away what has been on tap too long.
    Stale {
        /// The product.
        product: ProductId,
        /// The keg type.
        keg_type: KegTypeId,
        /// How much.
        litres: f64,
    },
    /// Take in emptied kegs.
    Return {
        /// The product that was in them.
        product: ProductId,
        /// The keg type.
        keg_type: KegTypeId,
        /// How many.
        kegs: u32,
    },
    /// Empty kegs that have passed their shelf life.
    Discard {
        /// The product.
        product: ProductId,
        /// The keg type.
        keg_type: KegTypeId,
        /// How many.
        kegs: u32,
        /// The cold store they stand in.
        store: StoreId,
    },
    /// Wash and sanitise kegs.
    Wash {
        /// The keg type.
        keg_type: KegTypeId,
        /// How many.
        kegs: u32,
    },
    /// Take in ice that was ordered.
    Ice {
        /// How much.
        kg: f64,
        /// When it must be ordered.
        #[schema(value_type = String, format = DateTime)]
        order_by: DateTime<FixedOffset>,
    },
    /// Couple full CO2 cylinders in place of empty ones.
    Cylinder {
        /// How many.
        cylinders: u32,
        /// CO2 that each full one gives before it is changed in its turn.
        co2_kg_each: f64,
    },
}

impl Step {
    /// The kind, as ids and JSON say it.
    #[must_use]
    pub fn kind(&self) -> &'static str {
        match self {
            Self::Boil { .. } => "boil",
            Self::Fill { .. } => "fill",
            Self::Gas { .. } => "gas",
            Self::Tap { .. } => "tap",
            Self::Stale { .. } => "stale",
            Self::Return { .. } => "return",
            Self::Discard { .. } => "discard",
            Self::Wash { .. } => "wash",
            Self::Ice { .. } => "ice",
            Self::Cylinder { .. } => "cylinder",
        }
    }
}
