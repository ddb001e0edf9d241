//! Kegs that wait in a cold store, and get cold there.

use scheduler::plan::{Source, WorkId};
use scheduler::scenario::{KegTypeId, ProductId};

use super::At;

/// Kegs that wait in a cold store, filled or ready, for whoever takes them.
#[derive(Clone)]
pub(super) struct Waiting {
    pub(super) item: Option<WorkId>,
    pub(super) product: Option<ProductId>,
    pub(super) keg_type: KegTypeId,
    pub(super) store: String,
    pub(super) since: At,
    pub(super) kegs: u32,
    pub(super) litres_each: f64,
    pub(super) heat: Vec<(At, f64)>,
    /// The holds they came out of.
    pub(super) out_of: Vec<(usize, f64)>,
}

/// How a warm keg comes to the temperature of its store: fast first, then slower, cold at `cold`.
pub(super) fn cooling((from, warm): (At, f64), cold: At, air: f64) -> Vec<(At, f64)> {
    let all = cold - from;
    let part = |n: i32| from + all * n / 6;
    let mut heat = vec![(from, warm)];
    // Only the shape of the ribbon's colour; the plan itself says when the keg is cold.
    for n in 1..=6 {
        heat.push((part(n), air + (warm - air) * (-0.6 * f64::from(n)).exp()));
    }
    heat
}

/// Takes kegs from those that wait, as a source says: of an item, or of what was on hand.
pub(super) fn take(
    waiting: &mut [Waiting],
    source: &Source,
    product: Option<&ProductId>,
    keg_type: &KegTypeId,
) -> Vec<(Waiting, u32)> {
    let mut left = source.kegs;
    let mut taken = Vec::new();
    for one in waiting.iter_mut() {
        let fits = one.item == source.item
            && one.keg_type == *keg_type
            && product.is_none_or(|product| one.product.as_ref() == Some(product));
        if !fits || one.kegs == 0 || left == 0 {
            continue;
        }
        let now = left.min(one.kegs);
        one.kegs -= now;
        left -= now;
        taken.push((one.clone(), now));
    }
    taken
}
