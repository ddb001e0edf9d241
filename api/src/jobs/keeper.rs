//! Keeps the lease on a plan while it is searched, and listens for a cancellation by others.

use std::sync::mpsc::{Receiver, RecvTimeoutError};
use std::time::Duration;

use super::Shared;
use super::control::Control;
use crate::domain::plans::PlanId;
use crate::problem::Chain;
use crate::storage::StorageError;
use crate::storage::plans::jobs;

/// How often the lease is renewed; several times before it runs out.
const PULSE: Duration = Duration::from_secs(1);

/// Renews the lease until `done` says that the search is over. A lost lease ends the search:
/// somebody else has taken the plan up.
pub(super) fn keep(shared: &Shared, id: PlanId, control: &Control, done: &Receiver<()>) {
    while matches!(done.recv_timeout(PULSE), Err(RecvTimeoutError::Timeout)) {
        let renewed: Result<_, StorageError> = shared
            .store
            .write_now(|conn| jobs::renew(conn, id, &shared.owner, control.progress()));
        match renewed {
            Ok(Some(true)) => control.cancel(),
            Ok(Some(false)) => {}
            Ok(None) => {
                tracing::warn!(plan = %id, "the lease is lost; another solver has the plan");
                control.interrupt();
            }
            // The next pulse may do better; the lease lasts for several.
            Err(error) => tracing::error!(plan = %id, cause = %Chain(&error), "lease not renewed"),
        }
    }
}
