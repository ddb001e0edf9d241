//! Kegs by state: how many stand there, taken out and put in.

use chrono::{DateTime, FixedOffset};
use model::Temperature;
use scheduler::scenario::{EmptyKegs, FilledKegs, KegTypeId, ProductId, ReadyKegs, Stock};

use super::super::kegs::{KegPlace, KegState};
use super::super::work::KegsMoved;
use super::bar::Tapped;
use super::{Books, Cooling};

impl Books {
    /// Kegs of a type that a stock holds in a state.
    pub(crate) fn standing(stock: &Stock, keg_type: &KegTypeId, place: &KegPlace) -> u16 {
        let empty = || stock.empty.iter().filter(|e| e.keg_type == *keg_type);
        match place.state {
            KegState::Clean => empty().map(|e| e.clean).sum(),
            KegState::Dirty => empty().map(|e| e.dirty).sum(),
            KegState::Filled => {
                let alike = stock
                    .filled
                    .iter()
                    .filter(|f| f.keg_type == *keg_type && Some(&f.store) == place.store.as_ref());
                alike.map(|f| f.kegs).sum()
            }
            KegState::Ready => {
                let alike = stock.ready.iter().filter(|r| {
                    r.keg_type == *keg_type
                        && Some(&r.store) == place.store.as_ref()
                        && Some(&r.product) == place.product.as_ref()
                });
                alike.map(|r| r.kegs).sum()
            }
            KegState::OnTap => {
                let alike = |product: &ProductId, other: &KegTypeId| {
                    other == keg_type && Some(product) == place.product.as_ref()
                };
                let open = stock
                    .on_tap
                    .iter()
                    .filter(|t| alike(&t.product, &t.keg_type));
                let at_bar = stock.under_way.at_bar.iter();
                let empty = at_bar.filter(|e| alike(&e.product, &e.keg_type));
                u16::try_from(open.count()).unwrap_or(u16::MAX) + empty.map(|e| e.kegs).sum::<u16>()
            }
            KegState::Gone => 0,
        }
    }

    /// Takes kegs out of the state they were in, and tells how many were not there.
    pub(super) fn take(&mut self, moved: &KegsMoved, at: DateTime<FixedOffset>) -> u16 {
        let number = small(moved.kegs);
        let (place, keg_type) = (&moved.from, &moved.keg_type);
        match place.state {
            KegState::Clean | KegState::Dirty => {
                let held = self.empty(keg_type, place.state);
                take(number, std::iter::once(held))
            }
            KegState::Filled => {
                let alike = |f: &FilledKegs| {
                    f.keg_type == *keg_type && Some(&f.store) == place.store.as_ref()
                };
                self.stock.filled.sort_by(|a, b| {
                    let celsius = |f: &FilledKegs| f.temperature_c.celsius();
                    celsius(a).total_cmp(&celsius(b))
                });
                let counted = self.stock.filled.iter_mut().filter(|f| alike(f));
                let filled = self.cooling.iter_mut().map(|c| &mut c.kegs);
                let lots = counted.chain(filled.filter(|f| alike(f)));
                let short = take(number, lots.map(|f| &mut f.kegs));
                self.stock.filled.retain(|f| f.kegs > 0);
                self.cooling.retain(|c| c.kegs.kegs > 0);
                short
            }
            KegState::Ready => {
                let alike = |r: &ReadyKegs| {
                    r.keg_type == *keg_type
                        && Some(&r.store) == place.store.as_ref()
                        && Some(&r.product) == place.product.as_ref()
                };
                self.stock.ready.sort_by_key(|r| r.gassed_at);
                let lots = self.stock.ready.iter_mut().filter(|r| alike(r));
                let short = take(number, lots.map(|r| &mut r.kegs));
                self.stock.ready.retain(|r| r.kegs > 0);
                short
            }
            KegState::OnTap => self.take_back(moved, number, at),
            KegState::Gone => number,
        }
    }

    /// Puts kegs into the state they are in now.
    pub(super) fn give(&mut self, moved: &KegsMoved, at: DateTime<FixedOffset>) {
        let (kegs, keg_type) = (small(moved.kegs), moved.keg_type.clone());
        let place = moved.to.clone();
        match (place.state, place.product, place.store) {
            (KegState::Clean | KegState::Dirty, _, _) => {
                let held = self.empty(&keg_type, place.state);
                *held = held.saturating_add(kegs);
            }
            (KegState::Filled, _, Some(store)) => {
                let celsius = |c: Option<f64>| c.and_then(|c| Temperature::new(c).ok());
                let temperature_c = celsius(moved.temperature_c).unwrap_or(Temperature::FREEZING);
                self.cooling.push(Cooling {
                    kegs: FilledKegs {
                        keg_type,
                        store,
                        kegs,
                        temperature_c,
                        air_mg_per_l: None,
                        co2_g_per_l: None,
                    },
                    cold_at: moved.cold_at.unwrap_or(at),
                    cold_c: celsius(moved.cold_c).unwrap_or(temperature_c),
                });
            }
            (KegState::Ready, Some(product), Some(store)) => self.stock.ready.push(ReadyKegs {
                product,
                keg_type,
                store,
                kegs,
                gassed_at: at,
            }),
            (KegState::OnTap, Some(product), _) => self.tapped.push(Tapped {
                product,
                keg_type,
                kegs,
                litres_each: moved.litres_each.unwrap_or(0.0),
                at,
                pours: moved.pours.clone(),
            }),
            _ => {}
        }
    }

    pub(super) fn empty(&mut self, keg_type: &KegTypeId, state: KegState) -> &mut u16 {
        let mut known = self.stock.empty.iter();
        let n = known.position(|k| k.keg_type == *keg_type);
        let n = n.unwrap_or_else(|| {
            self.stock.empty.push(EmptyKegs {
                keg_type: keg_type.clone(),
                clean: 0,
                dirty: 0,
            });
            self.stock.empty.len() - 1
        });
        let held = &mut self.stock.empty[n];
        if state == KegState::Clean {
            &mut held.clean
        } else {
            &mut held.dirty
        }
    }
}

pub(super) fn small(count: u32) -> u16 {
    u16::try_from(count).unwrap_or(u16::MAX)
}

/// Takes kegs out of lots, the first ones first, and tells how many were not there.
pub(super) fn take<'k>(kegs: u16, lots: impl Iterator<Item = &'k mut u16>) -> u16 {
    let mut left = kegs;
    for lot in lots {
        let taken = left.min(*lot);
        *lot -= taken;
        left -= taken;
    }
    left
}
