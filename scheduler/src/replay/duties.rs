//! Which keg type a service is poured from.
//!
//! A plan says what is served of a product, not from which kegs. It also says when empty kegs come
//! back and what is poured away, and that comes true only if the right kegs are poured first. So
//! the type that must give its next litre soonest is poured first; no other order serves more.

use super::begun;
use super::tap::DROP_L;
use super::walk::Walk;
use crate::scenario::{KegType, Product};

/// What the plan expects of the kegs of one product and type on tap.
pub(super) struct Duties {
    /// By a minute, so many litres must have been served from them.
    by: Vec<(i64, f64)>,
    /// Litres that are tapped (above zero) or poured away as too old (below), by minute.
    moves: Vec<(i64, f64)>,
}

impl Duties {
    pub(super) fn of(walk: &Walk<'_>, product: &Product, keg: &KegType) -> Self {
        let kegs = kegs(walk, product, keg);
        let stales = walk.items.stales.iter();
        let stales: Vec<(i64, f64)> = stales
            .filter(|s| s.product.id == product.id && s.keg.id == keg.id)
            .map(|s| (minute(s.head.start), s.litres))
            .collect();
        let poured_away = |until: i64| -> f64 {
            let gone = stales.iter().filter(|(at, _)| *at <= until);
            gone.map(|(_, litres)| litres).sum()
        };
        let mut by = Vec::new();
        let mut sum = 0.0;
        let step = minute(walk.grid);
        for keg in &kegs {
            sum += keg.litres;
            by.push((keg.good_until, sum - poured_away(keg.good_until + step)));
        }
        by.extend(
            returns(walk, product, keg, &kegs)
                .map(|(at, litres, service)| (at - service, litres - poured_away(at))),
        );
        by.sort_by_key(|(at, _)| *at);
        let tapped = kegs.iter().map(|keg| (keg.tapped, keg.litres));
        let moves = tapped.chain(stales.iter().map(|(at, litres)| (*at, -litres)));
        let mut moves: Vec<(i64, f64)> = moves.collect();
        moves.sort_by_key(|(at, _)| *at);
        Self { by, moves }
    }

    /// By when more than `served` litres must have been served, and how many more.
    pub(super) fn next(&self, served: f64) -> Option<(i64, f64)> {
        let due = self.by.iter().find(|(_, litres)| *litres > served + DROP_L);
        due.map(|(at, litres)| (*at, litres - served))
    }

    /// Litres on tap that the plan pours away later, so that they are not served.
    pub(super) fn kept_back(&self, now: i64) -> f64 {
        let mut sum = 0.0;
        let mut most = 0.0_f64;
        for (at, litres) in &self.moves {
            if *at > now {
                sum -= litres;
                most = most.max(sum);
            }
        }
        most
    }
}

/// A keg that is or will be on tap.
pub(super) struct Tapped {
    pub tapped: i64,
    pub good_until: i64,
    pub litres: f64,
}

/// Kegs on tap at the start, oldest first, then those the plan taps.
pub(super) fn kegs(walk: &Walk<'_>, product: &Product, keg: &KegType) -> Vec<Tapped> {
    let life = (product.on_tap_h.hours() * 60.0) as i64;
    let open = walk.scenario.stock.on_tap.iter();
    let mut kegs: Vec<Tapped> = open
        .filter(|t| t.product == product.id && t.keg_type == keg.id)
        .map(|t| {
            let tapped = walk.minute(t.tapped_at.to_utc());
            Tapped {
                tapped,
                good_until: tapped + life,
                // Foam and lines take their part of a full keg, too.
                litres: t.litres.litres().min(yields(walk, keg)),
            }
        })
        .collect();
    for tap in &walk.items.taps {
        if tap.product.id == product.id && tap.keg.id == keg.id {
            let tapped = minute(tap.head.start);
            kegs.extend((0..tap.kegs).map(|_| Tapped {
                tapped,
                good_until: tapped + life,
                litres: yields(walk, keg),
            }));
        }
    }
    kegs.sort_by_key(|keg| keg.tapped);
    kegs
}

/// Litres a keg yields, foam and lines taken off.
fn yields(walk: &Walk<'_>, keg: &KegType) -> f64 {
    keg.fill_l.litres() * (1.0 - walk.scenario.policy.serving_loss.ratio())
}

/// Minute of each return, litres in the kegs that are back by then, and minutes of a service.
fn returns<'a>(
    walk: &'a Walk<'_>,
    product: &'a Product,
    keg: &'a KegType,
    kegs: &'a [Tapped],
) -> impl Iterator<Item = (i64, f64, i64)> + 'a {
    // Those that were emptied before the plan come back first.
    let mut before = begun::at_bar(walk, &product.id, &keg.id)
        .iter()
        .map(|(_, kegs)| *kegs as usize)
        .sum::<usize>();
    let mut back = 0_usize;
    let mut returns: Vec<_> = walk
        .items
        .returns
        .iter()
        .filter(|r| r.product.id == product.id && r.keg.id == keg.id)
        .collect();
    returns.sort_by_key(|r| r.head.start);
    let service = service_minutes(walk);
    returns.into_iter().map(move |r| {
        let kegs_back = r.kegs as usize;
        back += kegs_back - kegs_back.min(before);
        before -= kegs_back.min(before);
        let litres = kegs.iter().take(back).map(|k| k.litres).sum();
        (minute(r.head.start), litres, service)
    })
}

/// Minutes a service lasts.
pub(super) fn service_minutes(walk: &Walk<'_>) -> i64 {
    (walk.scenario.policy.service_h.hours() * 60.0) as i64
}

/// A minute of the horizon among minutes that may lie before it.
pub(super) fn minute(minute: usize) -> i64 {
    i64::try_from(minute).unwrap_or(i64::MAX)
}
