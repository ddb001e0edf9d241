//! Turns, leases, lost leases, cancelling, and rows that cannot be read.

use std::time::Duration;

use super::super::super::pool::tests::fresh;
use super::super::super::{Store, sites};
use super::super::{NewPlan, insert, load};
use super::*;
use crate::domain::Revision;
use crate::domain::queue::GIVE_UP;

fn asked(store: &Store, site: &str, caller: &str) -> PlanId {
    let mut scenario = scheduler::sample::fixed();
    scenario.site.id = SiteId::try_from(site.to_owned()).unwrap();
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
                    caller: Some(caller),
                },
            )
        })
        .unwrap();
    id
}

fn queued(store: &Store) -> PlanId {
    asked(store, "long-bar", "key:one")
}

fn here(lease: &str) -> Here {
    Here {
        lease: lease.to_owned(),
        lived: Duration::ZERO,
        busy: false,
    }
}

fn claimed(store: &Store, lease: &str) -> Option<PlanId> {
    let job = store.write_now(|conn| claim(conn, &here(lease))).unwrap();
    job.map(|job| job.id)
}

fn renewed(store: &Store, id: PlanId, lease: &str) -> Option<bool> {
    let progress = PlanProgress::default();
    store
        .write_now(|conn| renew(conn, id, lease, progress))
        .unwrap()
}

fn finished(store: &Store, id: PlanId, lease: &str) -> bool {
    let (end, progress) = (Outcome::Cancelled(None), PlanProgress::default());
    store
        .write_now(|conn| finish(conn, id, lease, &end, progress))
        .unwrap()
}

/// Everything that is leased is taken back, as if all processes had died.
fn everybody_dies(store: &Store) -> usize {
    let all = store.read_now(leased).unwrap();
    let taken = all
        .iter()
        .filter(|one| store.write_now(|conn| take_back(conn, one, true)).unwrap());
    taken.count()
}

fn state(store: &Store, id: PlanId) -> PlanState {
    store.read_now(|conn| load(conn, id)).unwrap().summary.state
}

#[test]
fn sites_and_callers_take_turns() {
    let (_dir, store) = fresh();
    let first = asked(&store, "long-bar", "key:one");
    let second = asked(&store, "long-bar", "key:one");
    let other_caller = asked(&store, "long-bar", "key:two");
    let other_site = asked(&store, "harbour-bar", "key:one");
    let order = [first, other_site, other_caller, second];
    for (n, id) in order.into_iter().enumerate() {
        assert_eq!(claimed(&store, &format!("lease-{n}")), Some(id), "{n}");
    }
    assert_eq!(claimed(&store, "last"), None);
}

#[test]
fn only_the_newest_lease_counts() {
    let (_dir, store) = fresh();
    let id = queued(&store);
    assert_eq!(claimed(&store, "one"), Some(id));
    assert_eq!(claimed(&store, "two"), None);
    assert_eq!(everybody_dies(&store), 1);
    assert_eq!(claimed(&store, "two"), Some(id));
    assert_eq!(renewed(&store, id, "one"), None);
    assert!(!finished(&store, id, "one"));
    assert_eq!(renewed(&store, id, "two"), Some(false));
    store.write_now(|conn| release(conn, id, "two")).unwrap();
    assert_eq!(state(&store, id), PlanState::Queued);
}

#[test]
fn a_lease_that_was_renewed_meanwhile_is_not_taken_back() {
    let (_dir, store) = fresh();
    let id = queued(&store);
    claimed(&store, "one");
    let seen = store.read_now(leased).unwrap();
    assert_eq!(renewed(&store, id, "one"), Some(false));
    let taken = store
        .write_now(|conn| take_back(conn, &seen[0], true))
        .unwrap();
    assert!(!taken);
    assert_eq!(state(&store, id), PlanState::Running);
}

