//! Drafts: a first setup from what a person knows.

use actix_web::http::header::LOCATION;
use actix_web::{HttpResponse, get, post, web};
use scheduler::draft::{self, Answers, Assumption, Draft};
use scheduler::scenario::Site;
use serde::Serialize;
use utoipa::ToSchema;
use utoipa_actix_web::service_config::ServiceConfig;

use crate::app;
use crate::blocking::slow;
use crate::domain::plans::PlanResource;
use crate::http::{Body, SitePath, TypedPath, answering};
use crate::problem::{Problem, problems};
use crate::service::Service;

problems! {
    LookProblems: BadJson, BodyTooLarge, UnsupportedMediaType, Invalid, Internal;
    CreateProblems: BadJson, SiteExists, BodyTooLarge, UnsupportedMediaType, Invalid, TooManyOpen,
        Internal;
    ReadProblems: BadPath, UnknownSite, Internal;
}

/// A site that was made of a draft.
#[derive(Debug, Serialize, ToSchema)]
pub(crate) struct DraftedSite {
    /// The site.
    site: Site,
    /// Everything that nobody told.
    assumed: Vec<Assumption>,
    /// Its first plan, which is being made.
    plan: PlanResource,
}

/// What of a site is still as a draft assumed it.
#[derive(Debug, Serialize, ToSchema)]
pub(crate) struct AssumptionList {
    /// Each value that nobody told or changed.
    assumed: Vec<Assumption>,
}

/// A bar to start from.
#[derive(Debug, Serialize, ToSchema)]
pub(crate) struct ShelfBar {
    /// How the command line asks for it.
    #[schema(example = "counter")]
    id: &'static str,
    /// What it is, in words.
    #[schema(example = "A counter: one pot, ten kegs, ice in bags")]
    title: &'static str,
    /// What its people would answer.
    answers: Answers,
}

/// The bars to start from.
#[derive(Debug, Serialize, ToSchema)]
pub(crate) struct Shelf {
    /// Invented bars of four sizes, the smallest first.
    shelf: Vec<ShelfBar>,
}

pub(super) fn configure(app: &mut ServiceConfig<'_>) {
    app.service(list_shelf)
        .service(draft_site)
        .service(create_drafted_site)
        .service(list_assumed);
}

/// List bars to start from.
///
/// Their answers can be changed and sent on to be drafted. All of them are invented.
#[utoipa::path(
    tag = "sites",
    responses((status = 200, description = "The bars, the smallest first.", body = Shelf))
)]
#[get("/v1/drafts/shelf")]
pub(crate) async fn list_shelf() -> HttpResponse {
    let shelf = draft::shelf().into_iter().map(|one| ShelfBar {
        id: one.id,
        title: one.title,
        answers: one.answers,
    });
    HttpResponse::Ok().json(Shelf {
        shelf: shelf.collect(),
    })
}

/// Draft a setup and a week from what a person knows.
///
/// Nothing is stored. What nobody told is filled in with what is usual, and listed.
#[utoipa::path(
    tag = "sites",
    security(("key" = ["read"])),
    request_body(content = Answers, description = "What a person knows of their bar."),
    responses(
        (status = 200, description = "A scenario that can be planned, and what is assumed in it.",
            body = Draft),
        LookProblems
    )
)]
#[post("/v1/drafts")]
pub(crate) async fn draft_site(Body(answers): Body<Answers>) -> Result<HttpResponse, Problem> {
    let draft = slow(move || app::drafts::look(&answers)).await?;
    Ok(HttpResponse::Ok().json(draft))
}

/// Create a site from what a person knows.
///
/// The site, its setup, the week's demand and a count of what is taken to be there are stored, and
/// its plan is queued: all of it, or nothing. The name makes the id.
#[utoipa::path(
    tag = "sites",
    security(("key" = ["admin"])),
    request_body(content = Answers, description = "What a person knows of their bar."),
    responses(
        (status = 201, description = "The site, and its plan that is being made.",
            body = DraftedSite, headers(("Location" = String, description = "Path of the site."))),
        CreateProblems
    )
)]
#[post("/v1/drafts/sites")]
pub(crate) async fn create_drafted_site(
    service: web::Data<Service>,
    Body(answers): Body<Answers>,
) -> Result<HttpResponse, Problem> {
    let draft = slow(move || app::drafts::look(&answers)).await?;
    let draft = app::drafts::fits(&service, draft).await?;
    let admission = service.admission();
    let tell = |made: &DraftedSite| {
        HttpResponse::Created()
            .insert_header((LOCATION, format!("/v1/sites/{}", made.site.id)))
            .json(made)
    };
    let create = move |conn: &mut crate::storage::Connection| {
        let (site, plan) = app::drafts::create(conn, &admission, &draft)?;
        Ok::<_, crate::domain::Refusal>(DraftedSite {
            site,
            assumed: draft.assumed,
            plan,
        })
    };
    let answer = answering(&service.store, create, tell).await?;
    service.jobs.wake();
    Ok(answer)
}

/// List what of a site is still as a draft assumed it.
///
/// A value leaves the list for good when somebody changes it.
#[utoipa::path(
    tag = "sites",
    params(SitePath),
    responses(
        (status = 200, description = "What is assumed, in the order of the draft.",
            body = AssumptionList),
        ReadProblems
    )
)]
#[get("/v1/sites/{site}/assumed")]
pub(crate) async fn list_assumed(
    service: web::Data<Service>,
    TypedPath(SitePath { site }): TypedPath<SitePath>,
) -> Result<HttpResponse, Problem> {
    let assumed = service
        .store
        .read(move |conn| app::drafts::still_assumed(conn, &site))
        .await?;
    Ok(HttpResponse::Ok().json(AssumptionList { assumed }))
}
