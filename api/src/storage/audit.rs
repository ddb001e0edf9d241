//! The audit trail in the database. Entries are added and read, never changed.

use chrono::NaiveDateTime;
use diesel::prelude::*;
use scheduler::scenario::SiteId;

use super::audit_context::AuditContext;
use super::row::{self, Row};
use super::schema::audit;
use super::{Connection, StorageError, plans};
use crate::domain::audit::{AuditActor, AuditEntry, AuditOutcome, Noted};
use crate::domain::time;

#[derive(Queryable, Selectable)]
#[diesel(table_name = audit)]
struct Entry {
    seq: i64,
    at: NaiveDateTime,
    actor_kind: String,
    actor_id: String,
    actor: String,
    operation: String,
    method: String,
    path: String,
    site: Option<String>,
    request_id: String,
    refused: Option<String>,
    times: i64,
}

/// Adds a sign-in, or something that was refused.
pub(crate) fn note(conn: &mut Connection, noted: &Noted) -> Result<(), StorageError> {
    diesel::insert_into(audit::table)
        .values((
            audit::at.eq(row::stored(time::now())),
            audit::actor_kind.eq(noted.who.kind.into_str()),
            audit::actor_id.eq(&noted.who.id),
            audit::actor.eq(&noted.who.name),
            audit::operation.eq(&noted.operation),
            audit::method.eq(&noted.method),
            audit::path.eq(&noted.path),
            audit::site.eq(noted.site.as_ref().map(SiteId::as_str)),
            audit::request_id.eq(&noted.request_id),
            audit::refused.eq(noted.why),
            audit::times.eq(noted.times),
        ))
        .execute(conn)?;
    Ok(())
}

/// Adds what a request did.
pub(super) fn append(conn: &mut Connection, trail: &AuditContext) -> Result<(), StorageError> {
    let site = match (&trail.site, trail.plan) {
        (Some(site), _) => Some(site.clone()),
        (None, Some(plan)) => plans::site_of(conn, plan)?,
        (None, None) => None,
    };
    let actor = &trail.actor;
    diesel::insert_into(audit::table)
        .values((
            audit::at.eq(row::stored(time::now())),
            audit::actor_kind.eq(actor.kind.into_str()),
            audit::actor_id.eq(&actor.id),
            audit::actor.eq(&actor.name),
            audit::operation.eq(&trail.operation),
            audit::method.eq(&trail.method),
            audit::path.eq(&trail.path),
            audit::site.eq(site.as_ref().map(SiteId::as_str)),
            audit::request_id.eq(&trail.request_id),
        ))
        .execute(conn)?;
    Ok(())
}

/// Entries after a place in the trail; of these sites only, if any are named.
pub(crate) fn list(
    conn: &mut Connection,
    sites: Option<&[SiteId]>,
    after: i64,
    limit: i64,
) -> Result<Vec<AuditEntry>, StorageError> {
    let mut query = audit::table
        .filter(audit::seq.gt(after))
        .order(audit::seq)
        .limit(limit)
        .select(Entry::as_select())
        .into_boxed();
    if let Some(sites) = sites {
        let names: Vec<&str> = sites.iter().map(SiteId::as_str).collect();
        query = query.filter(audit::site.eq_any(names));
    }
    let rows: Vec<Entry> = query.load(conn)?;
    rows.into_iter().map(Entry::checked).collect()
}

/// The latest entries, latest first.
pub(crate) fn latest(
    conn: &mut Connection,
    site: &SiteId,
    limit: i64,
) -> Result<Vec<AuditEntry>, StorageError> {
    let rows: Vec<Entry> = audit::table
        .filter(audit::site.eq(site.as_str()))
        .order(audit::seq.desc())
        .limit(limit)
        .select(Entry::as_select())
        .load(conn)?;
    rows.into_iter().map(Entry::checked).collect()
}

impl Entry {
    fn checked(self) -> Result<AuditEntry, StorageError> {
        let row = Row {
            table: "audit",
            key: &self.seq,
        };
        Ok(AuditEntry {
            seq: self.seq,
            at: self.at.and_utc(),
            who: AuditActor {
                kind: row.word("kind", &self.actor_kind)?,
                id: self.actor_id,
                name: self.actor,
            },
            operation: self.operation,
            method: self.method,
            path: self.path,
            site: self.site.map(|site| row.value(site)).transpose()?,
            request_id: self.request_id,
            outcome: if self.refused.is_some() {
                AuditOutcome::Refused
            } else {
                AuditOutcome::Done
            },
            why: self.refused,
            times: self.times,
        })
    }
}
