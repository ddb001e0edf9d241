//! What is on tap at the present, and which emptied kegs are still at the bar.

use chrono::{DateTime, Duration, FixedOffset};

use super::initial_state::small;
use crate::decode::Context;
use crate::plan::Plan;
use crate::replay;
use crate::scenario::quantities::LitresOnTap;
use crate::scenario::{KegsAtBar, TappedKegs};

/// Kegs on tap, and emptied kegs that have not come back, just before `from`.
pub(super) fn at(
    context: Context<'_>,
    happened: &Plan,
    from: DateTime<FixedOffset>,
) -> (Vec<TappedKegs>, Vec<KegsAtBar>) {
    let scenario = context.scenario;
    let start = scenario.horizon.start;
    let minutes = (from - start).num_minutes();
    let stamp = |minute: i64| {
        let at = context.timeline.start() + Duration::minutes(minute);
        context.timeline.stamp(at)
    };
    let (mut on_tap, mut at_bar) = (Vec::new(), Vec::new());
    for kind in replay::at_bar(scenario, happened, minutes) {
        let product = &scenario.setup.products[kind.product];
        let keg = &scenario.setup.keg_types[kind.keg];
        let life = (product.on_tap_h.hours() * 60.0) as i64;
        for (litres, good_until) in kind.open {
            on_tap.push(TappedKegs {
                product: product.id.clone(),
                keg_type: keg.id.clone(),
                litres: LitresOnTap::new(litres).unwrap_or(LitresOnTap::of(0.0)),
                tapped_at: stamp(good_until - life).min(from),
            });
        }
        let mut waiting = kind.empty;
        waiting.sort_unstable();
        for group in waiting.chunk_by(|a, b| a == b) {
            let Some(free) = group.first() else { continue };
            at_bar.push(KegsAtBar {
                product: product.id.clone(),
                keg_type: keg.id.clone(),
                kegs: small(u32::try_from(group.len()).unwrap_or(u32::MAX)),
                // Kegs that were empty before the plan started may come back at once.
                back_from: stamp((*free).clamp(-525_600, 1_000_000)),
            });
        }
    }
    (on_tap, at_bar)
}
