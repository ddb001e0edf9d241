//! The board's stylesheet and script: part of the program, under names that change with them.

use std::sync::OnceLock;

use actix_web::http::header::{CACHE_CONTROL, X_CONTENT_TYPE_OPTIONS};
use actix_web::{HttpResponse, web};

use super::error_page::ErrorPage;
use crate::domain::access::hash;

const CSS: &str = concat!(
    include_str!("../../assets/board.css"),
    include_str!("../../assets/parts.css"),
    include_str!("../../assets/picture.css"),
    include_str!("../../assets/new_site.css")
);
const JS: &str = include_str!("../../assets/board.js");

/// A name that differs whenever the content does may be kept for good.
const FOREVER: &str = "public, max-age=31536000, immutable";

/// Where both are.
pub(super) const PATH: &str = "/assets/{name}";

/// Where the stylesheet is.
pub(super) fn css() -> &'static str {
    static PATH: OnceLock<String> = OnceLock::new();
    PATH.get_or_init(|| path(CSS, "css"))
}

/// Where the script is.
pub(super) fn js() -> &'static str {
    static PATH: OnceLock<String> = OnceLock::new();
    PATH.get_or_init(|| path(JS, "js"))
}

fn path(content: &str, ending: &str) -> String {
    let digest = hash(&[content.as_bytes()]);
    format!("/assets/board-{}.{ending}", &digest[..16])
}

pub(super) fn configure(app: &mut web::ServiceConfig) {
    app.route(PATH, web::get().to(asset));
}

async fn asset(name: web::Path<String>) -> Result<HttpResponse, ErrorPage> {
    let asked = format!("/assets/{name}");
    let (kind, content) = if asked == css() {
        ("text/css; charset=utf-8", CSS)
    } else if asked == js() {
        ("text/javascript; charset=utf-8", JS)
    } else {
        return Err(ErrorPage::nowhere());
    };
    Ok(HttpResponse::Ok()
        .content_type(kind)
        .insert_header((CACHE_CONTROL, FOREVER))
        .insert_header((X_CONTENT_TYPE_OPTIONS, "nosniff"))
        .body(content))
}
