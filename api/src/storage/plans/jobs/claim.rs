//! Taking up the search whose turn it is.

use std::time::Duration;

use diesel::dsl::max;
use diesel::prelude::*;
use scheduler::plan::Plan;

use super::super::super::row;
use super::super::super::schema::{plans, queue_turns};
use super::super::super::{Connection, StorageError};
use super::super::named;
use super::Job;
use super::ending::set_aside;
use crate::domain::plans::{PlanFailure, PlanId, PlanState};
use crate::domain::questions::{SearchKind, Task};
use crate::domain::queue::{LastTurns, Waiting, is_suspect, next, probation};
use crate::domain::time;
use crate::problem::Kind;

/// The process that wants something to do.
#[derive(Debug, Clone)]
pub(crate) struct Here {
    /// A name for a lease that nobody has used.
    pub(crate) lease: String,
    /// How long it has lived.
    pub(crate) lived: Duration,
    /// Whether it is searching something at this moment.
    pub(crate) busy: bool,
}

/// Leases the search whose turn it is. One that cannot be read is set aside with its reason, and
/// the next is taken instead.
pub(crate) fn claim(conn: &mut Connection, here: &Here) -> Result<Option<Job>, StorageError> {
    let mut waiting = waiting(conn)?;
    waiting.retain(|w| probation(w.deaths) <= here.lived);
    let mut last = last_turns(conn, &waiting)?;
    while let Some(found) = next(&waiting, &last).cloned() {
        let alone = is_suspect(found.deaths);
        if alone && here.busy {
            // Its turn has come: what is going on is let end first, and nothing is begun beside.
            return Ok(None);
        }
        match read(conn, &found.key) {
            Ok(read) => {
                lease(conn, &found, &read, here)?;
                return Ok(Some(Job {
                    lease: here.lease.clone(),
                    alone,
                    ..read
                }));
            }
            Err(error) if error.is_about_a_row() => put_aside(conn, &found, &error)?,
            Err(error) => return Err(error),
        }
        let turn = following(conn)?;
        last.note(&found.site, &found.caller, turn);
        waiting.retain(|w| w.key != found.key);
    }
    Ok(None)
}

/// What waits, in the order of asking.
fn waiting(conn: &mut Connection) -> Result<Vec<Waiting>, StorageError> {
    let rows: Vec<(String, String, Option<String>, i32)> = plans::table
        .filter(plans::state.eq(PlanState::Queued.into_str()))
        .order((plans::created_at, plans::id))
        .select((plans::id, plans::site, plans::caller, plans::deaths))
        .load(conn)?;
    let made = rows.into_iter().map(|(key, site, caller, deaths)| Waiting {
        key,
        site,
        caller: caller.unwrap_or_default(),
        deaths,
    });
    Ok(made.collect())
}

fn last_turns(conn: &mut Connection, waiting: &[Waiting]) -> Result<LastTurns, StorageError> {
    let mut sites: Vec<&str> = waiting.iter().map(|w| w.site.as_str()).collect();
    sites.sort_unstable();
    sites.dedup();
    let mut last = LastTurns::default();
    if sites.is_empty() {
        return Ok(last);
    }
    let rows: Vec<(String, String, i64)> = queue_turns::table
        .filter(queue_turns::site.eq_any(sites))
        .load(conn)?;
    for (site, caller, turn) in rows {
        last.note(&site, &caller, turn);
    }
    Ok(last)
}

/// A turn after all there were.
fn following(conn: &mut Connection) -> Result<i64, StorageError> {
    let last: Option<i64> = queue_turns::table
        .select(max(queue_turns::turn))
        .first(conn)?;
    Ok(last.unwrap_or(0) + 1)
}

/// Notes that a search is taken up, and that its caller has had a turn.
fn lease(
    conn: &mut Connection,
    found: &Waiting,
    job: &Job,
    here: &Here,
) -> Result<(), StorageError> {
    diesel::update(plans::table.find(&found.key))
        .set((
            plans::state.eq(PlanState::Running.into_str()),
            plans::lease_owner.eq(&here.lease),
            plans::attempts.eq(job.attempt),
            plans::started_at.eq(row::stored(time::now())),
        ))
        .execute(conn)?;
    let turn = following(conn)?;
    let noted = diesel::update(queue_turns::table.find((&found.site, &found.caller)))
        .set(queue_turns::turn.eq(turn))
        .execute(conn)?;
    if noted == 0 {
        diesel::insert_into(queue_turns::table)
            .values((
                queue_turns::site.eq(&found.site),
                queue_turns::caller.eq(&found.caller),
                queue_turns::turn.eq(turn),
            ))
            .execute(conn)?;
    }
    Ok(())
}

fn put_aside(
    conn: &mut Connection,
    found: &Waiting,
    error: &StorageError,
) -> Result<(), StorageError> {
    tracing::error!(plan = %found.key, cause = %error, "a search cannot be read and is set aside");
    let failure = PlanFailure {
        code: Kind::SetAside.code().to_owned(),
        detail:
            "what was stored of it cannot be read any more, so it was set aside; ask again, and \
                 tell whoever runs the service, whose log says more"
                .to_owned(),
    };
    set_aside(conn, &found.key, &failure)
}

#[derive(Queryable, Selectable)]
#[diesel(table_name = plans)]
struct Claimed {
    id: String,
    kind: String,
    request: String,
    scenario: String,
    parent: Option<String>,
    question: Option<String>,
    attempts: i32,
}

fn read(conn: &mut Connection, key: &str) -> Result<Job, StorageError> {
    let found: Claimed = plans::table
        .find(key)
        .select(Claimed::as_select())
        .first(conn)?;
    Ok(Job {
        id: PlanId::parse(key).map_err(|error| named(&key).bad(error))?,
        lease: String::new(),
        request: named(&key).document(&found.request)?,
        scenario: named(&key).document(&found.scenario)?,
        task: task(conn, &found)?,
        attempt: found.attempts.saturating_add(1),
        alone: false,
    })
}

/// What is to be searched; a question about a plan comes with that plan.
fn task(conn: &mut Connection, claimed: &Claimed) -> Result<Task, StorageError> {
    let row = named(&claimed.id);
    let asked = claimed.question.as_deref().unwrap_or("null");
    let kind: SearchKind = row.word("kind", &claimed.kind)?;
    Ok(match kind {
        SearchKind::Plan => Task::Plan,
        SearchKind::Replan => Task::Replan {
            published: parent(conn, claimed)?,
            facts: row.document(asked)?,
        },
        SearchKind::Commitment => Task::Commitment(row.document(asked)?),
        SearchKind::WhatIf => Task::WhatIf(row.document(asked)?),
        SearchKind::Confidence => Task::Confidence {
            plan: parent(conn, claimed)?,
            question: row.document(asked)?,
        },
    })
}

fn parent(conn: &mut Connection, claimed: &Claimed) -> Result<Box<Plan>, StorageError> {
    let row = named(&claimed.id);
    let parent = claimed
        .parent
        .as_deref()
        .ok_or_else(|| row.bad("no plan is named"))?;
    let result: Option<String> = plans::table
        .find(parent)
        .select(plans::result)
        .first(conn)
        .optional()?
        .flatten();
    let result = result.ok_or_else(|| row.bad("the plan it is about is not done"))?;
    named(&parent).document(&result)
}
