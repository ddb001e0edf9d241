//! The board: the service's web face, for people on the floor and in the office.
//!
//! ```text
//! browser ─▶ door (who, where, which scope) ─▶ page ─▶ domain, storage ─▶ template ─▶ browser
//! ```
//!
//! Pages are made on the server and need no script to be read or used. A page's file reads what it
//! shows and fills in its template; what a form changes goes through the same functions as the
//! API's. Nothing here asks our own API over HTTP, and no rule of it is written here once more.

mod account;
mod admin;
mod assets;
mod auth;
mod calculators;
mod called;
mod cards;
mod commitments;
mod demand;
mod error_page;
mod fields;
mod late;
mod limit;
mod list;
mod new_site;
mod page;
mod picture;
mod plans;
mod principal;
mod ready;
mod schema;
mod setup;
mod sheets;
mod sign_in;
mod sites;
mod stock;
mod today;
mod week;
mod work;

use actix_web::http::header::LOCATION;
use actix_web::middleware::from_fn;
use actix_web::{HttpResponse, ResponseError, web};

use crate::problem::Problem;

pub(crate) use list::operations;

use crate::http::Frontend;

/// The board, as the server is told of it.
const FRONTEND: Frontend = Frontend { owns, refused };

/// Whether a path is one of the board's, and so goes through its door.
fn owns(path: &str) -> bool {
    path == "/board" || path.starts_with("/board/") || path.starts_with("/assets/")
}

/// The page for a request that is refused before it reaches the door.
fn refused(problem: Problem) -> HttpResponse {
    error_page::ErrorPage::from(problem).error_response()
}

/// Adds the board to the server.
pub(crate) fn configure(app: &mut web::ServiceConfig) {
    app.app_data(web::Data::new(FRONTEND))
        .configure(assets::configure)
        .service(
            web::scope("/board")
                .wrap(from_fn(auth::door))
                .configure(list::configure)
                .default_service(web::to(error_page::nothing_here)),
        );
}

/// Sends a browser on to a page, after a form as well.
fn go_to(path: impl AsRef<str>) -> HttpResponse {
    HttpResponse::SeeOther()
        .insert_header((LOCATION, path.as_ref()))
        .finish()
}
