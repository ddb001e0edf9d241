//! Whether the service can work: its threads run, the database takes a write, and the queue moves.

use std::time::{Duration, Instant};

use chrono::TimeDelta;
use tokio::sync::Mutex;

use crate::domain::time;
use crate::jobs::Jobs;
use crate::problem::Chain;
use crate::storage::plans::waiting;
use crate::storage::{StorageError, Store, health};

/// For how long what was found counts. Strangers may ask, so they must not make us write each time.
const FRESH: Duration = Duration::from_secs(1);

/// What was found last.
#[derive(Debug)]
pub(crate) struct Readiness {
    /// How long the oldest job may wait while none is being worked on; for ever if zero.
    patience: TimeDelta,
    found: Mutex<Option<(Instant, Result<(), String>)>>,
}

impl Readiness {
    /// The queue may stand still for some minutes; for ever if 0.
    pub(crate) fn new(minutes: u32) -> Self {
        Self {
            patience: TimeDelta::minutes(i64::from(minutes)),
            found: Mutex::default(),
        }
    }

    /// What keeps the service from working, if anything does. Asked often, it looks once a second.
    pub(crate) async fn ask(&self, store: &Store, jobs: &Jobs) -> Result<(), String> {
        let mut found = self.found.lock().await;
        if let Some((at, known)) = &*found
            && at.elapsed() < FRESH
        {
            return known.clone();
        }
        let now = self.look(store, jobs).await;
        *found = Some((Instant::now(), now.clone()));
        now
    }

    async fn look(&self, store: &Store, jobs: &Jobs) -> Result<(), String> {
        let written: Result<(), StorageError> = store.write_unrecorded(health::write).await;
        written.map_err(|error| {
            tracing::error!(cause = %Chain(&error), "the database takes no writes");
            "the database takes no writes".to_owned()
        })?;
        if let Some(trouble) = jobs.trouble() {
            return Err(trouble);
        }
        let now = time::now();
        let idle = store.read(waiting::idle_since).await;
        let idle = idle.map_err(|_: StorageError| "the database does not answer".to_owned())?;
        match idle.map(|since| now - since) {
            Some(waited) if self.patience > TimeDelta::zero() && waited > self.patience => {
                Err(format!(
                    "a plan has waited for {} minutes and none is being made",
                    waited.num_minutes()
                ))
            }
            _ => Ok(()),
        }
    }
}
