//! What an item names is looked up; what it states is within bounds.

use std::fmt::Display;

use chrono::{DateTime, FixedOffset};
use model::OutOfRange;

use super::super::items::{Boiled, Head, Origin};
use super::super::violation::Rule;
use super::Reader;
use crate::plan::{Source, WorkId};
use crate::scenario::{
    ColdStore, GasStation, GasStationId, KegType, KegTypeId, Pot, PotId, Product, ProductId, Route,
    RouteId, StoreId,
};

/// Looking up what an item names.
impl<'a> Reader<'a, '_> {
    pub(super) fn signed_minute(&self, at: DateTime<FixedOffset>) -> i64 {
        let since = at - self.scenario.horizon.start;
        since.num_seconds().div_euclid(60)
    }

    /// Minutes from the horizon's start; the frame refuses items that start before it.
    pub(super) fn minute(&self, at: DateTime<FixedOffset>) -> usize {
        usize::try_from(self.signed_minute(at)).unwrap_or(0)
    }

    pub(super) fn refuse<T>(&mut self, head: &Head<'_>, what: String) -> Option<T> {
        self.found.add(Rule::Frame, head.start, Some(head.id), what);
        None
    }

    pub(super) fn bounded<T>(
        &mut self,
        head: &Head<'_>,
        value: Result<T, OutOfRange>,
    ) -> Option<T> {
        value.map_or_else(|error| self.refuse(head, error.to_string()), Some)
    }

    pub(super) fn amounts(&mut self, head: &Head<'_>, amounts: &[f64]) -> Option<()> {
        match amounts.iter().find(|x| !x.is_finite() || **x < 0.0) {
            Some(bad) => self.refuse(head, format!("{bad} found; an amount is 0 or more")),
            None => Some(()),
        }
    }

    pub(super) fn named<T>(
        &mut self,
        head: &Head<'_>,
        list: &'a [T],
        noun: &str,
        id: &impl Display,
        is: impl Fn(&T) -> bool,
    ) -> Option<&'a T> {
        match list.iter().find(|x| is(x)) {
            Some(found) => Some(found),
            None => self.refuse(head, format!("there is no {noun} \"{id}\" in the setup")),
        }
    }

    pub(super) fn route(&mut self, head: &Head<'_>, id: &RouteId) -> Option<&'a Route> {
        self.named(head, &self.scenario.setup.routes, "route", id, |x| {
            x.id == *id
        })
    }

    pub(super) fn pot(&mut self, head: &Head<'_>, id: &PotId) -> Option<&'a Pot> {
        self.named(head, &self.scenario.setup.pots, "pot", id, |x| x.id == *id)
    }

    pub(super) fn keg(&mut self, head: &Head<'_>, id: &KegTypeId) -> Option<&'a KegType> {
        self.named(head, &self.scenario.setup.keg_types, "keg type", id, |x| {
            x.id == *id
        })
    }

    pub(super) fn store(&mut self, head: &Head<'_>, id: &StoreId) -> Option<&'a ColdStore> {
        self.named(
            head,
            &self.scenario.setup.cold_stores,
            "cold store",
            id,
            |x| x.id == *id,
        )
    }

    pub(super) fn station(&mut self, head: &Head<'_>, id: &GasStationId) -> Option<&'a GasStation> {
        self.named(
            head,
            &self.scenario.setup.gas_stations,
            "gassing point",
            id,
            |x| x.id == *id,
        )
    }

    pub(super) fn product(&mut self, head: &Head<'_>, id: &ProductId) -> Option<&'a Product> {
        self.named(head, &self.scenario.setup.products, "product", id, |x| {
            x.id == *id
        })
    }

    pub(super) fn position(&mut self, head: &Head<'_>, kind: &str, id: &WorkId) -> Option<usize> {
        match self.made.get(id) {
            Some((made, position)) if *made == kind => Some(*position),
            _ => self.refuse(head, format!("there is no {kind} \"{id}\" in the plan")),
        }
    }

    /// The boil a fill names: one of the plan, or one that was started before it.
    pub(super) fn boiled(&mut self, head: &Head<'_>, id: &WorkId) -> Option<Boiled> {
        let mut begun = self.scenario.stock.under_way.boils.iter();
        match begun.position(|boil| boil.item == *id) {
            Some(position) if !self.made.contains_key(id) => Some(Boiled::Begun(position)),
            _ => self.position(head, "boil", id).map(Boiled::Planned),
        }
    }

    pub(super) fn sources(
        &mut self,
        head: &Head<'_>,
        kind: &str,
        from: &[Source],
    ) -> Option<Vec<(Origin, u32)>> {
        let read = from.iter().map(|source| {
            let origin = match &source.item {
                Some(id) => Origin::Made(self.position(head, kind, id)?),
                None => Origin::Stock,
            };
            Some((origin, source.kegs))
        });
        read.collect()
    }
}
