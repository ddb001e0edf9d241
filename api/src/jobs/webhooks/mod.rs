//! Delivers events to webhooks: writes down what is to be sent, sends it, tries again.
//!
//! The schedule is in the database, so a restart loses nothing, and several processes share it:
//! whoever takes a delivery has it to himself for a while.
//!
//! Receivers do not wait for each other. Each webhook has one delivery under way at the most, in
//! order, and those of all webhooks are under way side by side; one that is slow costs a connection
//! and no thread.

mod places;
mod post;

use std::collections::BTreeMap;
use std::time::{Duration, Instant};

use futures_util::StreamExt;
use futures_util::future::{Either, select};
use futures_util::stream::FuturesUnordered;
use tokio::time::sleep;

use super::Shared;
use crate::domain::time;
use crate::domain::webhooks::WebhookId;
use crate::metrics;
use crate::problem::Chain;
use crate::storage::StorageError;
use crate::storage::webhooks::{self, Parcel};
use places::Places;
use post::Postman;

/// How often to look.
const PATROL: Duration = Duration::from_millis(500);

/// How long a receiver that did not answer is left alone.
const SILENCE: Duration = Duration::from_secs(5);

/// Threads that look up names; a name server that does not answer holds one up.
const LOOKING_UP: usize = 32;

/// How long deliveries under way may go on when the service stops. What is cut off is sent again.
const LAST: Duration = Duration::from_secs(2);

/// Delivers until the service stops.
pub(super) fn deliver(shared: &Shared, private_allowed: bool) {
    let runtime = tokio::runtime::Builder::new_current_thread()
        .enable_all()
        .max_blocking_threads(LOOKING_UP)
        .build();
    match runtime {
        Ok(runtime) => {
            runtime.block_on(delivering(shared, &Postman::new(private_allowed)));
            // Nobody waits for a name that is still looked up.
            runtime.shutdown_background();
        }
        Err(error) => tracing::error!(cause = %Chain(&error), "webhooks cannot be delivered"),
    }
}

/// Looks for deliveries, and sends them side by side.
async fn delivering(shared: &Shared, postman: &Postman) {
    let mut places = Places::default();
    let mut under_way = FuturesUnordered::new();
    while !shared.stopping() {
        let heard = shared.alarm.heard();
        let taken = round(shared, &mut places).unwrap_or_else(|error| {
            tracing::error!(cause = %Chain(&error), "webhooks are not delivered");
            BTreeMap::new()
        });
        for (webhook, parcels) in taken {
            under_way.push(async move { (webhook, send(shared, postman, &parcels).await) });
        }
        if under_way.is_empty() {
            shared.alarm.wait(heard, PATROL);
            continue;
        }
        let next = select(under_way.next(), Box::pin(sleep(PATROL))).await;
        if let Either::Left((Some((webhook, took)), _)) = next {
            places.end(webhook, took);
        }
    }
    let last = async { while under_way.next().await.is_some() {} };
    select(Box::pin(last), Box::pin(sleep(LAST))).await;
}

/// Takes what is due for webhooks that have a place.
fn round(
    shared: &Shared,
    places: &mut Places,
) -> Result<BTreeMap<WebhookId, Vec<Parcel>>, StorageError> {
    let now = time::now();
    let (free, closed) = (places.free(), places.closed());
    let mut by_webhook: BTreeMap<WebhookId, Vec<Parcel>> = BTreeMap::new();
    let store = &shared.store;
    if free == 0 || !store.read_now(|conn| webhooks::anything(conn, now, &closed))? {
        return Ok(by_webhook);
    }
    let parcels: Vec<Parcel> = store.write_now(|conn| -> Result<_, StorageError> {
        webhooks::write_down(conn, now)?;
        webhooks::take(conn, now, &closed, free)
    })?;
    for parcel in parcels {
        by_webhook.entry(parcel.webhook).or_default().push(parcel);
    }
    // What has no place now is taken again when its lease is over.
    by_webhook.retain(|webhook, _| places.begin(*webhook));
    Ok(by_webhook)
}

/// Sends what was taken for one webhook, one after the other, and says how long the slowest took.
async fn send(shared: &Shared, postman: &Postman, parcels: &[Parcel]) -> Duration {
    let mut slowest = Duration::ZERO;
    for parcel in parcels {
        if shared.stopping() {
            break;
        }
        let begun = Instant::now();
        let attempt = postman.send(parcel, time::now()).await;
        slowest = slowest.max(begun.elapsed());
        metrics::delivered(if attempt.error.is_none() {
            "delivered"
        } else {
            "failed"
        });
        let noted: Result<(), StorageError> = shared
            .store
            .write_now(|conn| webhooks::note(conn, parcel, &attempt, time::now(), spread(parcel)));
        if let Err(error) = noted {
            tracing::error!(cause = %Chain(&error), "a delivery is not noted");
        }
        if attempt.error.is_some() && attempt.status.is_none() {
            // A receiver that does not answer is not asked at once for each of many events.
            sleep(SILENCE).await;
            break;
        }
    }
    slowest
}

/// A number from 0 to 1 that differs from delivery to delivery.
fn spread(parcel: &Parcel) -> f64 {
    let text = parcel.delivery.to_string();
    let sum: u32 = text.bytes().rev().take(8).map(u32::from).sum();
    f64::from(sum % 97) / 97.0
}
