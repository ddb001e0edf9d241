//! Pages for people: a start page, and the documentation, which needs nothing from the internet.

use actix_web::http::header::{ContentType, LOCATION};
use actix_web::{HttpResponse, web};
use serde_json::Value;
use utoipa_swagger_ui::{Config, SwaggerUi};

const START: &str = include_str!("start.html");

/// Adds the pages to the server.
pub(crate) fn pages(app: &mut web::ServiceConfig, contract: &Value) {
    // Without this, the page asks a server on the internet to check the contract.
    let config = Config::from("/openapi.json").validator_url("none");
    let documentation = SwaggerUi::new("/docs/{_:.*}")
        .external_url_unchecked("/openapi.json", contract.clone())
        .config(config);
    app.service(documentation)
        .route("/", web::get().to(start))
        .route("/docs", web::get().to(to_documentation));
}

async fn start() -> HttpResponse {
    HttpResponse::Ok()
        .content_type(ContentType::html())
        .body(START)
}

async fn to_documentation() -> HttpResponse {
    HttpResponse::PermanentRedirect()
        .insert_header((LOCATION, "/docs/"))
        .finish()
}
