//! Requested plans in the database. The rows are also the queue the solvers work from: see `jobs`.

pub(crate) mod jobs;
pub(crate) mod lineage;
pub(crate) mod questions;
pub(crate) mod waiting;

use chrono::NaiveDateTime;
use chrono_tz::Tz;
use diesel::prelude::*;
use scheduler::plan::{Plan, WorkItem};
use scheduler::scenario::{Scenario, Site, SiteId};
use serde::Deserialize;

use super::row::{self, Row};
use super::schema::{plans, sites};
use super::{Connection, StorageError, events, sites as sites_of};
use crate::domain::events::{EventData, EventKind};
use crate::domain::plans::{
    PlanFailure, PlanId, PlanProgress, PlanRequest, PlanResource, PlanState, PlanSummary,
};
use crate::domain::questions::{SearchKind, Task};
use crate::domain::replanning::Replanning;
use crate::domain::{Refusal, Revision, time};

/// A plan to be made.
pub(crate) struct NewPlan<'a> {
    pub(crate) id: PlanId,
    pub(crate) site: &'a SiteId,
    pub(crate) setup_revision: Revision,
    pub(crate) request: &'a PlanRequest,
    pub(crate) scenario: &'a Scenario,
    /// What is to be searched; where it is about a plan, that plan.
    pub(crate) task: &'a Task,
    pub(crate) parent: Option<PlanId>,
    /// Who asks, as the queue knows callers.
    pub(crate) caller: Option<&'a str>,
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
    kind: String,
    parent: Option<String>,
}

/// Queues a plan or a question.
pub(crate) fn insert(conn: &mut Connection, plan: &NewPlan<'_>) -> Result<(), StorageError> {
    diesel::insert_into(plans::table)
        .values((
            plans::id.eq(plan.id.to_string()),
            plans::site.eq(plan.site.as_str()),
            plans::state.eq(PlanState::Queued.into_str()),
            plans::setup_revision.eq(plan.setup_revision.number()),
            plans::request.eq(row::text("a plan request", plan.request)?),
            plans::scenario.eq(row::text("a scenario", plan.scenario)?),
            plans::progress.eq(row::text("progress", &PlanProgress::default())?),
            plans::created_at.eq(row::stored(time::now())),
            plans::kind.eq(plan.task.kind().into_str()),
            plans::parent.eq(plan.parent.map(|parent| parent.to_string())),
            plans::question.eq(question(plan.task)?),
            plans::caller.eq(plan.caller),
        ))
        .execute(conn)?;
    if plan.task.kind().is_plan() {
        let data = EventData {
            plan: Some(plan.id),
            replaces: plan.parent,
            ..EventData::default()
        };
        events::append(conn, plan.site, EventKind::PlanRequested, &data)?;
    }
    Ok(())
}

fn question(task: &Task) -> Result<Option<String>, StorageError> {
    let text = match task {
        Task::Plan => return Ok(None),
        Task::Replan { facts, .. } => row::text("facts", facts)?,
        Task::Commitment(question) => row::text("a question", question)?,
        Task::WhatIf(question) => row::text("a question", question)?,
        Task::Confidence { question, .. } => row::text("a question", question)?,
    };
    Ok(Some(text))
}

