//! Webhooks and their deliveries in the database.

use chrono::{DateTime, Duration, NaiveDateTime, Utc};
use diesel::prelude::*;

use super::events::{self, Filter};
use super::row::{self, Row};
use super::schema::{webhook_deliveries as deliveries, webhooks};
use super::{Connection, StorageError};
use crate::domain::time;
use crate::domain::webhooks::{
    Attempt, Delivery, DeliveryId, DeliveryState, PATIENCE, Webhook, WebhookId, WebhookRequest,
    next_attempt,
};

/// Events that are written down for a webhook at once.
const AT_ONCE: i64 = 200;

/// How long a delivery that is being sent is left alone by others.
const LEASE: Duration = Duration::seconds(90);

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
        ))
        .execute(conn)?;
    Ok(())
}

/// Changes a webhook. One that is enabled again starts with the events to come.
pub(crate) fn replace(
    conn: &mut Connection,
    before: &Webhook,
    request: &WebhookRequest,
) -> Result<(), StorageError> {
    let key = before.id.to_string();
    diesel::update(webhooks::table.find(&key))
        .set((
            webhooks::url.eq(&request.url),
            webhooks::site.eq(request.site.as_ref().map(|site| site.as_str())),
            webhooks::kinds.eq(row::text("types", &request.types)?),
            webhooks::note.eq(request.note.as_ref().map(|note| note.as_str())),
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

/// Has a delivery sent again, now. None if there is no such delivery to that webhook.
pub(crate) fn resend(
    conn: &mut Connection,
    webhook: WebhookId,
    id: DeliveryId,
) -> Result<Option<Delivery>, StorageError> {
    let of_it = deliveries::table
        .filter(deliveries::id.eq(id.to_string()))
        .filter(deliveries::webhook.eq(webhook.to_string()));
    let found = diesel::update(of_it)
        .set((
            deliveries::state.eq(DeliveryState::Pending.as_str()),
            deliveries::attempts.eq(0),
            deliveries::next_at.eq(row::stored(time::now())),
        ))
        .execute(conn)?;
    if found == 0 {
        return Ok(None);
    }
    let sent: Sent = deliveries::table
        .find(id.to_string())
        .select(Sent::as_select())
        .first(conn)?;
    sent.checked().map(Some)
}

/// Whether there is anything to write down or to send.
pub(crate) fn anything(conn: &mut Connection, now: DateTime<Utc>) -> Result<bool, StorageError> {
    let last = events::last(conn)?;
    let behind: i64 = webhooks::table
        .filter(webhooks::disabled_at.is_null())
        .filter(webhooks::last_seq.lt(last))
        .count()
        .get_result(conn)?;
    let due: i64 = deliveries::table
        .filter(deliveries::state.eq(DeliveryState::Pending.as_str()))
        .filter(deliveries::next_at.le(row::stored(now)))
        .count()
        .get_result(conn)?;
    Ok(behind + due > 0)
}

/// Writes down a delivery of every event that a webhook wants and does not have yet.
pub(crate) fn write_down(conn: &mut Connection, now: DateTime<Utc>) -> Result<(), StorageError> {
    let rows: Vec<(Line, i64)> = webhooks::table
        .filter(webhooks::disabled_at.is_null())
        .select((Line::as_select(), webhooks::last_seq))
        .load(conn)?;
    for (line, after) in rows {
        let webhook = line.checked()?;
        // What is not wanted is passed over together with what is.
        let all = events::list(
            conn,
            &Filter {
                after,
                ..Filter::default()
            },
            AT_ONCE,
        )?;
        let Some(last) = all.last().map(|event| event.seq) else {
            continue;
        };
        let request = &webhook.request;
        for event in &all {
            let site = request.site.as_ref().is_none_or(|site| *site == event.site);
            let kind = request.types.is_empty() || request.types.contains(&event.kind);
            if site && kind {
                add(conn, webhook.id, event.seq, now)?;
            }
        }
        diesel::update(webhooks::table.find(webhook.id.to_string()))
            .set(webhooks::last_seq.eq(last))
            .execute(conn)?;
    }
    Ok(())
}

fn add(
    conn: &mut Connection,
    webhook: WebhookId,
    seq: i64,
    now: DateTime<Utc>,
) -> Result<(), StorageError> {
    diesel::insert_into(deliveries::table)
        .values((
            deliveries::id.eq(DeliveryId::new().to_string()),
            deliveries::webhook.eq(webhook.to_string()),
            deliveries::seq.eq(seq),
            deliveries::state.eq(DeliveryState::Pending.as_str()),
            deliveries::attempts.eq(0),
            deliveries::next_at.eq(row::stored(now)),
            deliveries::created_at.eq(row::stored(now)),
        ))
        .execute(conn)?;
    Ok(())
}

/// Something to be sent.
pub(crate) struct Parcel {
    pub(crate) delivery: DeliveryId,
    pub(crate) webhook: WebhookId,
    pub(crate) url: String,
    pub(crate) secret: String,
    pub(crate) body: String,
    pub(crate) attempts: i32,
}

/// Takes what is due, the oldest first; nobody else sends it for a while.
pub(crate) fn take(
    conn: &mut Connection,
    now: DateTime<Utc>,
    most: i64,
) -> Result<Vec<Parcel>, StorageError> {
    let rows: Vec<(Sent, String, String)> = deliveries::table
        .inner_join(webhooks::table.on(webhooks::id.eq(deliveries::webhook)))
        .filter(webhooks::disabled_at.is_null())
        .filter(deliveries::state.eq(DeliveryState::Pending.as_str()))
        .filter(deliveries::next_at.le(row::stored(now)))
        .order((deliveries::next_at, deliveries::id))
        .limit(most)
        .select((Sent::as_select(), webhooks::url, webhooks::secret))
        .load(conn)?;
    let mut parcels = Vec::with_capacity(rows.len());
    for (sent, url, secret) in rows {
        diesel::update(deliveries::table.find(&sent.id))
            .set(deliveries::next_at.eq(row::stored(now + LEASE)))
            .execute(conn)?;
        let delivery = sent.checked()?;
        let event = events::find(conn, delivery.seq)?.ok_or_else(|| {
            let key = delivery.id;
            named(&key).bad("its event is not there")
        })?;
        parcels.push(Parcel {
            delivery: delivery.id,
            webhook: delivery.webhook,
            url,
            secret,
            body: row::text("an event", &event)?,
            attempts: delivery.attempts,
        });
    }
    Ok(parcels)
}

/// Notes how an attempt ended. `part` of one spreads the next ones.
pub(crate) fn note(
    conn: &mut Connection,
    parcel: &Parcel,
    attempt: &Attempt,
    now: DateTime<Utc>,
    part: f64,
) -> Result<(), StorageError> {
    let attempts = parcel.attempts + 1;
    let next = attempt
        .error
        .as_ref()
        .and_then(|_| next_attempt(attempts, now, part));
    let state = match (&attempt.error, next) {
        (None, _) => DeliveryState::Delivered,
        (Some(_), Some(_)) => DeliveryState::Pending,
        (Some(_), None) => DeliveryState::Failed,
    };
    diesel::update(deliveries::table.find(parcel.delivery.to_string()))
        .set((
            deliveries::state.eq(state.as_str()),
            deliveries::attempts.eq(attempts),
            deliveries::next_at.eq(next.map(row::stored)),
            deliveries::last_at.eq(row::stored(now)),
            deliveries::last_code.eq(attempt.status.map(i32::from)),
            deliveries::last_error.eq(attempt.error.as_deref()),
        ))
        .execute(conn)?;
    if attempt.error.is_none() {
        diesel::update(webhooks::table.find(parcel.webhook.to_string()))
            .set(webhooks::failing_since.eq(None::<NaiveDateTime>))
            .execute(conn)?;
        return Ok(());
    }
    failed(conn, parcel.webhook, attempt.gone(), now)
}

/// A webhook that has failed for too long, or says it is gone, is disabled.
fn failed(
    conn: &mut Connection,
    id: WebhookId,
    gone: bool,
    now: DateTime<Utc>,
) -> Result<(), StorageError> {
    let Some(webhook) = find(conn, id)? else {
        return Ok(());
    };
    let since = webhook.failing_since.unwrap_or(now);
    let why = if gone {
        Some("the receiver answered that it is gone (410)".to_owned())
    } else if now - since >= PATIENCE {
        Some(format!(
            "every delivery failed for {} days",
            PATIENCE.num_days()
        ))
    } else {
        None
    };
    let key = id.to_string();
    diesel::update(webhooks::table.find(&key))
        .set(webhooks::failing_since.eq(row::stored(since)))
        .execute(conn)?;
    if let Some(why) = why {
        diesel::update(webhooks::table.find(&key))
            .set((
                webhooks::disabled_at.eq(row::stored(now)),
                webhooks::disabled_why.eq(why),
            ))
            .execute(conn)?;
    }
    Ok(())
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
            state: DeliveryState::parse(&self.state)
                .ok_or_else(|| row.bad(format!("unknown state {}", self.state)))?,
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
