//! Two plans of one site beside each other.

use scheduler::answer::{compare, difference};

use crate::domain::Refusal;
use crate::domain::comparison::Comparison;
use crate::domain::plans::PlanId;
use crate::storage::plans::Made;
use crate::storage::{Connection, plans};

/// Two plans of one site.
pub(crate) fn pair(
    conn: &mut Connection,
    plan: PlanId,
    with: PlanId,
) -> Result<(Made, Made), Refusal> {
    let (before, after) = (plans::made(conn, plan)?, plans::made(conn, with)?);
    // Another site's plan is none of this site's business.
    if before.site.id != after.site.id {
        return Err(Refusal::UnknownPlan(with));
    }
    Ok((before, after))
}

/// What differs between two plans.
pub(crate) fn comparison(before: &Made, after: &Made) -> Comparison {
    let changes = compare(&before.plan, &after.plan);
    let touched = changes
        .iter()
        .filter(|change| change.from.is_some())
        .count();
    Comparison {
        before: before.summary.id,
        after: after.summary.id,
        same: before.plan.work.len().saturating_sub(touched),
        difference: difference(&before.plan, &after.plan),
        changes,
    }
}
