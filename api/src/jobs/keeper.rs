//! Keeps the lease on a search while it goes on, and listens for a cancellation by others.

use std::sync::mpsc::{Receiver, RecvTimeoutError};
use std::time::{Duration, Instant};

use super::Shared;
use super::control::Control;
use crate::domain::plans::PlanId;
use crate::problem::Chain;
use crate::storage::StorageError;
use crate::storage::plans::jobs;

/// How often to look whether somebody cancelled it through another process.
const LISTEN: Duration = Duration::from_millis(100);

/// How often the lease is renewed; several times before others take it for lost.
const PULSE: Duration = Duration::from_secs(1);

/// Renews the lease until `done` says that the search is over. A lost lease ends the search:
/// somebody else has taken it up.
pub(super) fn keep(
    shared: &Shared,
    id: PlanId,
    lease: &str,
    control: &Control,
    done: &Receiver<()>,
) {
    let mut renewed = Instant::now();
    while matches!(done.recv_timeout(LISTEN), Err(RecvTimeoutError::Timeout)) {
        let due = renewed.elapsed() >= PULSE;
        let asked: Result<Option<bool>, StorageError> = if due {
            let progress = control.progress();
            shared
                .store
                .write_now(|conn| jobs::renew(conn, id, lease, progress))
        } else {
            shared
                .store
                .read_now(|conn| jobs::cancel_asked(conn, id, lease))
        };
        match asked {
            Ok(Some(true)) => control.cancel(),
            Ok(Some(false)) => {}
            Ok(None) => {
                tracing::warn!(plan = %id, "the lease is lost; another solver has the search");
                control.interrupt();
            }
            // The next pulse may do better; the lease lasts for several.
            Err(error) => tracing::error!(plan = %id, cause = %Chain(&error), "lease not renewed"),
        }
        if due {
            renewed = Instant::now();
        }
    }
}
