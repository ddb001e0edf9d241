//! Which web pages may use the service from a browser: none, unless the settings name them.

use actix_cors::Cors;
use actix_web::http::header::{
    AUTHORIZATION, CONTENT_TYPE, ETAG, HeaderName, IF_MATCH, IF_NONE_MATCH, LOCATION, RETRY_AFTER,
};

/// Lets pages of these origins ask, with a key. Sessions stay with the service's own pages.
pub(crate) fn cors(origins: &[String]) -> Cors {
    let name = HeaderName::from_static;
    let cors = Cors::default()
        .allowed_methods(["GET", "HEAD", "POST", "PUT", "PATCH", "DELETE"])
        .allowed_headers([AUTHORIZATION, CONTENT_TYPE, IF_MATCH, IF_NONE_MATCH])
        .allowed_header(name("idempotency-key"))
        .allowed_header(name("x-request-id"))
        .expose_headers([ETAG, LOCATION, RETRY_AFTER, name("x-request-id")])
        .max_age(3600);
    origins
        .iter()
        .fold(cors, |cors, origin| cors.allowed_origin(origin))
}
