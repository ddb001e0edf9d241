//! What would run short if all published work stayed.

use std::collections::BTreeMap;

use chrono::{DateTime, FixedOffset};
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use super::published::Published;
use crate::answer::rounding::tenths;
use crate::decode::Context;
use crate::mapping::{Scarce, SodaNetwork};
use crate::network::{Resource, ResourceId};

/// Something that would run short if all published work stayed.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct Shortfall {
    /// The resource, in words.
    #[schema(example = "ice")]
    pub resource: String,
    /// When it would first be short.
    #[schema(value_type = String, format = DateTime, example = "2026-06-03T11:00:00+01:00")]
    pub at: DateTime<FixedOffset>,
    /// How much would be missing at the worst.
    #[schema(minimum = 0, example = 14.2)]
    pub missing: f64,
    /// Unit of that figure.
    #[schema(example = "kg")]
    pub unit: String,
}

/// A shortfall, and the resource of the network it is about.
pub(super) struct Broken {
    pub id: ResourceId,
    pub scarce: Option<Scarce>,
    pub told: Shortfall,
}

/// Less than this is rounding.
const NOTHING: f64 = 0.05;

/// Follows every resource that work takes, with all published work in it.
pub(super) fn find(context: Context<'_>, soda: &SodaNetwork, published: &Published) -> Vec<Broken> {
    let moves = moves(soda, published);
    let mut broken = Vec::new();
    for (id, resource) in soda.net.resources() {
        let Some(unit) = unit(&resource.name) else {
            continue;
        };
        let empty = BTreeMap::new();
        let moved = moves.get(&id).unwrap_or(&empty);
        if let Some((t, missing)) = short(resource, moved, soda.net.points()) {
            let scarce = soda.limits.iter().find(|limit| limit.resource == id);
            let scarce = scarce.map(|limit| limit.scarce);
            broken.push(Broken {
                id,
                scarce,
                told: Shortfall {
                    resource: words(context, scarce, &resource.name),
                    at: context.stamp(t),
                    missing: tenths(missing),
                    unit: unit.to_owned(),
                },
            });
        }
    }
    broken.sort_by_key(|b| b.told.at);
    broken
}

/// What published work moves, by resource and point.
fn moves(soda: &SodaNetwork, published: &Published) -> BTreeMap<ResourceId, BTreeMap<usize, f64>> {
    let mut moves: BTreeMap<ResourceId, BTreeMap<usize, f64>> = BTreeMap::new();
    for ((task, t), kept) in published {
        for change in &soda.net.task(*task).moves {
            let amount = change.per_start * f64::from(kept.count)
                + change.per_size * kept.size.unwrap_or(0.0);
            let at = moves.entry(change.resource).or_default();
            *at.entry(t + change.offset).or_default() += amount;
        }
    }
    moves
}

/// The first point at which a resource is short, and the most that is missing.
fn short(resource: &Resource, moved: &BTreeMap<usize, f64>, points: usize) -> Option<(usize, f64)> {
    let mut level = resource.initial;
    let mut first = None;
    let mut worst = 0.0_f64;
    for t in 0..points {
        if !resource.carries {
            level = 0.0;
        }
        level += resource.supply.get(&t).copied().unwrap_or(0.0);
        level += moved.get(&t).copied().unwrap_or(0.0);
        if resource.spills {
            level = level.min(resource.upper.at(t));
        }
        let missing = resource.lower.at(t) - level;
        if missing > NOTHING {
            first.get_or_insert(t);
            worst = worst.max(missing);
        }
    }
    first.map(|t| (t, worst))
}

/// The unit of a resource that work takes; none for those that follow from what is served.
fn unit(name: &str) -> Option<&'static str> {
    if name.ends_with(" within time") {
        return None;
    }
    let units = [
        ("pot ", "pots"),
        ("hands", "min"),
        ("ice", "kg"),
        ("co2", "kg"),
        ("places ", "places"),
        ("cooling ", "W"),
        ("connections ", "connections"),
        ("clean ", "kegs"),
        ("dirty ", "kegs"),
        ("cold ", "kegs"),
        ("ready ", "kegs"),
        ("water ", "L"),
        ("washing ", "stations"),
    ];
    let known = units.iter().find(|(start, _)| name.starts_with(start));
    known.map(|(_, unit)| *unit)
}

fn words(context: Context<'_>, scarce: Option<Scarce>, name: &str) -> String {
    match scarce {
        Some(Scarce::Kegs(_)) | None => name.replace("ready ", "ready kegs of "),
        Some(scarce) => scarce.resource(context.scenario),
    }
}
