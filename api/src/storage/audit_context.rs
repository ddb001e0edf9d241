//! Who asks for the change at hand. What a request writes and the entry in the audit trail are one
//! transaction, without the handlers having to think of it.

use std::future::Future;
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};

use scheduler::scenario::SiteId;

use super::{Connection, StorageError, audit, repeats};
use crate::domain::access::Actor;
use crate::domain::plans::PlanId;
use crate::domain::repeats::{Answer, RepeatKey};

tokio::task_local! {
    static CURRENT: Arc<AuditContext>;
}

/// A request that may change something.
#[derive(Debug)]
pub(crate) struct AuditContext {
    pub(crate) actor: Actor,
    pub(crate) operation: String,
    pub(crate) method: String,
    pub(crate) path: String,
    pub(crate) site: Option<SiteId>,
    pub(crate) plan: Option<PlanId>,
    pub(crate) request_id: String,
    /// The caller's name for this very request, if there is one.
    pub(crate) repeat: Option<RepeatKey>,
    /// Whether it is in the audit trail already.
    pub(crate) recorded: AtomicBool,
}

/// Does something on behalf of a request.
pub(crate) async fn following<F: Future>(trail: AuditContext, work: F) -> F::Output {
    CURRENT.scope(Arc::new(trail), work).await
}

/// The request that is being answered, if it may change something.
pub(super) fn current() -> Option<Arc<AuditContext>> {
    CURRENT.try_with(Arc::clone).ok()
}

/// Who asks for the change at hand, as the queue knows callers; nobody outside of a request.
pub(crate) fn caller() -> Option<String> {
    let trail = current()?;
    Some(format!(
        "{}:{}",
        trail.actor.kind.into_str(),
        trail.actor.id
    ))
}

impl AuditContext {
    /// Notes that the request has changed something; once, however often it writes.
    pub(super) fn record(&self, conn: &mut Connection) -> Result<(), StorageError> {
        if self.recorded.load(Ordering::SeqCst) {
            return Ok(());
        }
        audit::append(conn, self)?;
        if let Some(key) = &self.repeat {
            repeats::changed(conn, key)?;
        }
        self.recorded.store(true, Ordering::SeqCst);
        Ok(())
    }

    /// Keeps what the request is answered, if it has a name of its own.
    pub(super) fn answered(
        &self,
        conn: &mut Connection,
        answer: Option<&Answer>,
    ) -> Result<(), StorageError> {
        match (&self.repeat, answer) {
            (Some(key), Some(answer)) => repeats::answered(conn, key, answer),
            _ => Ok(()),
        }
    }
}
