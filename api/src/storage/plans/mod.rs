//! Requested plans in the database. The rows are also the queue the solvers work from: see `jobs`.

pub(crate) mod jobs;

use chrono::NaiveDateTime;
use chrono_tz::Tz;
use diesel::prelude::*;
use scheduler::plan::Plan;
use scheduler::scenario::{Scenario, SiteId};

use super::row::{self, Row};
use super::schema::{plans, sites};
use super::{Connection, StorageError};
use crate::domain::plans::{
    PlanFailure, PlanId, PlanProgress, PlanRequest, PlanResource, PlanState, PlanSummary,
};
use crate::domain::{Refusal, Revision, time};

/// A plan to be made.
pub(crate) struct NewPlan<'a> {
    pub(crate) id: PlanId,
    pub(crate) site: &'a SiteId,
    pub(crate) setup_revision: Revision,
    pub(crate) request: &'a PlanRequest,
    pub(crate) scenario: &'a Scenario,
}

#[derive(Queryable, Selectable)]
#[diesel(table_name = plans)]
struct Header {
    id: String,
    site: String,
    state: String,
    setup_revision: i64,
    request: String,
    failure: Option<String>,
    progress: String,
    created_at: NaiveDateTime,
    started_at: Option<NaiveDateTime>,
    finished_at: Option<NaiveDateTime>,
}

/// Queues a plan.
pub(crate) fn insert(conn: &mut Connection, plan: &NewPlan<'_>) -> Result<(), StorageError> {
    diesel::insert_into(plans::table)
        .values((
            plans::id.eq(plan.id.to_string()),
            plans::site.eq(plan.site.as_str()),
            plans::state.eq(PlanState::Queued.as_str()),
            plans::setup_revision.eq(plan.setup_revision.number()),
            plans::request.eq(row::text("a plan request", plan.request)?),
            plans::scenario.eq(row::text("a scenario", plan.scenario)?),
            plans::progress.eq(row::text("progress", &PlanProgress::default())?),
            plans::created_at.eq(row::stored(time::now())),
        ))
        .execute(conn)?;
    Ok(())
}

/// A requested plan, with the plan itself once there is one.
pub(crate) fn load(conn: &mut Connection, id: PlanId) -> Result<PlanResource, Refusal> {
    let key = id.to_string();
    let found: Option<(Header, Option<String>)> = plans::table
        .find(&key)
        .select((Header::as_select(), plans::result))
        .first(conn)
        .optional()
        .map_err(StorageError::from)?;
    let (header, result) = found.ok_or(Refusal::UnknownPlan(id))?;
    let zone = zone_of(conn, &header.site)?;
    let result: Option<Plan> = result
        .as_deref()
        .map(|text| named(&key).document(text))
        .transpose()?;
    Ok(PlanResource {
        summary: header.checked(zone)?,
        result,
    })
}

/// The site a plan was requested for, if there is such a plan.
pub(crate) fn site_of(conn: &mut Connection, id: PlanId) -> Result<Option<SiteId>, StorageError> {
    let key = id.to_string();
    let found: Option<String> = plans::table
        .find(&key)
        .select(plans::site)
        .first(conn)
        .optional()?;
    found.map(|site| named(&key).value(site)).transpose()
}

/// The scenario a plan was requested for.
pub(crate) fn scenario(conn: &mut Connection, id: PlanId) -> Result<Scenario, Refusal> {
    let key = id.to_string();
    let found: Option<String> = plans::table
        .find(&key)
        .select(plans::scenario)
        .first(conn)
        .optional()
        .map_err(StorageError::from)?;
    let text = found.ok_or(Refusal::UnknownPlan(id))?;
    Ok(named(&key).document(&text)?)
}

/// A site's plans, latest first, from before a given one.
pub(crate) fn list(
    conn: &mut Connection,
    site: &SiteId,
    before: Option<PlanId>,
    limit: i64,
    zone: Tz,
) -> Result<Vec<PlanSummary>, StorageError> {
    let mut query = plans::table
        .filter(plans::site.eq(site.as_str()))
        .order(plans::id.desc())
        .limit(limit)
        .select(Header::as_select())
        .into_boxed();
    if let Some(before) = before {
        query = query.filter(plans::id.lt(before.to_string()));
    }
    let rows: Vec<Header> = query.load(conn)?;
    rows.into_iter()
        .map(|header| header.checked(zone))
        .collect()
}

fn zone_of(conn: &mut Connection, site: &str) -> Result<Tz, StorageError> {
    let text: String = sites::table
        .find(site)
        .select(sites::document)
        .first(conn)?;
    let key: &dyn std::fmt::Display = &site;
    let site: scheduler::scenario::Site = Row {
        table: "sites",
        key,
    }
    .document(&text)?;
    Ok(site.time_zone)
}

fn named(id: &dyn std::fmt::Display) -> Row<'_> {
    Row {
        table: "plans",
        key: id,
    }
}

impl Header {
    fn checked(self, zone: Tz) -> Result<PlanSummary, StorageError> {
        let row = named(&self.id);
        let failure: Option<PlanFailure> = self
            .failure
            .as_deref()
            .map(|text| row.document(text))
            .transpose()?;
        Ok(PlanSummary {
            id: PlanId::parse(&self.id).map_err(|error| row.bad(error))?,
            site: row.value(self.site)?,
            state: PlanState::parse(&self.state)
                .ok_or_else(|| row.bad(format!("unknown state {}", self.state)))?,
            setup_revision: row.value(self.setup_revision)?,
            request: row.document(&self.request)?,
            progress: row.document(&self.progress)?,
            failure,
            created_at: row::local(self.created_at, zone),
            started_at: self.started_at.map(|at| row::local(at, zone)),
            finished_at: self.finished_at.map(|at| row::local(at, zone)),
        })
    }
}
