//! A site's setup and its revisions.

use actix_web::{HttpResponse, get, patch, put, web};
use scheduler::scenario::SiteId;
use serde::{Deserialize, Serialize};
use serde_json::{Map, Value};
use utoipa::{IntoParams, ToSchema};
use utoipa_actix_web::service_config::ServiceConfig;

use crate::app;
use crate::domain::setup::{
    MergePatch, SetupChanges, SetupDocument, SetupRevision, StoredSetup, read,
};
use crate::domain::{Refusal, Revision};
use crate::http::{Body, Params, Precondition, SitePath, TypedPath, etag};
use crate::problem::{Problem, problems};
use crate::service::Service;
use crate::storage::{setup, sites};

problems! {
    ReadProblems: BadPath, UnknownSite, NoSetup, Internal;
    ReplaceProblems: BadJson, BadPath, BadHeader, UnknownSite, ChangedSince, BodyTooLarge,
        UnsupportedMediaType, Invalid, PreconditionRequired, Internal;
    ListProblems: BadPath, UnknownSite, Internal;
    PatchProblems: BadJson, BadPath, BadHeader, UnknownSite, NoSetup, ChangedSince, BodyTooLarge,
        UnsupportedMediaType, Invalid, PreconditionRequired, Internal;
    ChangesProblems: BadPath, BadQuery, UnknownSite, UnknownRevision, Internal;
    RevisionProblems: BadPath, UnknownSite, UnknownRevision, Internal;
}

/// The revisions of a setup.
#[derive(Debug, Serialize, ToSchema)]
pub(crate) struct SetupRevisionList {
    /// All revisions, latest first.
    revisions: Vec<SetupRevision>,
}

/// A path that names a revision of a site's setup.
#[derive(Debug, Deserialize, IntoParams)]
#[into_params(parameter_in = Path)]
pub(crate) struct RevisionPath {
    /// The site's id.
    #[param(value_type = String, pattern = "^[a-z0-9_-]{1,64}$", example = "harbour-bar")]
    site: SiteId,
    /// The revision's number.
    #[param(value_type = i64, minimum = 1, example = 3)]
    revision: Revision,
}

/// Which two revisions to compare.
#[derive(Debug, Deserialize, IntoParams)]
#[serde(deny_unknown_fields)]
#[into_params(parameter_in = Query)]
pub(crate) struct ChangesParams {
    /// The earlier one, or the later one to see how to go back.
    #[param(value_type = i64, minimum = 1, example = 1)]
    from: Revision,
    /// The one it is compared with.
    #[param(value_type = i64, minimum = 1, example = 2)]
    to: Revision,
}

pub(super) fn configure(app: &mut ServiceConfig<'_>) {
    app.service(read_setup)
        .service(replace_setup)
        .service(patch_setup)
        .service(list_setup_changes)
        .service(list_setup_revisions)
        .service(read_setup_revision);
}

/// Read a site's setup.
#[utoipa::path(
    tag = "setup",
    params(SitePath),
    responses(
        (status = 200, description = "The latest setup.", body = SetupDocument, headers(
            ("ETag" = String, description = "Its revision, for If-Match."),
        )),
        ReadProblems
    )
)]
#[get("/v1/sites/{site}/setup")]
pub(crate) async fn read_setup(
    service: web::Data<Service>,
    TypedPath(SitePath { site }): TypedPath<SitePath>,
) -> Result<HttpResponse, Problem> {
    let found = service
        .store
        .read(move |conn| {
            sites::load(conn, &site)?;
            setup::load(conn, &site)
        })
        .await?;
    Ok(HttpResponse::Ok()
        .insert_header(etag(found.revision))
        .json(found.document))
}

