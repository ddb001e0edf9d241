//! The web server before the service: the address it is bound to, and what a request goes through.

use std::net::{SocketAddr, TcpListener};
use std::sync::Arc;

use actix_web::dev::Server;
use actix_web::middleware::{Compress, Condition, from_fn};
use actix_web::{App, HttpServer, web};
use socket2::{Domain, Protocol, Socket, Type};

use crate::http::{self, HttpState, LARGEST_BODY, Operations};
use crate::service::Service;
use crate::settings::Settings;
use crate::{board, contract, routes};

/// Threads that answer requests; the work itself is done elsewhere.
const WORKERS: usize = 2;

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
    let declared = contract::declared().map_err(std::io::Error::other)?;
    let operations = web::Data::new(
        Operations::of(&declared)
            .and(routes::page_operations())
            .and(board::operations()),
    );
    let contract = contract::published(declared);
    let proxies = settings.proxies().map_err(std::io::Error::other)?;
    let state = web::Data::new(HttpState::new(settings.body_timeout(), proxies));
    let service = web::Data::from(service);
    let origins = settings.allowed_origins.clone();
    let server = HttpServer::new(move || {
        App::new()
            .app_data(service.clone())
            .app_data(operations.clone())
            .app_data(state.clone())
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
