//! The schedule of deliveries, with the clock as an argument.

use chrono::{DateTime, Duration, Utc};
use scheduler::scenario::SiteId;

use super::super::pool::tests::fresh;
use super::super::{Store, keys};
use super::*;
use crate::domain::access::{ActorKind, KeyId, NewKey};
use crate::domain::events::{EventData, EventKind};
use crate::domain::webhooks::{Attempt, DeliveryState};

/// A key that makes webhooks.
fn maker(store: &Store) -> Actor {
    let key = NewKey::first(time::now()).unwrap();
    let made = store.write_now(|conn| keys::insert(conn, &key)).unwrap();
    Actor {
        ends_at: made.expires_at,
        grant: made.grant(),
        name: made.name,
        id: made.id.into(),
        kind: ActorKind::Key,
    }
}

fn hook(store: &Store, types: Vec<EventKind>) -> WebhookId {
    hook_of(store, types, &maker(store))
}

fn hook_of(store: &Store, types: Vec<EventKind>, maker: &Actor) -> WebhookId {
    let request = WebhookRequest {
        url: "https://till.example/".to_owned(),
        site: None,
        types,
        note: None,
        enabled: true,
    };
    let id = WebhookId::new();
    store
        .write_now(|conn| insert(conn, id, &request, "whsec_AAAA", maker))
        .unwrap();
    id
}

fn happen(store: &Store, kind: EventKind) {
    let site = SiteId::parse("bar").unwrap();
    store
        .write_now(|conn| events::append(conn, &site, kind, &EventData::default()))
        .unwrap();
}

fn taken(store: &Store, at: DateTime<Utc>) -> Vec<Parcel> {
    store
        .write_now(|conn| -> Result<_, StorageError> {
            write_down(conn, at)?;
            take(conn, at, &[], 10)
        })
        .unwrap()
}

fn attempt(status: Option<u16>) -> Attempt {
    let good = status == Some(204);
    Attempt {
        status,
        error: (!good).then(|| "no".to_owned()),
    }
}

fn noted(store: &Store, parcel: &Parcel, status: Option<u16>, at: DateTime<Utc>) {
    store
        .write_now(|conn| note(conn, parcel, &attempt(status), at, 0.0))
        .unwrap();
}

fn found(store: &Store, id: WebhookId) -> Webhook {
    store.read_now(|conn| find(conn, id)).unwrap().unwrap()
}

#[test]
fn only_what_is_wanted_and_new_is_delivered_and_by_one_at_a_time() {
    let (_dir, store) = fresh();
    happen(&store, EventKind::SiteCreated);
    hook(&store, vec![EventKind::PlanDone]);
    happen(&store, EventKind::SetupChanged);
    happen(&store, EventKind::PlanDone);
    let now = time::now();
    let parcels = taken(&store, now);
    assert_eq!(parcels.len(), 1);
    assert!(parcels[0].body.contains("plan.done"), "{}", parcels[0].body);
    // It is with somebody; when he does not come back, it is taken again.
    assert!(taken(&store, now).is_empty());
    assert_eq!(taken(&store, now + Duration::minutes(2)).len(), 1);
}

#[test]
fn a_failure_is_tried_again_later_and_a_success_ends_it() {
    let (_dir, store) = fresh();
    let id = hook(&store, Vec::new());
    happen(&store, EventKind::PlanDone);
    let now = time::now();
    let parcel = &taken(&store, now)[0];
    noted(&store, parcel, Some(503), now);
    assert_eq!(found(&store, id).failing_since, Some(now));
    assert!(taken(&store, now + Duration::seconds(4)).is_empty());
    let again = &taken(&store, now + Duration::seconds(6))[0];
    assert_eq!(again.delivery, parcel.delivery);
    assert_eq!(again.attempts, 1);
    noted(&store, again, Some(204), now);
    assert_eq!(found(&store, id).failing_since, None);
    assert!(taken(&store, now + Duration::days(9)).is_empty());
    let log = store.read_now(|conn| log(conn, id, None, 9)).unwrap();
    assert_eq!(log[0].state, DeliveryState::Delivered);
    assert_eq!(log[0].attempts, 2);
    // By hand it is sent again under the same name.
    store.write_now(|conn| resend(conn, id, log[0].id)).unwrap();
    assert_eq!(taken(&store, time::now())[0].delivery, parcel.delivery);
}

#[test]
fn a_webhook_that_fails_for_days_is_disabled_and_so_is_one_that_is_gone() {
    let (_dir, store) = fresh();
    let (slow, gone) = (hook(&store, Vec::new()), hook(&store, Vec::new()));
    happen(&store, EventKind::PlanDone);
    let now = time::now();
    let parcels = taken(&store, now);
    let of = |id| parcels.iter().find(|parcel| parcel.webhook == id).unwrap();
    noted(&store, of(gone), Some(410), now);
    assert!(!found(&store, gone).request.enabled);
    noted(&store, of(slow), None, now);
    assert!(found(&store, slow).request.enabled);
    let later = now + Duration::days(5);
    noted(&store, of(slow), None, later);
    let disabled = found(&store, slow);
    assert!(!disabled.request.enabled);
    assert!(disabled.disabled_why.unwrap().contains("5 days"));
    // Enabled again, it starts with what comes.
    let mut request = found(&store, slow).request;
    request.enabled = true;
    happen(&store, EventKind::PlanFailed);
    let maker = maker(&store);
    store
        .write_now(|conn| {
            let before = find(conn, slow)?.unwrap();
            replace(conn, &before, &request, &maker)
        })
        .unwrap();
    happen(&store, EventKind::PlanCancelled);
    let bodies: Vec<String> = taken(&store, later + Duration::seconds(1))
        .into_iter()
        .map(|parcel| parcel.body)
        .collect();
    assert!(bodies.iter().any(|body| body.contains("plan.cancelled")));
    assert!(bodies.iter().all(|body| !body.contains("plan.failed")));
}

#[test]
fn nothing_is_delivered_for_a_maker_who_has_ended() {
    let (_dir, store) = fresh();
    let gone = maker(&store);
    let theirs = hook_of(&store, Vec::new(), &gone);
    let ours = hook(&store, Vec::new());
    happen(&store, EventKind::ALL[0]);
    let id = KeyId::try_from(gone.id).unwrap();
    store.write_now(|conn| keys::revoke(conn, &id)).unwrap();
    let parcels = taken(&store, time::now());
    let to: Vec<WebhookId> = parcels.iter().map(|parcel| parcel.webhook).collect();
    assert_eq!(to, [ours]);
    let ended = found(&store, theirs);
    assert!(!ended.request.enabled && ended.disabled_why.is_some());
}
