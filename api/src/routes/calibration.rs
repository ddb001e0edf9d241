//! Calibration: readings in, fitted numbers out, accepted into the setup by a person.

use actix_web::{HttpResponse, get, post, web};
use utoipa_actix_web::service_config::ServiceConfig;

use crate::app;
use crate::domain::calibration::{Calibration, CalibrationAcceptance};
use crate::http::{Body, Precondition, SitePath, TypedPath, answering, etag};
use crate::problem::{Problem, problems};
use crate::service::Service;
use crate::storage::Connection;

problems! {
    ReadProblems: BadPath, UnknownSite, NoSetup, Internal;
    AcceptProblems: BadJson, BadPath, BadHeader, UnknownSite, NoSetup, ChangedSince, BodyTooLarge,
        UnsupportedMediaType, Invalid, PreconditionRequired, Internal;
}

pub(super) fn configure(app: &mut ServiceConfig<'_>) {
    app.service(read_calibration).service(accept_calibration);
}

/// Read what the site's readings say about numbers in its setup.
///
/// Fitted are: the part of each pot's power that reaches the water, from at least three temperatures
/// logged against a boil while it warms (`pots/POT/efficiency`); the heat a route's pot gives to its
/// ice bath, from temperatures while it is chilled (`routes/ROUTE/conductance`); how fast kegs that
/// are shaken take up CO2, from contents logged against a gassing (`gas_stations/STATION/uptake`).
/// The latest 5000 readings are looked at. Nothing is changed by looking.
#[utoipa::path(
    tag = "calibration",
    params(SitePath),
    responses(
        (status = 200, description = "Each number, what is in use and what was fitted.",
            body = Calibration,
            headers(("ETag" = String, description = "The setup's revision, for If-Match."))),
        ReadProblems
    )
)]
#[get("/v1/sites/{site}/calibration")]
pub(crate) async fn read_calibration(
    service: web::Data<Service>,
    TypedPath(SitePath { site }): TypedPath<SitePath>,
) -> Result<HttpResponse, Problem> {
    let found = service
        .store
        .read(move |conn| app::calibration::read(conn, &site))
        .await?;
    Ok(HttpResponse::Ok()
        .insert_header(etag(found.setup_revision))
        .json(found))
}

/// Accept fitted numbers into the setup, as a new revision of it.
///
/// A person says which. They are fitted again from the same readings, so that what is accepted is
/// what is stored; plans made from then on reckon with it.
#[utoipa::path(
    tag = "calibration",
    params(
        SitePath,
        ("If-Match" = String, Header, example = "\"3\"",
            description = "The ETag that was read with the fitted numbers, or *.")
    ),
    request_body(content = CalibrationAcceptance, description = "Which numbers, and who says so."),
    responses(
        (status = 200, description = "What the readings say about the new setup.",
            body = Calibration,
            headers(("ETag" = String, description = "The setup's new revision."))),
        AcceptProblems
    )
)]
#[post("/v1/sites/{site}/calibration/accept")]
pub(crate) async fn accept_calibration(
    service: web::Data<Service>,
    TypedPath(SitePath { site }): TypedPath<SitePath>,
    Precondition(expected): Precondition,
    Body(acceptance): Body<CalibrationAcceptance>,
) -> Result<HttpResponse, Problem> {
    let accept =
        move |conn: &mut Connection| app::calibration::accept(conn, &site, &expected, &acceptance);
    let tell = |found: &Calibration| {
        HttpResponse::Ok()
            .insert_header(etag(found.setup_revision))
            .json(found)
    };
    answering(&service.store, accept, tell).await
}
