//! The running service: its database, its solvers, and the web server in front of them.

use std::net::SocketAddr;
use std::sync::Arc;

use actix_web::dev::Server;
use actix_web::{App, HttpServer, web};

use crate::contract;
use crate::http::{self, LARGEST_BODY, Paths};
use crate::jobs::Jobs;
use crate::routes;
use crate::storage::{Place, StorageError, Store};

/// Threads that answer requests; the work itself is done elsewhere.
const WORKERS: usize = 2;

/// What handlers work with.
pub(crate) struct Service {
    pub(crate) store: Store,
    pub(crate) jobs: Jobs,
    /// Whether webhooks may lead into private networks.
    pub(crate) private_webhooks: bool,
}

impl Service {
    /// Opens the database and starts the solver threads.
    pub(crate) fn start(
        database: &Place,
        solvers: usize,
        private_webhooks: bool,
    ) -> Result<Arc<Self>, StorageError> {
        let store = Store::open(database)?;
        let jobs = Jobs::start(store.clone(), solvers, private_webhooks);
        Ok(Arc::new(Self {
            store,
            jobs,
            private_webhooks,
        }))
    }
}

/// A bound web server, and the addresses it is bound to.
pub(crate) fn bind(
    service: Arc<Service>,
    listen: SocketAddr,
) -> std::io::Result<(Server, Vec<SocketAddr>)> {
    let contract = contract::document();
    let paths = web::Data::new(Paths::of(&contract));
    let service = web::Data::from(service);
    let server = HttpServer::new(move || {
        App::new()
            .app_data(service.clone())
            .app_data(paths.clone())
            .app_data(web::PayloadConfig::new(LARGEST_BODY))
            .wrap(actix_web::middleware::from_fn(http::follow))
            .configure(|app| routes::pages(app, &contract))
            .configure(routes::plain)
            .default_service(web::to(http::unmatched))
    })
    .workers(WORKERS)
    .shutdown_timeout(10)
    .bind(listen)?;
    let addresses = server.addrs();
    Ok((server.run(), addresses))
}
