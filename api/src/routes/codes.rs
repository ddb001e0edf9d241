//! What other systems call a site's products, kegs and materials.

use actix_web::{HttpResponse, get, put, web};
use utoipa_actix_web::service_config::ServiceConfig;

use crate::app;
use crate::domain::Refusal;
use crate::domain::codes::Codes;
use crate::http::{Body, Precondition, SitePath, TypedPath, etag};
use crate::problem::{Problem, problems};
use crate::service::Service;
use crate::storage::{codes, sites};

problems! {
    ReadProblems: BadPath, UnknownSite, Internal;
    ReplaceProblems: BadJson, BadPath, BadHeader, UnknownSite, NoSetup, ChangedSince, BodyTooLarge,
        UnsupportedMediaType, Invalid, PreconditionRequired, Internal;
}

pub(super) fn configure(app: &mut ServiceConfig<'_>) {
    app.service(read_codes).service(replace_codes);
}

/// Read what other systems call a site's products, kegs and materials.
#[utoipa::path(
    tag = "setup",
    params(SitePath),
    responses(
        (status = 200, description = "The codes; empty lists where there are none.", body = Codes,
            headers(("ETag" = String, description = "Their revision, for If-Match."))),
        ReadProblems
    )
)]
#[get("/v1/sites/{site}/codes")]
pub(crate) async fn read_codes(
    service: web::Data<Service>,
    TypedPath(SitePath { site }): TypedPath<SitePath>,
) -> Result<HttpResponse, Problem> {
    let found = service
        .store
        .read(move |conn| {
            sites::load(conn, &site)?;
            Ok::<_, Refusal>(codes::find(conn, &site)?)
        })
        .await?;
    let mut response = HttpResponse::Ok();
    let Some(found) = found else {
        return Ok(response.json(Codes::default()));
    };
    Ok(response
        .insert_header(etag(found.revision))
        .json(found.document))
}

/// Store what other systems call a site's products, kegs and materials.
///
/// Check digits of GTIN and GRAI are verified, and each code stands for one thing.
#[utoipa::path(
    tag = "setup",
    params(
        SitePath,
        ("If-Match" = Option<String>, Header, example = "\"3\"",
            description = "The ETag that was read, or *; required where there are codes."),
        ("If-None-Match" = Option<String>, Header, example = "*",
            description = "With *, the codes are stored only if there are none yet.")
    ),
    request_body(content = Codes, description = "All codes, as they are to be."),
    responses(
        (status = 200, description = "The codes as they were stored.", body = Codes,
            headers(("ETag" = String, description = "Their revision."))),
        (status = 201, description = "The first codes of the site.", body = Codes,
            headers(("ETag" = String, description = "Their revision."))),
        ReplaceProblems
    )
)]
#[put("/v1/sites/{site}/codes")]
pub(crate) async fn replace_codes(
    service: web::Data<Service>,
    TypedPath(SitePath { site }): TypedPath<SitePath>,
    Precondition(expected): Precondition,
    Body(document): Body<Codes>,
) -> Result<HttpResponse, Problem> {
    let asked = document.clone();
    let stored = service
        .store
        .write(move |conn| app::codes::replace(conn, &site, &expected, &asked))
        .await?;
    let mut response = if stored.first {
        HttpResponse::Created()
    } else {
        HttpResponse::Ok()
    };
    Ok(response.insert_header(etag(stored.revision)).json(document))
}
