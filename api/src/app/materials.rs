//! Materials of the published plan: what it uses up, and what to order by when.

use chrono::Duration;
use scheduler::scenario::SiteId;

use super::publication::published;
use crate::domain::Refusal;
use crate::domain::materials::{MaterialList, materials};
use crate::storage::{Store, plans, sites};

/// How long orders take where nothing is said, in hours (common practice, no source).
const USUAL_LEAD_H: u16 = 24;

/// The longest time an order may take, in hours.
const LONGEST_LEAD_H: u16 = 720;

/// What the published plan uses up, where orders take so many hours.
pub(crate) async fn needed(
    store: &Store,
    site: SiteId,
    lead_h: Option<u16>,
) -> Result<MaterialList, Refusal> {
    let lead = lead(lead_h)?;
    store
        .read(move |conn| {
            let site = sites::load(conn, &site)?;
            let plan = published(conn, &site)?.plan;
            let made = plans::made(conn, plan)?;
            Ok::<_, Refusal>(MaterialList {
                plan,
                materials: materials(&made.plan, &made.scenario, lead),
            })
        })
        .await
}

fn lead(lead_h: Option<u16>) -> Result<Duration, Refusal> {
    let hours = lead_h.unwrap_or(USUAL_LEAD_H);
    if hours > LONGEST_LEAD_H {
        let what = format!("{hours} found; 0 to {LONGEST_LEAD_H} is allowed");
        return Err(Refusal::field("lead_h", what));
    }
    Ok(Duration::hours(i64::from(hours)))
}
