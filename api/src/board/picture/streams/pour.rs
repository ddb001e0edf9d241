//! When kegs on tap are empty.

use chrono::Duration;
use scheduler::plan::Plan;
use scheduler::scenario::Scenario;

use super::{Hold, Lane};

/// Kegs on tap end with the service that empties them, first tapped first; what is never emptied
/// ends when it is no longer good.
pub(super) fn pour(scenario: &Scenario, plan: &Plan, holds: &mut [Hold]) {
    let lost = 1.0 - scenario.policy.serving_loss.ratio();
    let lasts = Duration::minutes((scenario.policy.service_h.hours() * 60.0) as i64);
    let mut served: Vec<_> = plan.services.iter().filter(|s| s.served_l > 0.0).collect();
    served.sort_by_key(|line| line.due);
    for product in &scenario.setup.products {
        let on_tap =
            |hold: &Hold| hold.lane == Lane::Tap && hold.product.as_ref() == Some(&product.id);
        let mut kegs: Vec<usize> = (0..holds.len()).filter(|n| on_tap(&holds[*n])).collect();
        kegs.sort_by_key(|n| holds[*n].from);
        let mut kegs = kegs.into_iter();
        let mut open = kegs.next().map(|n| (n, holds[n].litres * lost));
        for line in served.iter().filter(|line| line.product == product.id) {
            let mut wanted = line.served_l;
            while let Some((n, left)) = open.filter(|(n, _)| holds[*n].from <= line.due) {
                if left > wanted + 0.05 {
                    open = Some((n, left - wanted));
                    break;
                }
                wanted -= left;
                holds[n].to = holds[n].to.min((line.due + lasts).max(holds[n].from));
                open = kegs.next().map(|n| (n, holds[n].litres * lost));
            }
        }
        let good = Duration::minutes((product.on_tap_h.hours() * 60.0) as i64);
        for (n, _) in open.into_iter().chain(kegs.map(|n| (n, 0.0))) {
            holds[n].to = holds[n].to.min(holds[n].from + good);
        }
    }
}
