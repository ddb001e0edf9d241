//! Kegs that wait under CO2: each is coupled from its filling until it is gassed.

use super::{Builder, Scarce};
use crate::network::{Resource, ResourceId};

/// Connections of a store for kegs that wait; none where kegs wait under air, or where each place
/// has one.
pub(super) fn connections(builder: &mut Builder<'_>, s: usize) -> Option<ResourceId> {
    builder.scenario.policy.blanket_bar?;
    let store = &builder.scenario.setup.cold_stores[s];
    let there = f64::from(store.blanket_connections?);
    let stock = builder.scenario.stock.filled.iter();
    let standing = stock.filter(|f| f.store == store.id);
    // Kegs that stand there are coupled, however that was done.
    let taken: f64 = standing.map(|f| f64::from(f.kegs)).sum();
    let free = (there - taken).max(0.0);
    let free = Resource::named(format!("blanket in {}", store.id)).starting(free);
    let free = builder.resource(free);
    builder.limit(Scarce::Blanket(s), free);
    Some(free)
}
