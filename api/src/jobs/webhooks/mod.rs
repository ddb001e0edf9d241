//! Delivers events to webhooks: writes down what is to be sent, sends it, tries again.
//!
//! The schedule is in the database, so a restart loses nothing, and several processes share it:
//! whoever takes a delivery has it to himself for a while.

mod post;

use std::collections::BTreeMap;
use std::sync::atomic::{AtomicBool, Ordering};
use std::thread;
use std::time::Duration;

use super::Shared;
use crate::domain::time;
use crate::domain::webhooks::WebhookId;
use crate::metrics;
use crate::problem::Chain;
use crate::storage::StorageError;
use crate::storage::webhooks::{self, Parcel};
use post::Postman;

/// How often to look.
const PATROL: Duration = Duration::from_millis(500);

/// Deliveries that are taken at once.
const AT_ONCE: i64 = 64;

/// Delivers until the service stops.
pub(super) fn deliver(shared: &Shared, private_allowed: bool) {
    let postman = Postman::new(private_allowed);
    while !shared.stopping() {
        let heard = shared.alarm.heard();
        if let Err(error) = round(shared, &postman) {
            tracing::error!(cause = %Chain(&error), "webhooks are not delivered");
        }
        shared.alarm.wait(heard, PATROL);
    }
}

fn round(shared: &Shared, postman: &Postman) -> Result<(), StorageError> {
    let now = time::now();
    if !shared
        .store
        .read_now(|conn| webhooks::anything(conn, now))?
    {
        return Ok(());
    }
    let parcels: Vec<Parcel> = shared.store.write_now(|conn| -> Result<_, StorageError> {
        webhooks::write_down(conn, now)?;
        webhooks::take(conn, now, AT_ONCE)
    })?;
    let mut by_webhook: BTreeMap<WebhookId, Vec<Parcel>> = BTreeMap::new();
    for parcel in parcels {
        by_webhook.entry(parcel.webhook).or_default().push(parcel);
    }
    // One slow receiver does not hold up the others; for each, one after the other and in order.
    thread::scope(|scope| {
        for parcels in by_webhook.values() {
            scope.spawn(move || send(shared, postman, parcels));
        }
    });
    Ok(())
}

fn send(shared: &Shared, postman: &Postman, parcels: &[Parcel]) {
    // A receiver that does not answer is not asked again for each of many events.
    let silent = AtomicBool::new(false);
    for parcel in parcels {
        if shared.stopping() || silent.load(Ordering::Relaxed) {
            return;
        }
        let now = time::now();
        let attempt = postman.send(parcel, now);
        metrics::delivered(if attempt.error.is_none() {
            "delivered"
        } else {
            "failed"
        });
        silent.store(
            attempt.error.is_some() && attempt.status.is_none(),
            Ordering::Relaxed,
        );
        let noted: Result<(), StorageError> = shared
            .store
            .write_now(|conn| webhooks::note(conn, parcel, &attempt, time::now(), spread(parcel)));
        if let Err(error) = noted {
            tracing::error!(cause = %Chain(&error), "a delivery is not noted");
        }
    }
}

/// A number from 0 to 1 that differs from delivery to delivery.
fn spread(parcel: &Parcel) -> f64 {
    let text = parcel.delivery.to_string();
    let sum: u32 = text.bytes().rev().take(8).map(u32::from).sum();
    f64::from(sum % 97) / 97.0
}
