//! Where in a setup each id stands, found once when a scenario is checked.

use std::collections::HashMap;
use std::hash::Hash;

use crate::scenario::{GasStationId, KegTypeId, PotId, ProductId, RouteId, Setup, StoreId};

/// Positions of a setup's parts in their lists, by id. An id the setup does not have has none.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Index {
    pots: HashMap<PotId, usize>,
    routes: HashMap<RouteId, usize>,
    keg_types: HashMap<KegTypeId, usize>,
    stores: HashMap<StoreId, usize>,
    stations: HashMap<GasStationId, usize>,
    products: HashMap<ProductId, usize>,
}

fn positions<'a, T: 'a, I: Clone + Eq + Hash + 'a>(
    list: &'a [T],
    id: impl Fn(&'a T) -> &'a I,
) -> HashMap<I, usize> {
    let ids = list.iter().enumerate();
    ids.map(|(at, part)| (id(part).clone(), at)).collect()
}

impl Index {
    pub(crate) fn of(setup: &Setup) -> Self {
        Self {
            pots: positions(&setup.pots, |pot| &pot.id),
            routes: positions(&setup.routes, |route| &route.id),
            keg_types: positions(&setup.keg_types, |keg| &keg.id),
            stores: positions(&setup.cold_stores, |store| &store.id),
            stations: positions(&setup.gas_stations, |station| &station.id),
            products: positions(&setup.products, |product| &product.id),
        }
    }

    pub(crate) fn pot(&self, id: &PotId) -> Option<usize> {
        self.pots.get(id).copied()
    }

    pub(crate) fn route(&self, id: &RouteId) -> Option<usize> {
        self.routes.get(id).copied()
    }

    pub(crate) fn keg_type(&self, id: &KegTypeId) -> Option<usize> {
        self.keg_types.get(id).copied()
    }

    pub(crate) fn store(&self, id: &StoreId) -> Option<usize> {
        self.stores.get(id).copied()
    }

    pub(crate) fn station(&self, id: &GasStationId) -> Option<usize> {
        self.stations.get(id).copied()
    }

    pub(crate) fn product(&self, id: &ProductId) -> Option<usize> {
        self.products.get(id).copied()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_id_of_a_setup_stands_where_its_list_has_it_and_others_nowhere() {
        let setup = crate::sample::fixed().setup;
        let index = Index::of(&setup);
        assert!(setup.products.len() > 1);
        for (at, product) in setup.products.iter().enumerate() {
            assert_eq!(index.product(&product.id), Some(at));
        }
        for (at, pot) in setup.pots.iter().enumerate() {
            assert_eq!(index.pot(&pot.id), Some(at));
        }
        let unknown = StoreId::parse("nowhere").unwrap();
        assert_eq!(index.store(&unknown), None);
    }
}
