//! A first setup from what a person knows: looked at, or made into a site with its first plan.

use scheduler::draft::{self, Answers, Assumption, Draft};
use scheduler::scenario::{Site, SiteId};

use super::{plans, sites as places};
use crate::blocking::slow;
use crate::domain::assumed::{kept, standing};
use crate::domain::demand::Range;
use crate::domain::plans::{PlanRequest, PlanResource};
use crate::domain::queue::Admission;
use crate::domain::setup::SetupDocument;
use crate::domain::stock::Count;
use crate::domain::{Refusal, time};
use crate::service::Service;
use crate::storage::{Connection, assumed, demand, sites};

/// What the count of a draft is called in the ledger.
const REFERENCE: &str = "first-draft";

/// A first setup and a first week, of which nothing is stored.
pub(crate) fn look(answers: &Answers) -> Result<Draft, Refusal> {
    Ok(draft::draft(answers, time::now())?)
}

/// A draft whose plan would not take too much memory.
pub(crate) async fn fits(service: &Service, draft: Draft) -> Result<Draft, Refusal> {
    let bounds = service.bounds;
    slow(move || {
        let checked = draft.scenario.clone().check()?;
        bounds.check_size(&checked)?;
        Ok(draft)
    })
    .await
}

/// Makes a site of a draft: its setup, its week, what is taken to be there; and queues its plan. All
/// of it, or nothing.
pub(crate) fn create(
    conn: &mut Connection,
    admission: &Admission,
    draft: &Draft,
) -> Result<(Site, PlanResource), Refusal> {
    let scenario = &draft.scenario;
    let document = SetupDocument {
        setup: scenario.setup.clone(),
        policy: scenario.policy.clone(),
    };
    let site = places::create(conn, scenario.site.clone())?;
    super::setup::begin(conn, &site, &document, &kept(draft))?;
    demand::replace(conn, &site.id, Range::ALWAYS, &scenario.demand)?;
    let count = Count::now(REFERENCE, site.time_zone, scenario.stock.clone())?;
    super::stock::record_count(conn, &site.id, count)?;
    let request = PlanRequest::of(&scenario.horizon);
    let plan = plans::queue(conn, admission, &site.id, &request)?;
    Ok((site, plan))
}

/// What of a site is still as a draft assumed it.
pub(crate) fn still_assumed(
    conn: &mut Connection,
    site: &SiteId,
) -> Result<Vec<Assumption>, Refusal> {
    sites::load(conn, site)?;
    Ok(assumed::list(conn, site)?)
}

/// Forgets what was assumed and is different now, for good: who sets a value back means it.
pub(crate) fn settle(
    conn: &mut Connection,
    site: &Site,
    document: &SetupDocument,
) -> Result<(), Refusal> {
    let all = assumed::list(conn, &site.id)?;
    let left = standing(&all, site, document)?;
    if left.len() < all.len() {
        assumed::store(conn, &site.id, &left)?;
    }
    Ok(())
}