#[test]
fn a_search_that_processes_die_with_is_searched_alone_and_given_up_in_the_end() {
    let (_dir, store) = fresh();
    let guilty = queued(&store);
    let innocent = queued(&store);
    for n in 0..GIVE_UP {
        let mut here = here(&format!("lease-{n}"));
        here.lived = Duration::from_secs(3600);
        let job = store.write_now(|conn| claim(conn, &here)).unwrap().unwrap();
        assert_eq!(job.id, guilty);
        assert_eq!(job.alone, n >= 3, "{n}");
        here.lived = Duration::ZERO;
        assert_eq!(everybody_dies(&store), 1);
        if n >= 3 && n + 1 < GIVE_UP {
            // A process that has just begun takes up the innocent.
            let job = store.write_now(|conn| claim(conn, &here)).unwrap().unwrap();
            assert_eq!((job.id, job.alone), (innocent, false));
            store
                .write_now(|conn| release(conn, innocent, &here.lease))
                .unwrap();
        }
    }
    assert_eq!(state(&store, guilty), PlanState::Failed);
    let resource = store.read_now(|conn| load(conn, guilty)).unwrap();
    let failure = resource.summary.failure.unwrap();
    assert_eq!(failure.code, "set_aside");
    assert_eq!(state(&store, innocent), PlanState::Queued);
}

#[test]
fn a_suspect_whose_turn_has_come_waits_until_nothing_else_is_searched() {
    let (_dir, store) = fresh();
    let id = queued(&store);
    for n in 0..3 {
        assert_eq!(claimed(&store, &format!("lease-{n}")), Some(id));
        assert_eq!(everybody_dies(&store), 1);
    }
    let _after = queued(&store);
    let mut here = here("again");
    here.lived = Duration::from_secs(3600);
    here.busy = true;
    let job = store.write_now(|conn| claim(conn, &here)).unwrap();
    assert!(job.is_none(), "{job:?}");
    here.busy = false;
    let job = store.write_now(|conn| claim(conn, &here)).unwrap();
    assert_eq!(job.map(|job| (job.id, job.alone)), Some((id, true)));
}

#[test]
fn cancelling_ends_a_queued_plan_and_asks_a_running_one() {
    let (_dir, store) = fresh();
    let id = queued(&store);
    claimed(&store, "one");
    store.write_now(|conn| cancel(conn, id)).unwrap();
    assert_eq!(state(&store, id), PlanState::Running);
    assert_eq!(renewed(&store, id, "one"), Some(true));
    assert!(finished(&store, id, "one"));
    assert_eq!(state(&store, id), PlanState::Cancelled);
    let second = queued(&store);
    store.write_now(|conn| cancel(conn, second)).unwrap();
    assert_eq!(state(&store, second), PlanState::Cancelled);
    // A plan is no question.
    let refused = store.write_now(|conn| cancel_question(conn, second, None));
    assert!(matches!(
        refused,
        Err(crate::domain::Refusal::UnknownQuestion(_))
    ));
}

#[test]
fn what_was_cancelled_before_its_solver_died_is_not_taken_up_again() {
    let (_dir, store) = fresh();
    let id = queued(&store);
    claimed(&store, "one");
    store.write_now(|conn| cancel(conn, id)).unwrap();
    assert_eq!(everybody_dies(&store), 1);
    assert_eq!(state(&store, id), PlanState::Cancelled);
    assert_eq!(claimed(&store, "two"), None);
}

#[test]
fn a_row_that_cannot_be_read_is_set_aside_and_the_queue_goes_on() {
    let (_dir, store) = fresh();
    let broken = queued(&store);
    let sound = queued(&store);
    store
        .write_now(|conn| -> Result<_, StorageError> {
            diesel::update(plans::table.find(broken.to_string()))
                .set(plans::scenario.eq("{\"setup\":"))
                .execute(conn)?;
            Ok(())
        })
        .unwrap();
    assert_eq!(claimed(&store, "one"), Some(sound));
    let resource = store.read_now(|conn| load(conn, broken)).unwrap();
    assert_eq!(resource.summary.state, PlanState::Failed);
    assert_eq!(resource.summary.failure.unwrap().code, "set_aside");
}

#[test]
fn a_queue_that_nobody_works_on_is_seen() {
    use super::super::waiting::idle_since;
    let (_dir, store) = fresh();
    let idle = || store.read_now(idle_since).unwrap();
    assert_eq!(idle(), None);
    let _ = queued(&store);
    assert!(idle().is_some_and(|since| since <= crate::domain::time::now()));
    let _ = queued(&store);
    assert!(claimed(&store, "one").is_some());
    assert_eq!(idle(), None, "one of them is being made");
}
