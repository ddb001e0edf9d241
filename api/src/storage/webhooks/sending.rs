//! What is sent to webhooks: written down, taken, tried, noted.

use chrono::{DateTime, Duration, NaiveDateTime, Utc};
use diesel::dsl::min;
use diesel::prelude::*;

use super::{Line, Sent, disable_orphans, find, named};
use crate::domain::time;
use crate::domain::webhooks::{
    Attempt, Delivery, DeliveryId, DeliveryState, PATIENCE, WebhookId, next_attempt,
};
use crate::storage::events::{self, Filter};
use crate::storage::row;
use crate::storage::schema::{webhook_deliveries as deliveries, webhooks};
use crate::storage::{Connection, StorageError};

/// Events that are written down for a webhook at once.
const AT_ONCE: i64 = 200;

/// Deliveries that are taken for a webhook at once: so few that they are sent while the lease lasts,
/// even if the receiver takes as long as it may for each.
const TAKEN: i64 = 4;

/// How long a delivery that is being sent is left alone by others.
const LEASE: Duration = Duration::seconds(90);

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
            deliveries::state.eq(DeliveryState::Pending.into_str()),
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

/// Whether there is anything to write down, or to send to others than those.
pub(crate) fn anything(
    conn: &mut Connection,
    now: DateTime<Utc>,
    closed: &[WebhookId],
) -> Result<bool, StorageError> {
    let last = events::latest(conn)?;
    let behind: i64 = webhooks::table
        .filter(webhooks::disabled_at.is_null())
        .filter(webhooks::last_seq.lt(last))
        .count()
        .get_result(conn)?;
    let due: i64 = deliveries::table
        .filter(deliveries::state.eq(DeliveryState::Pending.into_str()))
        .filter(deliveries::next_at.le(row::stored(now)))
        .filter(deliveries::webhook.ne_all(names(closed)))
        .count()
        .get_result(conn)?;
    Ok(behind + due > 0)
}

/// Writes down a delivery of every event that a webhook wants and does not have yet. A webhook whose
/// maker has ended is disabled first.
pub(crate) fn write_down(conn: &mut Connection, now: DateTime<Utc>) -> Result<(), StorageError> {
    disable_orphans(conn, now)?;
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
            deliveries::state.eq(DeliveryState::Pending.into_str()),
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

/// Takes what is due for so many webhooks that are not closed, of each the oldest first; nobody else
/// sends it for a while.
pub(crate) fn take(
    conn: &mut Connection,
    now: DateTime<Utc>,
    closed: &[WebhookId],
    most: usize,
) -> Result<Vec<Parcel>, StorageError> {
    let due: Vec<String> = deliveries::table
        .inner_join(webhooks::table.on(webhooks::id.eq(deliveries::webhook)))
        .filter(webhooks::disabled_at.is_null())
        .filter(deliveries::state.eq(DeliveryState::Pending.into_str()))
        .filter(deliveries::next_at.le(row::stored(now)))
        .filter(deliveries::webhook.ne_all(names(closed)))
        .group_by(deliveries::webhook)
        .order(min(deliveries::next_at))
        .limit(i64::try_from(most).unwrap_or(i64::MAX))
        .select(deliveries::webhook)
        .load(conn)?;
    let mut parcels = Vec::new();
    for webhook in due {
        parcels.extend(take_for(conn, &webhook, now)?);
    }
    Ok(parcels)
}

fn names(webhooks: &[WebhookId]) -> Vec<String> {
    webhooks.iter().map(WebhookId::to_string).collect()
}

/// Takes what is due for one webhook.
fn take_for(
    conn: &mut Connection,
    webhook: &str,
    now: DateTime<Utc>,
) -> Result<Vec<Parcel>, StorageError> {
    let rows: Vec<(Sent, String, String)> = deliveries::table
        .inner_join(webhooks::table.on(webhooks::id.eq(deliveries::webhook)))
        .filter(deliveries::webhook.eq(webhook))
        .filter(deliveries::state.eq(DeliveryState::Pending.into_str()))
        .filter(deliveries::next_at.le(row::stored(now)))
        .order((deliveries::next_at, deliveries::id))
        .limit(TAKEN)
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
            deliveries::state.eq(state.into_str()),
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
