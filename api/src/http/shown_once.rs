//! Answers that hold a secret which is shown once: nobody keeps them, neither a cache nor we.

use actix_web::HttpResponse;
use actix_web::http::header::{CACHE_CONTROL, HeaderValue};

/// Marks an answer that holds a secret, for whatever would keep it.
#[derive(Debug, Clone, Copy)]
pub(super) struct ShownOnce;

/// An answer that holds a secret: it is kept for no repeat, and no cache may keep it.
pub(crate) fn shown_once(mut response: HttpResponse) -> HttpResponse {
    let nowhere = HeaderValue::from_static("no-store");
    response.headers_mut().insert(CACHE_CONTROL, nowhere);
    response.extensions_mut().insert(ShownOnce);
    response
}
