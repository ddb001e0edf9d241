//! Webhooks and their deliveries in the database.

mod sending;

use chrono::{DateTime, NaiveDateTime, Utc};
use diesel::prelude::*;

use super::events;
use super::row::{self, Row};
use super::schema::{webhook_deliveries as deliveries, webhooks};
use super::{Connection, StorageError, makers};
use crate::domain::access::{Actor, Scope};
use crate::domain::time;
use crate::domain::webhooks::{Delivery, DeliveryId, Webhook, WebhookId, WebhookRequest};

pub(crate) use sending::{Parcel, anything, note, resend, take, write_down};

/// Why a webhook is disabled whose maker has ended.
const ORPHANED: &str = "whoever made it has ended: a key that was revoked or ran out, or a person who is gone; replace \
     it to take it over";

#[derive(Queryable, Selectable)]
#[diesel(table_name = webhooks)]
struct Line {
    id: String,
    url: String,
    site: Option<String>,
    kinds: String,
    note: Option<String>,
    failing_since: Option<NaiveDateTime>,
    disabled_at: Option<NaiveDateTime>,
    disabled_why: Option<String>,
    created_at: NaiveDateTime,
}

#[derive(Queryable, Selectable)]
#[diesel(table_name = deliveries)]
struct Sent {
    id: String,
    webhook: String,
    seq: i64,
    state: String,
    attempts: i32,
    next_at: Option<NaiveDateTime>,
    last_at: Option<NaiveDateTime>,
    last_code: Option<i32>,
    last_error: Option<String>,
    created_at: NaiveDateTime,
}

/// Adds a webhook, for the events to come.
pub(crate) fn insert(
    conn: &mut Connection,
    id: WebhookId,
    request: &WebhookRequest,
    secret: &str,
    maker: &Actor,
) -> Result<(), StorageError> {
    let last = events::last(conn)?;
    let now = row::stored(time::now());
    diesel::insert_into(webhooks::table)
        .values((
            webhooks::id.eq(id.to_string()),
            webhooks::url.eq(&request.url),
            webhooks::secret.eq(secret),
            webhooks::site.eq(request.site.as_ref().map(|site| site.as_str())),
            webhooks::kinds.eq(row::text("types", &request.types)?),
            webhooks::note.eq(request.note.as_ref().map(|note| note.as_str())),
            webhooks::last_seq.eq(last),
            webhooks::disabled_at.eq((!request.enabled).then_some(now)),
            webhooks::created_at.eq(now),
            webhooks::made_by.eq(makers::kept(maker)),
        ))
        .execute(conn)?;
    Ok(())
}

/// Changes a webhook, which is then that of whoever changes it. One that is enabled again starts with
/// the events to come.
pub(crate) fn replace(
    conn: &mut Connection,
    before: &Webhook,
    request: &WebhookRequest,
    maker: &Actor,
) -> Result<(), StorageError> {
    let key = before.id.to_string();
    diesel::update(webhooks::table.find(&key))
        .set((
            webhooks::url.eq(&request.url),
            webhooks::site.eq(request.site.as_ref().map(|site| site.as_str())),
            webhooks::kinds.eq(row::text("types", &request.types)?),
            webhooks::note.eq(request.note.as_ref().map(|note| note.as_str())),
            webhooks::made_by.eq(makers::kept(maker)),
        ))
        .execute(conn)?;
    let now = row::stored(time::now());
    match (before.request.enabled, request.enabled) {
        (true, false) => {
            diesel::update(webhooks::table.find(&key))
                .set(webhooks::disabled_at.eq(now))
                .execute(conn)?;
        }
        (false, true) => {
            let last = events::last(conn)?;
            diesel::update(webhooks::table.find(&key))
                .set((
                    webhooks::disabled_at.eq(None::<NaiveDateTime>),
                    webhooks::disabled_why.eq(None::<String>),
                    webhooks::failing_since.eq(None::<NaiveDateTime>),
                    webhooks::last_seq.eq(last),
                ))
                .execute(conn)?;
        }
        _ => {}
    }
    Ok(())
}

