//! The published contract, made from the same list of handlers the server runs.

use actix_web::App;
use utoipa::OpenApi;
use utoipa::openapi::OpenApi as Document;
use utoipa_actix_web::AppExt;

use crate::problem::ProblemDocument;
use crate::routes;

#[derive(OpenApi)]
#[openapi(
    info(
        title = "Fizzwright",
        description = "Plans a soda program's week: what to boil, ice, fill, gas and wash, and \
            when, so that every service has its kegs cold and properly carbonated.\n\nNumbers carry \
            their unit in the name of the field (`_l` litres, `_kg` kilograms, `_c` degrees Celsius, \
            `_bar` bar gauge, `_min` minutes). Instants are RFC 3339 with an offset; those that are \
            sent back are on the site's clock. Unknown fields are refused. Whatever is refused is \
            answered with a problem document (RFC 9457) whose `code` is stable.",
        license(name = "MIT OR Apache-2.0", identifier = "MIT OR Apache-2.0")
    ),
    tags(
        (name = "sites", description = "Places that make soda"),
        (name = "setup", description = "What a site makes soda with, as one versioned document"),
        (name = "demand", description = "Litres wanted at services"),
        (name = "stock", description = "What is on hand: a ledger of counts and movements"),
        (name = "plans", description = "What to do and when; plans are made in the background"),
        (name = "capacity", description = "How many kegs can be ready by a time"),
        (name = "service", description = "The service itself: health and problem codes"),
    ),
    components(schemas(ProblemDocument))
)]
struct Base;

/// The contract as OpenAPI 3.1.
pub(crate) fn document() -> Document {
    let mut base = Base::openapi();
    base.info.contact = None;
    let app = App::new().into_utoipa_app().openapi(base).configure(routes::all);
    let (_, document) = app.split_for_parts();
    document
}

/// The contract as text, as it is published.
pub(crate) fn text() -> Result<String, serde_json::Error> {
    Ok(serde_json::to_string_pretty(&document())? + "\n")
}
