//! Pages for people beside the board: the documentation, which needs nothing from the internet.

use actix_web::http::header::LOCATION;
use actix_web::{HttpResponse, Route, web};
use serde_json::Value;
use utoipa_swagger_ui::{Config, SwaggerUi};

use crate::http::{Operation, Operations};

/// A path, and what is answered there.
type Answered = (&'static str, fn() -> Route);

/// Paths that lead to a page elsewhere.
const LEAD_ON: [Answered; 2] = [
    ("/", || web::get().to(to_board)),
    ("/docs", || web::get().to(to_documentation)),
];

/// Paths of the viewer of the contract.
const VIEWER: [&str; 2] = ["/openapi.json", "/docs/{rest}*"];

/// The pages, for the guard.
pub(crate) fn page_operations() -> Operations {
    let paths = LEAD_ON.iter().map(|(path, _)| *path).chain(VIEWER);
    Operations::listed(paths.map(|path| ("GET", Operation::open_page(path))))
}

/// Adds the pages to the server.
pub(crate) fn pages(app: &mut web::ServiceConfig, contract: &Value) {
    // Without this, the page asks a server on the internet to check the contract.
    let config = Config::from("/openapi.json").validator_url("none");
    let documentation = SwaggerUi::new("/docs/{_:.*}")
        .external_url_unchecked("/openapi.json", contract.clone())
        .config(config);
    app.service(documentation);
    for (path, route) in LEAD_ON {
        app.route(path, route());
    }
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
