//! Throws away what was kept for long enough.

use std::time::{Duration, Instant};

use super::Shared;
use crate::domain::keeping::Keeping;
use crate::domain::time;
use crate::problem::Chain;
use crate::storage::StorageError;
use crate::storage::pruning::{self, Kind, Step};

/// How often to look.
const PATROL: Duration = Duration::from_secs(600);

/// How long others may write between two steps.
const PAUSE: Duration = Duration::from_millis(50);

/// Looks now and then until the service stops, the first time at once.
pub(super) fn prune(shared: &Shared, keeping: &Keeping) {
    let mut next = Instant::now();
    while !shared.stopping() {
        let heard = shared.alarm.heard();
        let wait = next.saturating_duration_since(Instant::now());
        if wait.is_zero() {
            for kind in Kind::ALL {
                if let Err(error) = through(shared, keeping, kind) {
                    let what = kind.name();
                    tracing::error!(cause = %Chain(&error), "old {what} are not thrown away");
                }
            }
            next = Instant::now() + PATROL;
        } else {
            shared.alarm.wait(heard, wait);
        }
    }
}

/// Goes through all records of a kind.
fn through(shared: &Shared, keeping: &Keeping, kind: Kind) -> Result<(), StorageError> {
    let Some(before) = kind.before(keeping, time::now()) else {
        return Ok(());
    };
    let (mut after, mut gone) = (None, 0);
    while !shared.stopping() {
        let step: Step = shared
            .store
            .write_now(|conn| pruning::step(conn, kind, before, after.as_deref()))?;
        gone += step.gone;
        after = step.next;
        if after.is_none() {
            break;
        }
        std::thread::sleep(PAUSE);
    }
    if gone > 0 {
        tracing::info!(
            "{gone} {} were kept for long enough and are gone",
            kind.name()
        );
    }
    Ok(())
}
