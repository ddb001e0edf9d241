//! A scenario: everything one plan depends on, as one value.
//!
//! The service assembles a scenario from its database, the command line reads one from a file,
//! tests build one in code. Reading checks every bound; [`crate::check`] then checks what
//! fields say about each other, and only what passes can be planned.

mod calendar;
mod containers;
mod demand;
mod equipment;
mod fault;
mod horizon;
mod ids;
pub mod instants;
mod materials;
mod policy;
pub mod quantities;
mod read;
mod room;
mod setup;
mod site;
mod stock;
mod under_way;
mod work_id;

pub use calendar::{Equipment, Noisy, Outage, QuietHours};
pub use containers::{ContainerMaterial, GasMethod, GasStation, KegType};
pub use demand::{BadPriority, Demand, DemandKind, Priority};
pub use equipment::{
    Chill, Circuit, ColdStore, DeliveryTime, Ice, IceDraw, IcePurchase, Pot, Wash,
};
pub use fault::{Fault, Faults};
pub use horizon::{BadGrid, Grid, Horizon, LONGEST_DAYS};
pub use ids::{
    BadId, CircuitId, DemandId, GasStationId, KegTypeId, LONGEST_ID, MaterialId, PotId, ProductId,
    RouteId, SiteId, StoreId,
};
pub use instants::{is_instant, nearest_instant, no_instant};
pub use materials::{
    AGENT, CO2, Cylinders, Delivery, Ingredient, Material, MaterialUnit, Standing,
};
pub use policy::Policy;
pub use read::{Unreadable, read, read_as};
pub use room::CylinderRoom;
pub use setup::{
    Break, Costs, Crew, Product, Route, SafetyStock, Setup, Shift, Substitute, Syrup, Weekday,
};
pub use site::{Site, TapWater};
pub use stock::{EmptyKegs, FilledKegs, MaterialStock, ReadyKegs, Stock, TappedKegs};
pub use under_way::{
    BoilUnderWay, GassingKegs, IceComing, KegsAtBar, PotOutOfUse, UnderWay, WashingKegs,
};

pub use work_id::WorkId;

use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

/// Everything one plan depends on. Planning the same scenario twice gives the same plan.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct Scenario {
    /// Where soda is made.
    pub site: Site,
    /// What it is made with.
    pub setup: Setup,
    /// How it is wanted.
    pub policy: Policy,
    /// The stretch of time the plan covers.
    pub horizon: Horizon,
    /// What is on hand at its start.
    pub stock: Stock,
    /// What is wanted.
    #[schema(max_items = 2000)]
    pub demand: Vec<Demand>,
}
