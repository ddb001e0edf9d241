//! Leases, cancelling and lost leases.

use super::super::super::pool::tests::fresh;
use super::super::super::{Store, sites};
use super::super::{NewPlan, insert, load};
use super::*;
use crate::domain::Revision;

fn queued(store: &Store) -> PlanId {
    let scenario = scheduler::sample::fixed();
    let request = PlanRequest {
        start: scenario.horizon.start,
        days: 7,
        grid_minutes: scenario.horizon.grid_minutes,
        time_limit_s: None,
        gap: None,
    };
    let id = PlanId::new();
    store
        .write_now(|conn| -> Result<_, StorageError> {
            sites::insert(conn, &scenario.site)?;
            insert(
                conn,
                &NewPlan {
                    id,
                    site: &scenario.site.id,
                    setup_revision: Revision::FIRST,
                    request: &request,
                    scenario: &scenario,
                    task: &Task::Plan,
                    parent: None,
                },
            )
        })
        .unwrap();
    id
}

fn claimed(store: &Store, owner: &str, later: Duration) -> Option<PlanId> {
    let job = store
        .write_now(|conn| claim(conn, owner, time::now() + later))
        .unwrap();
    job.map(|job| job.id)
}

fn state(store: &Store, id: PlanId) -> PlanState {
    store.read_now(|conn| load(conn, id)).unwrap().summary.state
}

#[test]
fn a_leased_plan_is_left_alone_until_the_lease_runs_out() {
    let (_dir, store) = fresh();
    let id = queued(&store);
    assert_eq!(claimed(&store, "one", Duration::zero()), Some(id));
    assert_eq!(claimed(&store, "two", Duration::zero()), None);
    assert_eq!(
        claimed(&store, "two", LEASE + Duration::seconds(1)),
        Some(id)
    );
    let progress = PlanProgress::default();
    let renewed = |owner| {
        store
            .write_now(|conn| renew(conn, id, owner, progress))
            .unwrap()
    };
    assert_eq!(renewed("one"), None);
    assert_eq!(renewed("two"), Some(false));
}

#[test]
fn cancelling_ends_a_queued_plan_and_asks_a_running_one() {
    let (_dir, store) = fresh();
    let id = queued(&store);
    claimed(&store, "one", Duration::zero());
    store.write_now(|conn| cancel(conn, id)).unwrap();
    assert_eq!(state(&store, id), PlanState::Running);
    let progress = PlanProgress::default();
    let asked = store
        .write_now(|conn| renew(conn, id, "one", progress))
        .unwrap();
    assert_eq!(asked, Some(true));
    let end = Outcome::Cancelled(None);
    assert!(
        store
            .write_now(|conn| finish(conn, id, "one", &end, progress))
            .unwrap()
    );
    assert_eq!(state(&store, id), PlanState::Cancelled);
    let second = queued(&store);
    store.write_now(|conn| cancel(conn, second)).unwrap();
    assert_eq!(state(&store, second), PlanState::Cancelled);
}

#[test]
fn a_plan_whose_lease_was_lost_is_not_finished_by_its_old_solver() {
    let (_dir, store) = fresh();
    let id = queued(&store);
    claimed(&store, "one", Duration::zero());
    claimed(&store, "two", LEASE + Duration::seconds(1));
    let end = Outcome::Cancelled(None);
    let progress = PlanProgress::default();
    assert!(
        !store
            .write_now(|conn| finish(conn, id, "one", &end, progress))
            .unwrap()
    );
    store.write_now(|conn| release(conn, id, "two")).unwrap();
    assert_eq!(state(&store, id), PlanState::Queued);
}
