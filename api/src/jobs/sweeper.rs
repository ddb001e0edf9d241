//! Notes what runs out by itself: commitments that were held and not accepted in time, and leases
//! of searches whose solver went away.

use std::time::Duration;

use super::Shared;
use super::lookout::{self, Lookout};
use crate::domain::time;
use crate::problem::Chain;
use crate::storage::{StorageError, commitments};

/// How often to look.
const PATROL: Duration = Duration::from_secs(1);

/// Looks now and then until the service stops.
pub(super) fn sweep(shared: &Shared) {
    let mut lookout = Lookout::default();
    while !shared.stopping() {
        let heard = shared.alarm.heard();
        if let Err(error) = lookout::once(shared, &mut lookout) {
            tracing::error!(cause = %Chain(&error), "leases that ran out are not noted");
        }
        if let Err(error) = once(shared) {
            tracing::error!(cause = %Chain(&error), "what has run out is not noted");
        }
        shared.alarm.wait(heard, PATROL);
    }
}

fn once(shared: &Shared) -> Result<(), StorageError> {
    let now = time::now();
    let over: bool = shared
        .store
        .read_now(|conn| commitments::any_over(conn, now))?;
    if over {
        shared
            .store
            .write_now(|conn| commitments::expire(conn, now))?;
    }
    Ok(())
}
