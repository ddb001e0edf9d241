//! Levels as the walk sees them, for whoever wants to draw them.

use crate::scenario::{GasStationId, KegTypeId, StoreId};

/// What a level is of.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Gauge {
    /// Ice in the bin, in kilograms; its limit is what the bin holds.
    Ice,
    /// Places taken in a cold store; its limit is how many it has.
    Places(StoreId),
    /// Kegs coupled at a gassing point; its limit is its connections.
    Connections(GasStationId),
    /// Clean empty kegs of a type; its limit is all that were counted.
    CleanKegs(KegTypeId),
    /// People busy; its limit is how many are there.
    Hands,
}

/// A level, step by step.
#[derive(Debug, Clone, PartialEq)]
pub struct Seen {
    /// What it is of.
    pub gauge: Gauge,
    /// The most there can be, in each step.
    pub limits: Vec<f64>,
    /// How much there is, in each step.
    pub levels: Vec<f64>,
}
