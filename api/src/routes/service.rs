//! Whether the service is alive, and whether it can work.

use actix_web::{HttpResponse, get, web};
use serde::Serialize;
use utoipa::ToSchema;
use utoipa_actix_web::service_config::ServiceConfig;

use crate::domain::Refusal;
use crate::metrics;
use crate::problem::{Kind, Problem, problems};
use crate::service::Service;
use crate::storage;

problems! {
    ReadyProblems: Unavailable;
    MetricsProblems: Internal;
}

/// How the service is.
#[derive(Debug, Serialize, ToSchema)]
pub(crate) struct Health {
    /// `ok` while it is.
    #[schema(example = "ok")]
    status: &'static str,
    /// Version of the program.
    #[schema(example = "0.1.0")]
    version: &'static str,
}

const OK: Health = Health {
    status: "ok",
    version: env!("CARGO_PKG_VERSION"),
};

pub(super) fn configure(app: &mut ServiceConfig<'_>) {
    app.service(read_health)
        .service(read_readiness)
        .service(read_metrics);
}

/// Tell whether the process is alive.
#[utoipa::path(
    tag = "service",
    security(()),
    responses((status = 200, description = "It is alive.", body = Health))
)]
#[get("/healthz")]
pub(crate) async fn read_health() -> HttpResponse {
    HttpResponse::Ok().json(OK)
}

/// Tell whether the database takes writes, the solvers run and the queue moves.
#[utoipa::path(
    tag = "service",
    security(()),
    responses((status = 200, description = "It can work.", body = Health), ReadyProblems)
)]
#[get("/readyz")]
pub(crate) async fn read_readiness(service: web::Data<Service>) -> Result<HttpResponse, Problem> {
    let found = service.readiness.ask(&service.store, &service.jobs).await;
    found.map_err(|what| Problem::new(Kind::Unavailable, what).retrying_after(5))?;
    Ok(HttpResponse::Ok().json(OK))
}

/// Read what the service has counted, as Prometheus reads it.
#[utoipa::path(
    tag = "service",
    responses(
        (status = 200, description = "Counters, in the text format of Prometheus.", body = String,
            content_type = "text/plain"),
        MetricsProblems
    )
)]
#[get("/metrics")]
pub(crate) async fn read_metrics(service: web::Data<Service>) -> Result<HttpResponse, Problem> {
    let queue = service
        .store
        .read(|conn| Ok::<_, Refusal>(storage::plans::jobs::queue(conn)?))
        .await?;
    let text = metrics::text(&queue).ok_or_else(|| Refusal::internal("nothing is counted"))?;
    Ok(HttpResponse::Ok()
        .content_type("text/plain; version=0.0.4; charset=utf-8")
        .body(text))
}
