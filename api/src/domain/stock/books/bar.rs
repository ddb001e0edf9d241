//! What stands at the bar: kegs on tap, less what the plan pours from them as services pass.

use chrono::{DateTime, FixedOffset};
use scheduler::scenario::quantities::LitresOnTap;
use scheduler::scenario::{KegTypeId, KegsAtBar, ProductId, TappedKegs};
use serde::{Deserialize, Serialize};

use super::super::work::{KegsMoved, Pour, PouredAway};
use super::Books;
use super::lots::take;

/// Litres below which a keg is empty.
const EMPTY_L: f64 = 0.05;

/// Kegs that work has tapped.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub(super) struct Tapped {
    pub(super) product: ProductId,
    pub(super) keg_type: KegTypeId,
    pub(super) kegs: u16,
    pub(super) litres_each: f64,
    pub(super) at: DateTime<FixedOffset>,
    pub(super) pours: Vec<Pour>,
}

impl Books {
    /// Takes kegs back from the bar: emptied ones first, then those with the least in them.
    pub(super) fn take_back(
        &mut self,
        moved: &KegsMoved,
        number: u16,
        at: DateTime<FixedOffset>,
    ) -> u16 {
        let alike = |product: &ProductId, keg_type: &KegTypeId| {
            *keg_type == moved.keg_type && Some(product) == moved.from.product.as_ref()
        };
        let at_bar = self.stock.under_way.at_bar.iter_mut();
        let counted = at_bar.filter(|lot| alike(&lot.product, &lot.keg_type));
        let mut left = take(number, counted.map(|lot| &mut lot.kegs));
        self.stock.under_way.at_bar.retain(|lot| lot.kegs > 0);
        for lot in &mut self.tapped {
            if left > 0 && alike(&lot.product, &lot.keg_type) {
                let back = lot.emptied(at).min(left);
                lot.return_empty(back);
                left -= back;
            }
        }
        self.tapped
            .sort_by(|a, b| a.left(at).total_cmp(&b.left(at)));
        let open = self.tapped.iter_mut();
        let open = open.filter(|lot| alike(&lot.product, &lot.keg_type));
        left = take(left, open.map(|lot| &mut lot.kegs));
        self.tapped.retain(|lot| lot.kegs > 0);
        self.stock
            .on_tap
            .sort_by(|a, b| a.litres.litres().total_cmp(&b.litres.litres()));
        self.stock.on_tap.retain(|keg| {
            let back = left > 0 && alike(&keg.product, &keg.keg_type);
            left -= u16::from(back);
            !back
        });
        left
    }

    pub(super) fn pour_away(&mut self, poured: &PouredAway, at: DateTime<FixedOffset>) {
        let alike = |product: &ProductId, keg_type: &KegTypeId| {
            *keg_type == poured.keg_type && *product == poured.product
        };
        let mut litres = poured.litres;
        self.stock.on_tap.sort_by_key(|keg| keg.tapped_at);
        let mut emptied = 0;
        self.stock.on_tap.retain_mut(|keg| {
            if !alike(&keg.product, &keg.keg_type) || litres <= EMPTY_L {
                return true;
            }
            let gone = keg.litres.litres().min(litres);
            litres -= gone;
            let left = keg.litres.litres() - gone;
            keg.litres = LitresOnTap::new(left).unwrap_or(keg.litres);
            emptied += u16::from(left <= EMPTY_L);
            left > EMPTY_L
        });
        if emptied > 0 {
            self.tapped.push(Tapped {
                product: poured.product.clone(),
                keg_type: poured.keg_type.clone(),
                kegs: emptied,
                litres_each: 0.0,
                at,
                pours: Vec::new(),
            });
        }
        self.tapped.sort_by_key(|lot| lot.at);
        for lot in &mut self.tapped {
            let gone = lot.left(at).min(litres);
            if alike(&lot.product, &lot.keg_type) && gone > EMPTY_L {
                lot.pours.push(Pour {
                    due: at,
                    litres: gone,
                });
                litres -= gone;
            }
        }
    }
}

impl Tapped {
    fn poured(&self, at: DateTime<FixedOffset>) -> f64 {
        let passed = self.pours.iter().filter(|pour| pour.due <= at);
        passed.map(|pour| pour.litres).sum()
    }

    /// Litres left in all of them.
    fn left(&self, at: DateTime<FixedOffset>) -> f64 {
        (f64::from(self.kegs) * self.litres_each - self.poured(at)).max(0.0)
    }

    /// Kegs of it that are empty.
    fn emptied(&self, at: DateTime<FixedOffset>) -> u16 {
        let open = self.open(at).count();
        self.kegs
            .saturating_sub(u16::try_from(open).unwrap_or(u16::MAX))
    }

    /// Emptied kegs have come back; what was poured from them goes with them.
    fn return_empty(&mut self, kegs: u16) {
        self.kegs -= kegs;
        let mut litres = f64::from(kegs) * self.litres_each;
        for pour in &mut self.pours {
            let off = pour.litres.min(litres);
            pour.litres -= off;
            litres -= off;
        }
        self.pours.retain(|pour| pour.litres > 1e-9);
    }

    /// Kegs with something in them: one is poured out before the next.
    pub(super) fn open(&self, at: DateTime<FixedOffset>) -> impl Iterator<Item = TappedKegs> + '_ {
        let mut left = self.left(at);
        let each = self.litres_each;
        std::iter::from_fn(move || {
            if left <= EMPTY_L || each <= EMPTY_L {
                return None;
            }
            let part = left % each;
            let litres = if part > EMPTY_L { part } else { each };
            left -= litres;
            Some(TappedKegs {
                product: self.product.clone(),
                keg_type: self.keg_type.clone(),
                litres: LitresOnTap::new(litres).ok()?,
                tapped_at: self.at,
            })
        })
    }

    pub(super) fn at_bar(&self, at: DateTime<FixedOffset>) -> Option<KegsAtBar> {
        let kegs = self.emptied(at);
        let passed = self.pours.iter().filter(|pour| pour.due <= at);
        (kegs > 0).then(|| KegsAtBar {
            product: self.product.clone(),
            keg_type: self.keg_type.clone(),
            kegs,
            back_from: passed.map(|pour| pour.due).max().unwrap_or(self.at),
        })
    }
}