/// A requested plan, with the plan itself once there is one.
pub(crate) fn load(conn: &mut Connection, id: PlanId) -> Result<PlanResource, Refusal> {
    let key = id.to_string();
    let found: Option<(Header, Option<String>, Option<String>)> = plans::table
        .find(&key)
        .filter(plans::kind.eq_any(SearchKind::PLANS))
        .select((Header::as_select(), plans::result, plans::answer))
        .first(conn)
        .optional()
        .map_err(StorageError::from)?;
    let (header, result, answer) = found.ok_or(Refusal::UnknownPlan(id))?;
    let zone = zone_of(conn, &header.site)?;
    let result: Option<Plan> = result
        .as_deref()
        .map(|text| named(&key).document(text))
        .transpose()?;
    let replanning: Option<Replanning> = answer
        .as_deref()
        .map(|text| named(&key).document(text))
        .transpose()?;
    Ok(PlanResource {
        summary: header.checked(zone)?,
        result,
        replanning,
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

/// A requested plan, without the plan itself.
pub(crate) fn summary(conn: &mut Connection, id: PlanId) -> Result<PlanSummary, Refusal> {
    let found: Option<Header> = plans::table
        .find(id.to_string())
        .filter(plans::kind.eq_any(SearchKind::PLANS))
        .select(Header::as_select())
        .first(conn)
        .optional()
        .map_err(StorageError::from)?;
    let header = found.ok_or(Refusal::UnknownPlan(id))?;
    let zone = zone_of(conn, &header.site)?;
    Ok(header.checked(zone)?)
}

/// A plan that is done, with its site and the scenario it was made for.
pub(crate) fn made(conn: &mut Connection, id: PlanId) -> Result<Made, Refusal> {
    let resource = load(conn, id)?;
    let state = resource.summary.state;
    let plan = resource
        .result
        .ok_or(Refusal::PlanUnfinished { id, state })?;
    let site = sites_of::load(conn, &resource.summary.site)?;
    Ok(Made {
        plan,
        scenario: scenario(conn, id)?,
        site,
        summary: resource.summary,
        replanning: resource.replanning,
    })
}

/// The work of a plan that is done, and the clock of its site: what floors read all day, without the
/// rest of the plan and the scenario it was made for.
pub(crate) fn work(conn: &mut Connection, id: PlanId) -> Result<(Vec<WorkItem>, Tz), Refusal> {
    let key = id.to_string();
    let found: Option<(String, String, Option<String>)> = plans::table
        .find(&key)
        .filter(plans::kind.eq_any(SearchKind::PLANS))
        .select((plans::site, plans::state, plans::result))
        .first(conn)
        .optional()
        .map_err(StorageError::from)?;
    let (site, state, result) = found.ok_or(Refusal::UnknownPlan(id))?;
    let row = named(&key);
    let Some(text) = result else {
        let state = row.word("state", &state)?;
        return Err(Refusal::PlanUnfinished { id, state });
    };
    let OnlyWork { work } = row.document(&text)?;
    Ok((work, zone_of(conn, &site)?))
}

/// A plan, of which nothing else is looked at.
#[derive(Deserialize)]
struct OnlyWork {
    work: Vec<WorkItem>,
}

/// A site, of which nothing else is looked at.
#[derive(Deserialize)]
struct OnlyClock {
    time_zone: Tz,
}

/// The plans that were made from a plan, latest first.
pub(crate) fn children(conn: &mut Connection, id: PlanId) -> Result<Vec<PlanId>, StorageError> {
    let keys: Vec<String> = plans::table
        .filter(plans::parent.eq(id.to_string()))
        .filter(plans::kind.eq(SearchKind::Replan.into_str()))
        .order(plans::id.desc())
        .select(plans::id)
        .load(conn)?;
    let parsed = keys
        .iter()
        .map(|key| PlanId::parse(key).map_err(|e| named(key).bad(e)));
    parsed.collect()
}

/// A plan that is done, and what belongs to it.
pub(crate) struct Made {
    pub(crate) plan: Plan,
    pub(crate) scenario: Scenario,
    pub(crate) site: Site,
    pub(crate) summary: PlanSummary,
    pub(crate) replanning: Option<Replanning>,
}

/// The scenario a plan was requested for.
pub(crate) fn scenario(conn: &mut Connection, id: PlanId) -> Result<Scenario, Refusal> {
    let key = id.to_string();
    let found: Option<String> = plans::table
        .find(&key)
        .filter(plans::kind.eq_any(SearchKind::PLANS))
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
        .filter(plans::kind.eq_any(SearchKind::PLANS))
        .order(plans::id.desc())
        .limit(limit)
        .select(Header::as_select())
        .into_boxed();
    if let Some(before) = before {
        query = query.filter(plans::id.lt(before.to_string()));
    }
    let rows: Vec<Header> = query.load(conn)?;
    // One row that cannot be read must not hide the others.
    let read = rows.into_iter().filter_map(|header| {
        let checked = header.checked(zone);
        checked
            .inspect_err(|error| tracing::error!(cause = %error, "a plan is left out of a list"))
            .ok()
    });
    Ok(read.collect())
}

fn zone_of(conn: &mut Connection, site: &str) -> Result<Tz, StorageError> {
    let text: String = sites::table
        .find(site)
        .select(sites::document)
        .first(conn)?;
    let key: &dyn std::fmt::Display = &site;
    let OnlyClock { time_zone } = Row {
        table: "sites",
        key,
    }
    .document(&text)?;
    Ok(time_zone)
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
            state: row.word("state", &self.state)?,
            replans: self
                .parent
                .as_deref()
                .map(|parent| PlanId::parse(parent).map_err(|error| row.bad(error)))
                .transpose()?,
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
