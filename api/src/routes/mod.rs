//! The handlers, one file per noun. Each reads as a story: parse, load, decide, save, reply.

mod audit;
mod bundles;
mod calculations;
mod calendars;
mod calibration;
mod capacity;
mod codes;
mod commitments;
mod demand;
mod drafts;
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

pub(crate) use pages::{page_operations, pages};

use actix_web::HttpResponse;
use actix_web::http::header::LOCATION;
use serde::Serialize;
use utoipa_actix_web::service_config::ServiceConfig;

use crate::domain::Refusal;
use crate::domain::plans::PlanId;
use crate::http::answering;
use crate::problem::Problem;
use crate::service::Service;
use crate::storage::{Connection, StorageError};

/// Every operation of the contract, in the order people read it.
pub(crate) fn all(app: &mut ServiceConfig<'_>) {
    // They are looked through in this order: first what is asked for all day.
    app.configure(stock::configure)
        .configure(plans::configure)
        .configure(service::configure)
        .configure(problems::configure)
        .configure(sites::configure)
        .configure(drafts::configure)
        .configure(bundles::configure)
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

/// Makes a change and answers with what it made.
async fn changed<T, E, F>(service: &Service, change: F) -> Result<HttpResponse, Problem>
where
    T: Serialize,
    E: From<StorageError> + Send + 'static,
    Problem: From<E>,
    F: FnOnce(&mut Connection) -> Result<T, E> + Send + 'static,
{
    answering(&service.store, change, |made| HttpResponse::Ok().json(made)).await
}

/// Queues work, wakes the workers and says where to look.
async fn accepted<T, F>(
    service: &Service,
    queue: F,
    path: fn(&T) -> String,
) -> Result<HttpResponse, Problem>
where
    T: Serialize + 'static,
    F: FnOnce(&mut Connection) -> Result<T, Refusal> + Send + 'static,
{
    let tell = move |queued: &T| {
        HttpResponse::Accepted()
            .insert_header((LOCATION, path(queued)))
            .json(queued)
    };
    let answer = answering(&service.store, queue, tell).await?;
    service.jobs.wake();
    Ok(answer)
}

/// Cancels work that is queued or running.
async fn cancelled<T, E, F>(
    service: &Service,
    id: PlanId,
    cancel: F,
) -> Result<HttpResponse, Problem>
where
    T: Serialize,
    E: From<StorageError> + Send + 'static,
    Problem: From<E>,
    F: FnOnce(&mut Connection) -> Result<T, E> + Send + 'static,
{
    let tell = |job: &T| HttpResponse::Accepted().json(job);
    let answer = answering(&service.store, cancel, tell).await?;
    service.jobs.cancel(id);
    Ok(answer)
}
