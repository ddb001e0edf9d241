//! Capacity: how many kegs can be ready by a time, and what stops there being more.

use actix_web::{HttpResponse, post, web};
use chrono::{DateTime, FixedOffset};
use scheduler::answer::{
    CapacityAnswer, CapacityCurve, CapacityQuestion, MixPart, capacity, capacity_curve,
};
use scheduler::scenario::{Grid, ProductId};
use serde::Deserialize;
use utoipa::ToSchema;
use utoipa_actix_web::service_config::ServiceConfig;

use crate::app::capacity::{Stretch, answered};
use crate::domain::access::Actor;
use crate::domain::plans::{Gap, PlanRequest, TimeLimit};
use crate::http::{Body, SitePath, TypedPath};
use crate::problem::{Problem, problems};
use crate::service::Service;

problems! {
    CapacityProblems: BadJson, BadPath, UnknownSite, NotReady, BodyTooLarge, UnsupportedMediaType,
        Invalid, Internal, Busy, Stopped;
}

/// How many kegs can be ready by an instant, if nothing is served before it?
#[derive(Debug, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub(crate) struct CapacityRequest {
    /// From when on work can be done (RFC 3339 with an offset), on a full grid step.
    #[schema(value_type = String, format = DateTime, example = "2026-06-01T06:00:00+01:00")]
    #[serde(deserialize_with = "scheduler::scenario::instants::instant")]
    start: DateTime<FixedOffset>,
    /// Days by the site's clock that are looked at.
    #[schema(minimum = 1, maximum = 56, example = 7)]
    days: u8,
    /// Minutes of a step.
    grid_minutes: Grid,
    /// The instant, inside those days (RFC 3339 with an offset).
    #[schema(value_type = String, format = DateTime, example = "2026-06-05T17:00:00+01:00")]
    #[serde(deserialize_with = "scheduler::scenario::instants::instant")]
    by: DateTime<FixedOffset>,
    /// Only kegs of this product; of all products where none is named.
    #[serde(default)]
    product: Option<ProductId>,
    /// Only whole sets of kegs, so many of each of these products, of whatever size.
    #[serde(default)]
    #[schema(max_items = 100)]
    mix: Vec<MixPart>,
    /// Seconds to search at most; 60 where nothing is said.
    #[serde(default)]
    time_limit_s: Option<TimeLimit>,
    /// Good enough: part of the bound; 0.001 where nothing is said.
    #[serde(default)]
    gap: Option<Gap>,
}

impl CapacityRequest {
    fn parts(self) -> (PlanRequest, CapacityQuestion) {
        let stretch = PlanRequest {
            start: self.start,
            days: self.days,
            grid_minutes: self.grid_minutes,
            time_limit_s: self.time_limit_s,
            gap: self.gap,
        };
        let question = CapacityQuestion {
            by: self.by,
            product: self.product,
            mix: self.mix,
        };
        (stretch, question)
    }
}

/// How many kegs can be ready at each hour, if nothing is served before it?
#[derive(Debug, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub(crate) struct CurveRequest {
    /// From when on work can be done (RFC 3339 with an offset), on a full grid step.
    #[schema(value_type = String, format = DateTime, example = "2026-06-01T06:00:00+01:00")]
    #[serde(deserialize_with = "scheduler::scenario::instants::instant")]
    start: DateTime<FixedOffset>,
    /// Days by the site's clock that are looked at.
    #[schema(minimum = 1, maximum = 56, example = 7)]
    days: u8,
    /// Minutes of a step.
    grid_minutes: Grid,
    /// Only kegs of this product; of all products where none is named.
    #[serde(default)]
    product: Option<ProductId>,
    /// Seconds to search at most, for all hours together; 60 where nothing is said.
    #[serde(default)]
    time_limit_s: Option<TimeLimit>,
}

pub(super) fn configure(app: &mut ServiceConfig<'_>) {
    app.service(ask_capacity).service(ask_capacity_curve);
}

/// Ask how many kegs can be ready by a time.
///
/// The answer is searched for while the caller waits; hanging up ends the search.
#[utoipa::path(
    tag = "capacity",
    params(SitePath),
    request_body(content = CapacityRequest, description = "The instant, and the days around it."),
    responses(
        (status = 200, description = "The most kegs, the bound that proves it, and what limits it.",
            body = CapacityAnswer),
        CapacityProblems
    )
)]
#[post("/v1/sites/{site}/capacity")]
pub(crate) async fn ask_capacity(
    service: web::Data<Service>,
    actor: Actor,
    TypedPath(SitePath { site }): TypedPath<SitePath>,
    Body(request): Body<CapacityRequest>,
) -> Result<HttpResponse, Problem> {
    let (stretch, question) = request.parts();
    service.bounds.check(&stretch)?;
    let limits = stretch.limits();
    let stretch = Stretch::of(site, &stretch);
    let same = question.clone();
    let answer = answered(&service, &actor, stretch, &same, move |known, watch| {
        capacity(known, &question, limits, watch)
    });
    Ok(HttpResponse::Ok().json(answer.await?))
}

/// Ask how many kegs can be ready at each hour.
///
/// Hours that the time did not suffice for have a number that has a plan and one that cannot be
/// exceeded.
#[utoipa::path(
    tag = "capacity",
    params(SitePath),
    request_body(content = CurveRequest, description = "The days to look at."),
    responses(
        (status = 200, description = "The most kegs at each hour, with bounds.",
            body = CapacityCurve),
        CapacityProblems
    )
)]
#[post("/v1/sites/{site}/capacity/curve")]
pub(crate) async fn ask_capacity_curve(
    service: web::Data<Service>,
    actor: Actor,
    TypedPath(SitePath { site }): TypedPath<SitePath>,
    Body(request): Body<CurveRequest>,
) -> Result<HttpResponse, Problem> {
    let stretch = PlanRequest {
        start: request.start,
        days: request.days,
        grid_minutes: request.grid_minutes,
        time_limit_s: request.time_limit_s,
        gap: None,
    };
    service.bounds.check(&stretch)?;
    let limits = stretch.limits();
    let stretch = Stretch::of(site, &stretch);
    let product = request.product.clone();
    let answer = answered(&service, &actor, stretch, &product, move |known, watch| {
        capacity_curve(known, request.product.as_ref(), limits, watch)
    });
    Ok(HttpResponse::Ok().json(answer.await?))
}
