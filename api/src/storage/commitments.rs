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
            commitments::standing.eq(Standing::Asked.into_str()),
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
    let standing: Standing = row.word("standing", &line.standing)?;
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
            commitments::standing.eq(Standing::Held.into_str()),
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
            commitments::standing.eq(Standing::Accepted.into_str()),
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
        .set(commitments::standing.eq(standing.into_str()))
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
        .filter(commitments::standing.eq(Standing::Held.into_str()))
        .filter(commitments::held_until.le(row::stored(now)))
        .count()
        .get_result(conn)?;
    Ok(count > 0)
}

/// Notes every hold that has run out.
pub(crate) fn expire(conn: &mut Connection, now: DateTime<Utc>) -> Result<(), StorageError> {
    let over: Vec<(String, String)> = commitments::table
        .filter(commitments::standing.eq(Standing::Held.into_str()))
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
        .filter(commitments::standing.eq(Standing::Held.into_str()))
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

/// What was asked of a site last, newest first.
pub(crate) fn lately(
    conn: &mut Connection,
    site: &SiteId,
    most: i64,
    now: DateTime<Utc>,
) -> Result<Vec<Commitment>, Refusal> {
    let keys: Vec<String> = commitments::table
        .filter(commitments::site.eq(site.as_str()))
        .order(commitments::id.desc())
        .limit(most)
        .select(commitments::id)
        .load(conn)
        .map_err(StorageError::from)?;
    let mut found = Vec::new();
    for key in keys {
        let row = Row {
            table: "commitments",
            key: &key,
        };
        let id = PlanId::parse(&key).map_err(|error| row.bad(error))?;
        found.push(load(conn, id, now)?.0);
    }
    Ok(found)
}

#[cfg(test)]
mod tests {
    use chrono::Duration;

    use super::super::plans::{NewPlan, insert as queue};
    use super::super::pool::tests::fresh;
    use super::*;
    use crate::domain::plans::PlanRequest;
    use crate::domain::questions::Task;
    use crate::domain::{Revision, time};

    fn asked(conn: &mut Connection) -> Result<Commitment, Refusal> {
        let scenario = scheduler::sample::fixed();
        sites::insert(conn, &scenario.site)?;
        let question = serde_json::json!({ "product": "tonic", "kegs": 1,
            "due": "2026-06-06T18:00:00+01:00" });
        let plan = NewPlan {
            id: PlanId::new(),
            site: &scenario.site.id,
            setup_revision: Revision::FIRST,
            request: &PlanRequest {
                start: scenario.horizon.start,
                days: 7,
                grid_minutes: scenario.horizon.grid_minutes,
                time_limit_s: None,
                gap: None,
            },
            scenario: &scenario,
            task: &Task::Commitment(serde_json::from_value(question).unwrap()),
            parent: None,
            caller: None,
        };
        queue(conn, &plan)?;
        insert(conn, plan.id, plan.site, 0)?;
        Ok(load(conn, plan.id, time::now())?.0)
    }

    #[test]
    fn a_hold_runs_out_once() {
        let (_dir, store) = fresh();
        let now = time::now();
        let later = now + Duration::minutes(11);
        let id = store
            .write_now(|conn| {
                let commitment = asked(conn)?;
                hold(conn, &commitment, now + Duration::minutes(10))?;
                Ok::<_, Refusal>(commitment.question.id)
            })
            .unwrap();
        let standing = |at| {
            let found = store.read_now(|conn| load(conn, id, at)).unwrap();
            found.0.standing
        };
        assert_eq!(standing(now), Standing::Held);
        assert_eq!(standing(later), Standing::Expired);
        assert!(!store.read_now(|conn| any_over(conn, now)).unwrap());
        assert!(store.read_now(|conn| any_over(conn, later)).unwrap());
        store.write_now(|conn| expire(conn, later)).unwrap();
        assert!(!store.read_now(|conn| any_over(conn, later)).unwrap());
        let filter = events::Filter {
            kinds: vec![EventKind::CommitmentExpired],
            ..events::Filter::default()
        };
        let told = store
            .read_now(|conn| events::list(conn, &filter, 9))
            .unwrap();
        assert_eq!(told.len(), 1);
    }
}
