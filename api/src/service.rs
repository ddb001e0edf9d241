//! The running service: its database, its solvers, and what they share with those who answer.

use std::sync::Arc;

use chrono::Duration;

use crate::auth_cache::AuthCache;
use crate::domain::access::{NewKey, Token};
use crate::domain::queue::{Admission, Bounds};
use crate::domain::{Refusal, time};
use crate::hashing::Hashing;
use crate::jobs::Jobs;
use crate::limits::Limits;
use crate::readiness::Readiness;
use crate::refusals::Refusals;
use crate::response_cache::ResponseCache;
use crate::settings::Settings;
use crate::stopping::Stopping;
use crate::storage::{StorageError, Store, audit_context, keys};

/// What handlers work with.
pub(crate) struct Service {
    pub(crate) store: Store,
    pub(crate) jobs: Jobs,
    pub(crate) limits: Limits,
    pub(crate) hashing: Hashing,
    pub(crate) refusals: Refusals,
    pub(crate) kept: ResponseCache,
    pub(crate) known: AuthCache,
    /// Told when the service is to stop.
    pub(crate) stopping: Stopping,
    /// Bounds of what is searched in the background.
    pub(crate) bounds: Bounds,
    /// How long a session may be idle; for ever where nothing is said.
    pub(crate) session_idle: Option<Duration>,
    pub(crate) readiness: Readiness,
    /// Whether browsers are to send the session over TLS only.
    pub(crate) secure_cookies: bool,
    /// Whether webhooks may lead into private networks.
    pub(crate) private_webhooks: bool,
}

impl Service {
    /// Opens the database and starts the solver threads.
    pub(crate) fn start(settings: &Settings) -> Result<Arc<Self>, StorageError> {
        let place = settings.place().map_err(StorageError::Open)?;
        let store = Store::open(&place)?;
        store.watch(&place);
        let jobs = Jobs::start(store.clone(), settings);
        Ok(Arc::new(Self {
            refusals: Refusals::new(store.clone()),
            store,
            jobs,
            limits: Limits::new(settings.requests_per_minute),
            hashing: Hashing::start(),
            kept: ResponseCache::default(),
            known: AuthCache::default(),
            stopping: Stopping::default(),
            bounds: settings.bounds(),
            session_idle: settings.session_idle(),
            readiness: Readiness::new(settings.ready_queue_minutes),
            secure_cookies: settings.secure_cookies,
            private_webhooks: settings.private_webhooks,
        }))
    }

    /// Who asks at this moment for a search, and within which bounds.
    pub(crate) fn admission(&self) -> Admission {
        Admission {
            bounds: self.bounds,
            caller: audit_context::caller(),
        }
    }

    /// Makes the first key, if the database never had one.
    /// It is kept only if `show` says that it was shown to somebody.
    pub(crate) fn first_key(
        &self,
        show: impl FnOnce(&Token) -> bool,
    ) -> Result<Option<Token>, Refusal> {
        self.store.write_now(|conn| {
            if keys::any(conn)? {
                return Ok(None);
            }
            let key = NewKey::first(time::now())?;
            keys::insert(conn, &key)?;
            if show(&key.token) {
                Ok(Some(key.token))
            } else {
                Err(Refusal::internal("the first key could not be shown"))
            }
        })
    }
}
