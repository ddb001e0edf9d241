//! What a plan earns: the litres it serves, and the reserves it keeps.

use crate::plan::{Reserve, Served};
use crate::scenario::{Demand, DemandKind, ProductId, Scenario};

/// Worth of a litre of a demand line: what it costs not to serve it.
///
/// Priority 1 counts 4 times the usual price, 2 twice, 3 once, 4 half, 5 a quarter; a booking
/// counts 1.4 times a forecast of the same priority, which keeps it below the next priority.
#[must_use]
pub fn worth_per_litre(scenario: &Scenario, line: &Demand) -> f64 {
    let priority = 2.0_f64.powi(3 - i32::from(line.priority.number()));
    let kind = match line.kind {
        DemandKind::Booking => 1.4,
        DemandKind::Forecast => 1.0,
    };
    scenario.policy.short_per_l.amount() * priority * kind
}

/// How much less a litre is worth where `poured` is served and `wanted` was wanted; none where it
/// may not be.
#[must_use]
pub fn loss_per_litre(scenario: &Scenario, wanted: &ProductId, poured: &ProductId) -> Option<f64> {
    if wanted == poured {
        return Some(0.0);
    }
    let product = scenario.setup.products.iter().find(|p| p.id == *wanted)?;
    let substitute = product.substitutes.iter().find(|s| s.product == *poured)?;
    Some(substitute.price_per_l.amount())
}

/// What the services and reserves of a plan are worth. Its cost is this less its worth.
#[must_use]
pub fn earned(scenario: &Scenario, services: &[Served], reserves: &[Reserve]) -> f64 {
    let served = services.iter().zip(&scenario.demand).map(|(served, line)| {
        let lost = served.instead.iter().map(|other| {
            let loss = loss_per_litre(scenario, &line.product, &other.product);
            other.litres * loss.unwrap_or(0.0)
        });
        served.served_l * worth_per_litre(scenario, line) - lost.sum::<f64>()
    });
    let kept = reserves.iter().map(|reserve| {
        let products = scenario.setup.products.iter();
        let safety = products
            .filter(|p| p.id == reserve.product)
            .find_map(|p| p.safety.as_ref());
        safety.map_or(0.0, |s| s.price_per_l.amount() * reserve.kept_l)
    });
    served.sum::<f64>() + kept.sum::<f64>()
}

/// Lines of demand a product may be poured for: its own, and those it may stand in for.
pub(super) fn poured_for(scenario: &Scenario, product: &ProductId) -> Vec<usize> {
    let lines = scenario.demand.iter().enumerate();
    lines
        .filter(|(_, line)| loss_per_litre(scenario, &line.product, product).is_some())
        .map(|(n, _)| n)
        .collect()
}
