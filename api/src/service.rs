//! The running service: its database, its solvers, and the web server in front of them.

use std::net::{SocketAddr, TcpListener};
use std::sync::Arc;

use actix_web::dev::Server;
use actix_web::middleware::{Compress, Condition, from_fn};
use actix_web::{App, HttpServer, web};
use chrono::Duration;
use socket2::{Domain, Protocol, Socket, Type};

use crate::board;
use crate::contract;
use crate::domain::access::{NewKey, Token};
use crate::domain::queue::{Admission, Bounds};
use crate::domain::{Refusal, time};
use crate::hashing::Hashing;
use crate::http::{self, AuthCache, Bodies, LARGEST_BODY, Operations, TrustedProxies, Uploads};
use crate::jobs::Jobs;
use crate::limits::Limits;
use crate::readiness::Readiness;
use crate::refusals::Refusals;
use crate::response_cache::ResponseCache;
use crate::routes;
use crate::settings::Settings;
use crate::stopping::Stopping;
use crate::storage::{StorageError, Store, audit_context, keys};

/// Threads that answer requests; the work itself is done elsewhere.
const WORKERS: usize = 2;

/// What handlers work with.
pub(crate) struct Service {
    pub(crate) store: Store,
    pub(crate) jobs: Jobs,
    pub(crate) limits: Limits,
    pub(crate) hashing: Hashing,
    pub(crate) refusals: Refusals,
    pub(crate) kept: ResponseCache,
    pub(crate) known: AuthCache,
    pub(crate) bodies: Bodies,
    pub(crate) uploads: Uploads,
    /// Told when the service is to stop.
    pub(crate) stopping: Stopping,
    /// Bounds of what is searched in the background.
    pub(crate) bounds: Bounds,
    /// How long a session may be idle; for ever where nothing is said.
    pub(crate) session_idle: Option<Duration>,
    pub(crate) readiness: Readiness,
    /// Whether browsers are to send the session over TLS only.
    pub(crate) secure_cookies: bool,
    /// Whose word is taken for where a request comes from.
    pub(crate) trusted_proxies: TrustedProxies,
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
            bodies: Bodies::new(settings.body_timeout()),
            uploads: Uploads::new(settings.body_timeout()),
            stopping: Stopping::default(),
            bounds: settings.bounds(),
            session_idle: settings.session_idle(),
            readiness: Readiness::new(settings.ready_queue_minutes),
            secure_cookies: settings.secure_cookies,
            trusted_proxies: settings.proxies().map_err(StorageError::Open)?,
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

/// Connections that may wait to be accepted.
const BACKLOG: i32 = 1024;

/// Binds an address. Connections wait until the server takes them.
pub(crate) fn listener(address: SocketAddr) -> std::io::Result<TcpListener> {
    let socket = Socket::new(
        Domain::for_address(address),
        Type::STREAM,
        Some(Protocol::TCP),
    )?;
    // After a restart, connections of before may linger on the port.
    socket.set_reuse_address(true)?;
    socket.bind(&address.into())?;
    socket.listen(BACKLOG)?;
    Ok(socket.into())
}

/// A web server behind a bound address, and the addresses it is bound to.
pub(crate) fn serve(
    service: Arc<Service>,
    settings: &Settings,
    listener: TcpListener,
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
            .wrap(from_fn(http::refuse_slowly))
            .wrap(Compress::default())
            .wrap(from_fn(http::follow))
            .wrap(Condition::new(!origins.is_empty(), http::cors(&origins)))
            .wrap(from_fn(http::protect))
            .configure(|app| routes::pages(app, &contract))
            .configure(board::configure)
            .configure(routes::plain)
            .default_service(web::to(http::unmatched))
    })
    .workers(WORKERS)
    // Who hangs up waits for no answer: what is worked out for them alone ends.
    .h1_allow_half_closed(false)
    .disable_signals()
    .shutdown_timeout(settings.shutdown_grace_s.into())
    .listen(listener)?;
    let addresses = server.addrs();
    Ok((server.run(), addresses))
}