/// Disables the webhooks whose makers have ended: nothing is delivered on behalf of nobody.
pub(crate) fn disable_orphans(
    conn: &mut Connection,
    now: DateTime<Utc>,
) -> Result<(), StorageError> {
    let made: Vec<(Line, Option<String>)> = webhooks::table
        .filter(webhooks::disabled_at.is_null())
        .filter(webhooks::made_by.is_not_null())
        .select((Line::as_select(), webhooks::made_by))
        .load(conn)?;
    for (line, maker) in made {
        let webhook = line.checked()?;
        let site = webhook.request.site.as_ref();
        if !makers::lasts(conn, maker.as_deref(), Scope::Admin, site, now)? {
            diesel::update(webhooks::table.find(webhook.id.to_string()))
                .set((
                    webhooks::disabled_at.eq(row::stored(now)),
                    webhooks::disabled_why.eq(ORPHANED),
                ))
                .execute(conn)?;
        }
    }
    Ok(())
}

/// Gives a webhook another secret.
pub(crate) fn set_secret(
    conn: &mut Connection,
    id: WebhookId,
    secret: &str,
) -> Result<(), StorageError> {
    diesel::update(webhooks::table.find(id.to_string()))
        .set(webhooks::secret.eq(secret))
        .execute(conn)?;
    Ok(())
}

/// Takes a webhook away, with its log.
pub(crate) fn delete(conn: &mut Connection, id: WebhookId) -> Result<(), StorageError> {
    let key = id.to_string();
    diesel::delete(deliveries::table.filter(deliveries::webhook.eq(&key))).execute(conn)?;
    diesel::delete(webhooks::table.find(&key)).execute(conn)?;
    Ok(())
}

/// All webhooks, oldest first.
pub(crate) fn list(conn: &mut Connection) -> Result<Vec<Webhook>, StorageError> {
    let rows: Vec<Line> = webhooks::table
        .order(webhooks::id)
        .select(Line::as_select())
        .load(conn)?;
    rows.into_iter().map(Line::checked).collect()
}

/// A webhook.
pub(crate) fn find(conn: &mut Connection, id: WebhookId) -> Result<Option<Webhook>, StorageError> {
    let found: Option<Line> = webhooks::table
        .find(id.to_string())
        .select(Line::as_select())
        .first(conn)
        .optional()?;
    found.map(Line::checked).transpose()
}

/// Deliveries to a webhook, latest first, from before one of them.
pub(crate) fn log(
    conn: &mut Connection,
    webhook: WebhookId,
    before: Option<DeliveryId>,
    limit: i64,
) -> Result<Vec<Delivery>, StorageError> {
    let mut query = deliveries::table
        .filter(deliveries::webhook.eq(webhook.to_string()))
        .order(deliveries::id.desc())
        .limit(limit)
        .select(Sent::as_select())
        .into_boxed();
    if let Some(before) = before {
        query = query.filter(deliveries::id.lt(before.to_string()));
    }
    let rows: Vec<Sent> = query.load(conn)?;
    rows.into_iter().map(Sent::checked).collect()
}

fn named(id: &dyn std::fmt::Display) -> Row<'_> {
    Row {
        table: "webhooks",
        key: id,
    }
}

impl Line {
    fn checked(self) -> Result<Webhook, StorageError> {
        let row = named(&self.id);
        Ok(Webhook {
            id: row.value(self.id.clone())?,
            request: WebhookRequest {
                url: self.url,
                site: self.site.map(|site| row.value(site)).transpose()?,
                types: row.document(&self.kinds)?,
                note: self.note.map(|note| row.value(note)).transpose()?,
                enabled: self.disabled_at.is_none(),
            },
            failing_since: self.failing_since.map(|at| at.and_utc()),
            disabled_why: self.disabled_why,
            created_at: self.created_at.and_utc(),
        })
    }
}

impl Sent {
    fn checked(self) -> Result<Delivery, StorageError> {
        let row = named(&self.id);
        Ok(Delivery {
            id: row.value(self.id.clone())?,
            webhook: row.value(self.webhook)?,
            seq: self.seq,
            state: row.word("state", &self.state)?,
            attempts: self.attempts,
            next_at: self.next_at.map(|at| at.and_utc()),
            last_at: self.last_at.map(|at| at.and_utc()),
            last_status: self.last_code,
            last_error: self.last_error,
            created_at: self.created_at.and_utc(),
        })
    }
}

#[cfg(test)]
mod tests;
