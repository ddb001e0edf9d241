//! Commitments in the database.

use chrono::{DateTime, NaiveDateTime, Utc};
use diesel::prelude::*;
use scheduler::scenario::{DemandId, SiteId};

use super::plans::questions;
use super::row::{self, Row};
use super::schema::{commitments, plans};
use super::{Connection, StorageError, events, sites};
use crate::domain::Refusal;
use crate::domain::commitments::{Commitment, Hold, Standing};
use crate::domain::events::{EventData, EventKind};
use crate::domain::plans::PlanId;
use crate::domain::words::Who;

#[derive(Queryable, Selectable)]
#[diesel(table_name = commitments)]
struct Line {
    standing: String,
    basis: i64,
    held_until: Option<NaiveDateTime>,
    demand: Option<String>,
}

/// Notes that something was asked; `basis` is the last event that the question knows of.
pub(crate) fn insert(
    conn: &mut Connection,
    id: PlanId,
    site: &SiteId,
    basis: i64,
) -> Result<(), StorageError> {
    diesel::insert_into(commitments::table)
        .values((
            commitments::id.eq(id.to_string()),
            commitments::site.eq(site.as_str()),
            commitments::standing.eq(Standing::Asked.as_str()),
            commitments::basis.eq(basis),
        ))
        .execute(conn)?;
    Ok(())
}

/// A commitment as it stands now, and the last event its question knew of.
pub(crate) fn load(
    conn: &mut Connection,
    id: PlanId,
    now: DateTime<Utc>,
) -> Result<(Commitment, i64), Refusal> {
    let key = id.to_string();
    let found: Option<Line> = commitments::table
        .find(&key)
        .select(Line::as_select())
        .first(conn)
        .optional()
        .map_err(StorageError::from)?;
    let line = found.ok_or(Refusal::UnknownQuestion(id))?;
    let question = questions::load(conn, id)?;
    let zone = sites::load(conn, &question.site)?.time_zone;
    let row = Row {
        table: "commitments",
        key: &key,
    };
    let standing = Standing::parse(&line.standing)
        .ok_or_else(|| row.bad(format!("unknown standing {}", line.standing)))?;
    let over = line
        .held_until
        .is_some_and(|until| until <= row::stored(now));
    let standing = match standing {
        Standing::Held if over => Standing::Expired,
        other => other,
    };
    let commitment = Commitment {
        question,
        standing,
        held_until: line.held_until.map(|at| row::local(at, zone)),
        demand: line.demand.map(|id| row.value(id)).transpose()?,
    };
    Ok((commitment, line.basis))
}

/// Holds a commitment until an instant.
pub(crate) fn hold(
    conn: &mut Connection,
    commitment: &Commitment,
    until: DateTime<Utc>,
) -> Result<(), StorageError> {
    let data = EventData {
        question: Some(commitment.question.id),
        until: Some(until.fixed_offset()),
        ..EventData::default()
    };
    let seq = events::append(
        conn,
        &commitment.question.site,
        EventKind::CommitmentHeld,
        &data,
    )?;
    // Its own hold is no reason to doubt it.
    diesel::update(commitments::table.find(commitment.question.id.to_string()))
        .set((
            commitments::standing.eq(Standing::Held.as_str()),
            commitments::held_until.eq(row::stored(until)),
            commitments::basis.eq(seq),
        ))
        .execute(conn)?;
    Ok(())
}

/// Notes which line of demand a commitment has become.
pub(crate) fn accept(
    conn: &mut Connection,
    commitment: &Commitment,
    demand: &DemandId,
    by: Option<Who>,
) -> Result<(), StorageError> {
    diesel::update(commitments::table.find(commitment.question.id.to_string()))
        .set((
            commitments::standing.eq(Standing::Accepted.as_str()),
            commitments::demand.eq(demand.as_str()),
        ))
        .execute(conn)?;
    let data = EventData {
        question: Some(commitment.question.id),
        demand: vec![demand.clone()],
        by,
        ..EventData::default()
    };
    let site = &commitment.question.site;
    events::append(conn, site, EventKind::CommitmentAccepted, &data)?;
    Ok(())
}

/// Lets a commitment go.
pub(crate) fn release(
    conn: &mut Connection,
    commitment: &Commitment,
    by: Option<Who>,
) -> Result<(), StorageError> {
    let (id, site) = (commitment.question.id, &commitment.question.site);
    end(conn, (id, site), Standing::Released, by)
}

fn end(
    conn: &mut Connection,
    (id, site): (PlanId, &SiteId),
    standing: Standing,
    by: Option<Who>,
) -> Result<(), StorageError> {
    diesel::update(commitments::table.find(id.to_string()))
        .set(commitments::standing.eq(standing.as_str()))
        .execute(conn)?;
    let data = EventData {
        question: Some(id),
        by,
        ..EventData::default()
    };
    let kind = match standing {
        Standing::Expired => EventKind::CommitmentExpired,
        _ => EventKind::CommitmentReleased,
    };
    events::append(conn, site, kind, &data)?;
    Ok(())
}

/// Whether any hold has run out and is not noted yet.
pub(crate) fn any_over(conn: &mut Connection, now: DateTime<Utc>) -> Result<bool, StorageError> {
    let count: i64 = commitments::table
        .filter(commitments::standing.eq(Standing::Held.as_str()))
        .filter(commitments::held_until.le(row::stored(now)))
        .count()
        .get_result(conn)?;
    Ok(count > 0)
}

/// Notes every hold that has run out.
pub(crate) fn expire(conn: &mut Connection, now: DateTime<Utc>) -> Result<(), StorageError> {
    let over: Vec<(String, String)> = commitments::table
        .filter(commitments::standing.eq(Standing::Held.as_str()))
        .filter(commitments::held_until.le(row::stored(now)))
        .order(commitments::id)
        .select((commitments::id, commitments::site))
        .load(conn)?;
    for (key, site) in over {
        let row = Row {
            table: "commitments",
            key: &key,
        };
        let id = PlanId::parse(&key).map_err(|error| row.bad(error))?;
        let site: SiteId = row.value(site)?;
        end(conn, (id, &site), Standing::Expired, None)?;
    }
    Ok(())
}

/// What is held at a site.
pub(crate) fn holds(
    conn: &mut Connection,
    site: &SiteId,
    now: DateTime<Utc>,
) -> Result<Vec<Hold>, StorageError> {
    let rows: Vec<(String, Option<String>)> = commitments::table
        .inner_join(plans::table.on(plans::id.eq(commitments::id)))
        .filter(commitments::site.eq(site.as_str()))
        .filter(commitments::standing.eq(Standing::Held.as_str()))
        .filter(commitments::held_until.gt(row::stored(now)))
        .order(commitments::id)
        .select((commitments::id, plans::answer))
        .load(conn)?;
    rows.into_iter()
        .map(|(key, answer)| {
            let row = Row {
                table: "commitments",
                key: &key,
            };
            Ok(Hold {
                id: PlanId::parse(&key).map_err(|error| row.bad(error))?,
                answer: row.document(answer.as_deref().unwrap_or("null"))?,
            })
        })
        .collect()
}
