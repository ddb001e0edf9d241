//! The handlers, one file per noun. Each reads as a story: parse, load, decide, save, reply.

mod audit;
mod calculations;
mod calendars;
mod calibration;
mod capacity;
mod codes;
mod commitments;
mod demand;
mod events;
mod keys;
mod materials;
mod own_sessions;
mod pages;
mod people;
mod plans;
mod problems;
mod questions;
mod service;
mod session;
mod setup;
mod sheet;
mod sites;
mod stock;
mod webhooks;

pub(crate) use pages::pages;

use actix_web::HttpResponse;
use actix_web::http::header::LOCATION;
use serde::Serialize;
use utoipa_actix_web::service_config::ServiceConfig;

use crate::service::Service;

/// Every operation of the contract, in the order people read it.
pub(crate) fn all(app: &mut ServiceConfig<'_>) {
    // They are looked through in this order: first what is asked for all day.
    app.configure(stock::configure)
        .configure(plans::configure)
        .configure(service::configure)
        .configure(problems::configure)
        .configure(sites::configure)
        .configure(setup::configure)
        .configure(codes::configure)
        .configure(demand::configure)
        .configure(capacity::configure)
        .configure(commitments::configure)
        .configure(questions::configure)
        .configure(materials::configure)
        .configure(sheet::configure)
        .configure(calendars::configure)
        .configure(calibration::configure)
        .configure(events::configure)
        .configure(webhooks::configure)
        .configure(calculations::configure)
        .configure(session::configure)
        .configure(own_sessions::configure)
        .configure(keys::configure)
        .configure(people::configure)
        .configure(audit::configure);
}

/// The same operations, for the server.
pub(crate) fn plain(app: &mut actix_web::web::ServiceConfig) {
    all(&mut ServiceConfig::new(app));
}

/// Wakes the workers and says where to look.
fn accepted(service: &Service, path: String, body: &impl Serialize) -> HttpResponse {
    service.jobs.wake();
    HttpResponse::Accepted()
        .insert_header((LOCATION, path))
        .json(body)
}
