//! Calendars: a plan's work as iCalendar, by a secret address that can be revoked.

use actix_web::http::header::{CACHE_CONTROL, LOCATION};
use actix_web::{HttpResponse, delete, get, post, web};
use scheduler::scenario::SiteId;
use serde::{Deserialize, Serialize};
use utoipa::{IntoParams, ToSchema};
use utoipa_actix_web::service_config::ServiceConfig;

use crate::app;
use crate::domain::Refusal;
use crate::domain::access::Actor;
use crate::domain::calendars::{CalendarAddress, CalendarFeed, CalendarId, CalendarRequest};
use crate::http::{Body, SitePath, TypedPath, shown_once};
use crate::problem::{Problem, problems};
use crate::service::Service;
use crate::storage::{calendars, sites};

problems! {
    CreateProblems: BadJson, BadPath, UnknownSite, BodyTooLarge, UnsupportedMediaType, Invalid,
        SecretShown, Internal;
    ListProblems: BadPath, UnknownSite, Internal;
    RevokeProblems: BadPath, UnknownSite, UnknownCalendar, Internal;
    ReadProblems: BadPath, UnknownCalendar, Internal;
}

/// A site's calendar feeds.
#[derive(Debug, Serialize, ToSchema)]
pub(crate) struct CalendarList {
    /// The feeds, oldest first; their addresses are not shown.
    calendars: Vec<CalendarFeed>,
}

/// A path that names a calendar feed of a site.
#[derive(Debug, Deserialize, IntoParams)]
#[into_params(parameter_in = Path)]
pub(crate) struct CalendarPath {
    /// The site's id.
    #[param(value_type = String, pattern = "^[a-z0-9_-]{1,64}$", example = "harbour-bar")]
    site: SiteId,
    /// The feed's id.
    #[param(value_type = String, format = "uuid", example = "01975c1e-7a58-7b3e-9d2c-5d1f0a4b6c7d")]
    calendar: CalendarId,
}

/// A path that is a secret.
#[derive(Debug, Deserialize, IntoParams)]
#[into_params(parameter_in = Path)]
pub(crate) struct SecretPath {
    /// The secret part of the address.
    #[param(
        pattern = "^[0-9a-f]{64}$",
        example = "5f2b0c7d5f2b0c7d5f2b0c7d5f2b0c7d5f2b0c7d5f2b0c7d5f2b0c7d5f2b0c7d"
    )]
    secret: String,
}

pub(super) fn configure(app: &mut ServiceConfig<'_>) {
    app.service(list_calendars)
        .service(create_calendar)
        .service(revoke_calendar)
        .service(read_calendar);
}

/// List a site's calendar feeds.
#[utoipa::path(
    tag = "calendars",
    params(SitePath),
    responses((status = 200, description = "The feeds.", body = CalendarList), ListProblems)
)]
#[get("/v1/sites/{site}/calendars")]
pub(crate) async fn list_calendars(
    service: web::Data<Service>,
    TypedPath(SitePath { site: id }): TypedPath<SitePath>,
) -> Result<HttpResponse, Problem> {
    let found = service
        .store
        .read(move |conn| {
            let zone = sites::load(conn, &id)?.time_zone;
            Ok::<_, Refusal>(calendars::list(conn, &id, zone)?)
        })
        .await?;
    Ok(HttpResponse::Ok().json(CalendarList { calendars: found }))
}

/// Make a calendar feed: the published plan's work, for all or for one role.
///
/// The address is a secret that is shown this once; subscribe to it in any calendar program. It leads
/// nowhere any more once whoever made it has ended: a key that was revoked or ran out, or a person who
/// is gone.
#[utoipa::path(
    tag = "calendars",
    params(SitePath),
    request_body(content = CalendarRequest, description = "Whose work, and what the feed is for."),
    responses(
        (status = 201, description = "The feed, with its secret address.", body = CalendarAddress,
            headers(("Location" = String, description = "The secret path of the calendar."))),
        CreateProblems
    )
)]
#[post("/v1/sites/{site}/calendars")]
pub(crate) async fn create_calendar(
    service: web::Data<Service>,
    actor: Actor,
    TypedPath(SitePath { site: id }): TypedPath<SitePath>,
    Body(request): Body<CalendarRequest>,
) -> Result<HttpResponse, Problem> {
    let (feed, path) = service
        .store
        .write(move |conn| app::calendars::make(conn, &id, &request, &actor))
        .await?;
    Ok(shown_once(
        HttpResponse::Created()
            .insert_header((LOCATION, path.as_str()))
            .json(CalendarAddress { feed, path }),
    ))
}

/// Revoke a calendar feed: its address leads nowhere from now on.
#[utoipa::path(
    tag = "calendars",
    params(CalendarPath),
    responses((status = 204, description = "The feed is gone."), RevokeProblems)
)]
#[delete("/v1/sites/{site}/calendars/{calendar}")]
pub(crate) async fn revoke_calendar(
    service: web::Data<Service>,
    TypedPath(CalendarPath { site, calendar }): TypedPath<CalendarPath>,
) -> Result<HttpResponse, Problem> {
    service
        .store
        .write(move |conn| app::calendars::revoke(conn, &site, calendar))
        .await?;
    Ok(HttpResponse::NoContent().finish())
}

/// Read a calendar: the published plan's work as iCalendar (RFC 5545).
///
/// An item keeps its UID when it is replanned, so it moves in the calendar; what was done stands at
/// the time at which it was done. Whoever knows the address may read it.
#[utoipa::path(
    tag = "calendars",
    params(SecretPath),
    responses(
        (status = 200, description = "The calendar.", body = String, content_type = "text/calendar"),
        ReadProblems
    ),
    security(())
)]
#[get("/v1/calendars/{secret}.ics")]
pub(crate) async fn read_calendar(
    service: web::Data<Service>,
    TypedPath(SecretPath { secret }): TypedPath<SecretPath>,
) -> Result<HttpResponse, Problem> {
    let text = service
        .store
        .read(move |conn| app::calendars::written(conn, &secret))
        .await?;
    Ok(HttpResponse::Ok()
        .content_type("text/calendar; charset=utf-8")
        .insert_header((CACHE_CONTROL, "private, max-age=60"))
        .body(text))
}
