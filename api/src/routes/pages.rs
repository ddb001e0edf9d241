//! Pages for people beside the board: the documentation, which needs nothing from the internet.

use actix_web::http::header::LOCATION;
use actix_web::{HttpResponse, web};
use serde_json::Value;
use utoipa_swagger_ui::{Config, SwaggerUi};

/// Adds the pages to the server.
pub(crate) fn pages(app: &mut web::ServiceConfig, contract: &Value) {
    // Without this, the page asks a server on the internet to check the contract.
    let config = Config::from("/openapi.json").validator_url("none");
    let documentation = SwaggerUi::new("/docs/{_:.*}")
        .external_url_unchecked("/openapi.json", contract.clone())
        .config(config);
    app.service(documentation)
        .route("/", web::get().to(to_board))
        .route("/docs", web::get().to(to_documentation));
}

async fn to_board() -> HttpResponse {
    HttpResponse::SeeOther()
        .insert_header((LOCATION, "/board"))
        .finish()
}

async fn to_documentation() -> HttpResponse {
    HttpResponse::PermanentRedirect()
        .insert_header((LOCATION, "/docs/"))
        .finish()
}
