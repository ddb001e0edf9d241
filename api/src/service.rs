//! The running service: its database, its solvers, and the web server in front of them.

use std::net::SocketAddr;
use std::sync::Arc;

use actix_web::dev::Server;
use actix_web::middleware::{Compress, Condition, from_fn};
use actix_web::{App, HttpServer, web};

use crate::board;
use crate::contract;
use crate::domain::access::{NewKey, Token};
use crate::domain::{Refusal, time};
use crate::http::{self, Bodies, KnownKeys, LARGEST_BODY, Operations, Uploads};
use crate::jobs::Jobs;
use crate::kept::Kept;
use crate::limits::Limits;
use crate::routes;
use crate::settings::Settings;
use crate::storage::{StorageError, Store, keys};

/// Threads that answer requests; the work itself is done elsewhere.
const WORKERS: usize = 2;

/// What handlers work with.
pub(crate) struct Service {
    pub(crate) store: Store,
    pub(crate) jobs: Jobs,
    pub(crate) limits: Limits,
    pub(crate) kept: Kept,
    pub(crate) known: KnownKeys,
    pub(crate) bodies: Bodies,
    pub(crate) uploads: Uploads,
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
        let jobs = Jobs::start(
            store.clone(),
            usize::from(settings.solvers),
            settings.private_webhooks,
        );
        Ok(Arc::new(Self {
            store,
            jobs,
            limits: Limits::new(settings.requests_per_minute),
            kept: Kept::default(),
            known: KnownKeys::default(),
            bodies: Bodies::new(settings.body_timeout()),
            uploads: Uploads::new(settings.body_timeout()),
            secure_cookies: settings.secure_cookies,
            private_webhooks: settings.private_webhooks,
        }))
    }

    /// Makes the first key, if the database never had one.
    pub(crate) fn first_key(&self) -> Result<Option<Token>, Refusal> {
        self.store.write_now(|conn| {
            if keys::any(conn)? {
                return Ok(None);
            }
            let key = NewKey::first(time::now())?;
            keys::insert(conn, &key)?;
            Ok(Some(key.token))
        })
    }
}

/// A bound web server, and the addresses it is bound to.
pub(crate) fn bind(
    service: Arc<Service>,
    settings: &Settings,
) -> std::io::Result<(Server, Vec<SocketAddr>)> {
    let contract = contract::document().map_err(std::io::Error::other)?;
    let operations = web::Data::new(Operations::of(&contract));
    let service = web::Data::from(service);
    let origins = settings.allowed_origins.clone();
    let server = HttpServer::new(move || {
        App::new()
            .app_data(service.clone())
            .app_data(operations.clone())
            .app_data(web::PayloadConfig::new(LARGEST_BODY))
            .wrap(from_fn(http::guard))
            .wrap(from_fn(http::arrive))
            .wrap(Compress::default())
            .wrap(from_fn(http::follow))
            .wrap(Condition::new(!origins.is_empty(), http::cors(&origins)))
            .configure(|app| routes::pages(app, &contract))
            .configure(board::configure)
            .configure(routes::plain)
            .default_service(web::to(http::unmatched))
    })
    .workers(WORKERS)
    .shutdown_timeout(10)
    .bind(settings.listen)?;
    let addresses = server.addrs();
    Ok((server.run(), addresses))
}