/// Store a new revision of a site's setup.
///
/// A document that says the same as the latest revision makes no new one.
#[utoipa::path(
    tag = "setup",
    params(
        SitePath,
        ("If-Match" = Option<String>, Header, example = "\"3\"",
            description = "The ETag that was read, or *; required where a setup exists."),
        ("If-None-Match" = Option<String>, Header, example = "*",
            description = "With *, the setup is stored only if there is none yet.")
    ),
    request_body(content = SetupDocument, description = "The whole setup, as it is to be."),
    responses(
        (status = 200, description = "The setup as it was stored, with what is dangerous in it.",
            body = StoredSetup, headers(
            ("ETag" = String, description = "Its revision."),
        )),
        (status = 201, description = "The first setup of the site, as it was stored, with what is dangerous in it.",
            body = StoredSetup, headers(("ETag" = String, description = "Its revision."))),
        ReplaceProblems
    )
)]
#[put("/v1/sites/{site}/setup")]
pub(crate) async fn replace_setup(
    service: web::Data<Service>,
    TypedPath(SitePath { site }): TypedPath<SitePath>,
    Precondition(expected): Precondition,
    Body(said): Body<Map<String, Value>>,
) -> Result<HttpResponse, Problem> {
    // Everything that is wrong with it is told at once.
    let document = read(Value::Object(said))?;
    let (stored, answer) = service
        .store
        .write(move |conn| app::setup::replace(conn, &site, &expected, &document))
        .await?;
    let mut response = if stored.first {
        HttpResponse::Created()
    } else {
        HttpResponse::Ok()
    };
    Ok(response.insert_header(etag(stored.revision)).json(answer))
}

/// Change parts of a site's setup (JSON merge patch, RFC 7396).
///
/// What the body names is replaced, what it names with `null` is taken away, everything else stays.
/// A list is replaced as a whole.
#[utoipa::path(
    tag = "setup",
    params(
        SitePath,
        ("If-Match" = String, Header, description = "The ETag that was read, or *.", example = "\"3\"")
    ),
    request_body(content = MergePatch, content_type = "application/merge-patch+json",
        description = "The parts that are to be different.",
        example = json!({ "policy": { "purges": 4 } })),
    responses(
        (status = 200, description = "The setup as it was stored, with what is dangerous in it.",
            body = StoredSetup, headers(
            ("ETag" = String, description = "Its revision."),
        )),
        PatchProblems
    )
)]
#[patch("/v1/sites/{site}/setup")]
pub(crate) async fn patch_setup(
    service: web::Data<Service>,
    TypedPath(SitePath { site }): TypedPath<SitePath>,
    Precondition(expected): Precondition,
    Body(MergePatch(patch)): Body<MergePatch>,
) -> Result<HttpResponse, Problem> {
    let (revision, answer) = service
        .store
        .write(move |conn| app::setup::patch(conn, &site, &expected, &patch))
        .await?;
    Ok(HttpResponse::Ok()
        .insert_header(etag(revision))
        .json(answer))
}

/// List what changed between two revisions of a site's setup, as a JSON patch (RFC 6902).
#[utoipa::path(
    tag = "setup",
    params(SitePath, ChangesParams),
    responses(
        (status = 200, description = "What turns the one into the other.", body = SetupChanges),
        ChangesProblems
    )
)]
#[get("/v1/sites/{site}/setup/changes")]
pub(crate) async fn list_setup_changes(
    service: web::Data<Service>,
    TypedPath(SitePath { site }): TypedPath<SitePath>,
    Params(ChangesParams { from, to }): Params<ChangesParams>,
) -> Result<HttpResponse, Problem> {
    let changes = service
        .store
        .read(move |conn| app::setup::changes(conn, &site, from, to))
        .await?;
    Ok(HttpResponse::Ok().json(changes))
}

/// List the revisions of a site's setup.
#[utoipa::path(
    tag = "setup",
    params(SitePath),
    responses(
        (status = 200, description = "All revisions, latest first.", body = SetupRevisionList),
        ListProblems
    )
)]
#[get("/v1/sites/{site}/setup/revisions")]
pub(crate) async fn list_setup_revisions(
    service: web::Data<Service>,
    TypedPath(SitePath { site: id }): TypedPath<SitePath>,
) -> Result<HttpResponse, Problem> {
    let revisions = service
        .store
        .read(move |conn| {
            let site = sites::load(conn, &id)?;
            Ok::<_, Refusal>(setup::list(conn, &id, site.time_zone)?)
        })
        .await?;
    Ok(HttpResponse::Ok().json(SetupRevisionList { revisions }))
}

/// Read a site's setup as it was at a revision.
#[utoipa::path(
    tag = "setup",
    params(RevisionPath),
    responses(
        (status = 200, description = "The setup as it was.", body = SetupDocument),
        RevisionProblems
    )
)]
#[get("/v1/sites/{site}/setup/revisions/{revision}")]
pub(crate) async fn read_setup_revision(
    service: web::Data<Service>,
    TypedPath(RevisionPath { site, revision }): TypedPath<RevisionPath>,
) -> Result<HttpResponse, Problem> {
    let found = service
        .store
        .read(move |conn| app::setup::at(conn, &site, revision))
        .await?;
    Ok(HttpResponse::Ok().json(found.document))
}
