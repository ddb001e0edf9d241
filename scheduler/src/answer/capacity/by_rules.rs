//! What rules of thumb reach, against what kegs and places allow at all.

use super::counting::Counted;
use crate::answer::bottlenecks::none_left;
use crate::decode::Context;
use crate::dispatch::{Outcome, ceiling, most_ready};
use crate::mapping::{Limit, OneMore, Scarce, SodaNetwork};
use crate::milp::Watch;
use crate::network::ResourceId;
use crate::plan::{BindingStretch, Reason};

/// What rules of thumb reach.
pub(super) struct Reached {
    /// No plan can have more kegs than this.
    pub ceiling: f64,
    /// The best that rules of thumb make; none where they keep to no bounds.
    pub outcome: Option<Outcome>,
}

impl Reached {
    /// Rules of thumb were not asked.
    pub(super) fn nothing() -> Self {
        Self {
            ceiling: f64::INFINITY,
            outcome: None,
        }
    }

    fn kegs(&self) -> f64 {
        self.outcome.as_ref().map_or(0.0, Outcome::count)
    }

    /// When none of a resource is left.
    fn none_left(&self, context: Context<'_>, limit: &Limit) -> Vec<BindingStretch> {
        let levels = self.outcome.as_ref().map(|o| o.levels(limit.resource));
        levels.map_or_else(Vec::new, |levels| none_left(context, levels))
    }

    /// The outcome, if no plan can have more.
    pub(super) fn proven(&self) -> Option<&Outcome> {
        let proven = |o: &&Outcome| o.count() >= self.ceiling - 1e-6;
        self.outcome.as_ref().filter(proven)
    }
}

pub(super) fn reach(soda: &SodaNetwork, counted: &Counted, watch: Watch<'_>) -> Reached {
    let ids: Vec<ResourceId> = counted.iter().flat_map(|(_, _, l)| l).copied().collect();
    let ceiling = ceiling(soda, &ids, watch);
    Reached {
        outcome: most_ready(soda, &ids, ceiling, watch),
        ceiling,
    }
}

/// What limits an answer that is as high as kegs and places allow: more kegs or places, as far as
/// rules of thumb make use of them. Nothing else can.
pub(super) fn limits(
    context: Context<'_>,
    soda: &SodaNetwork,
    counted: &Counted,
    reached: &Reached,
    watch: Watch<'_>,
) -> Vec<Reason> {
    let scenario = context.scenario;
    let fixed = |l: &&Limit| matches!(l.scarce, Scarce::Places(_) | Scarce::Kegs(_));
    let mut reasons = Vec::new();
    for limit in soda.limits.iter().filter(fixed) {
        if watch.cancelled() {
            break;
        }
        let one_more = OneMore {
            limit: limit.clone(),
            within: 0..soda.net.points(),
        };
        let mut more = soda.clone();
        more.add_one(scenario, &one_more);
        let brings = reach(&more, counted, watch).kegs() - reached.kegs();
        if brings > 0.0 {
            reasons.push(Reason {
                resource: limit.scarce.resource(scenario),
                one_more: limit.scarce.one_more(scenario),
                brings,
                unit: "kegs".to_owned(),
                here_l: None,
                binds: reached.none_left(context, limit),
            });
        }
    }
    reasons.sort_by(|a, b| b.brings.total_cmp(&a.brings));
    reasons
}
