//! What every answer says to browsers, whoever gives it: the API, the board, the documentation, and
//! what is refused.

use actix_web::Error;
use actix_web::body::MessageBody;
use actix_web::dev::{ServiceRequest, ServiceResponse};
use actix_web::http::Method;
use actix_web::http::header::{
    CACHE_CONTROL, CONTENT_SECURITY_POLICY, HeaderMap, HeaderName, HeaderValue, REFERRER_POLICY,
    STRICT_TRANSPORT_SECURITY, X_CONTENT_TYPE_OPTIONS,
};
use actix_web::middleware::Next;
use actix_web::web;

use super::route::path_of;
use crate::service::Service;

/// Data is no page: it loads nothing and is shown nowhere.
const DATA: &str =
    "default-src 'none'; base-uri 'none'; form-action 'none'; frame-ancestors 'none'";

/// What the documentation may load, and where it may ask: here. Its viewer sets one style in its markup,
/// which is allowed by its hash; without it a picture is out of shape.
const DOCUMENTATION: &str = "default-src 'none'; script-src 'self'; style-src 'self' 'unsafe-hashes' \
    'sha256-RL3ie0nH+Lzz2YNqQN83mnU0J1ot4QL7b99vMdIX99w='; img-src 'self' data:; font-src 'self'; \
    connect-src 'self'; form-action 'none'; base-uri 'none'; frame-ancestors 'none'";

/// Browsers use TLS alone for two years.
const TLS_ONLY: &str = "max-age=63072000; includeSubDomains";

/// Adds to an answer what it does not say itself.
pub(crate) async fn protect<B: MessageBody>(
    request: ServiceRequest,
    next: Next<B>,
) -> Result<ServiceResponse<B>, Error> {
    let documentation = path_of(&request).starts_with("/docs");
    let reads = matches!(*request.method(), Method::GET | Method::HEAD);
    let service = request.app_data::<web::Data<Service>>();
    let tls = service.is_some_and(|service| service.secure_cookies);
    let mut response = next.call(request).await?;
    let kept = reads && response.status().as_u16() < 400;
    let headers = response.headers_mut();
    let policy = if documentation { DOCUMENTATION } else { DATA };
    say(headers, CONTENT_SECURITY_POLICY, policy);
    say(headers, X_CONTENT_TYPE_OPTIONS, "nosniff");
    say(headers, REFERRER_POLICY, "no-referrer");
    for name in ["cross-origin-opener-policy", "cross-origin-resource-policy"] {
        say(headers, HeaderName::from_static(name), "same-origin");
    }
    if tls {
        say(headers, STRICT_TRANSPORT_SECURITY, TLS_ONLY);
    }
    if !kept {
        // It may hold a secret that is shown once, or is of no use to anybody later.
        say(headers, CACHE_CONTROL, "no-store");
    }
    Ok(response)
}

fn say(headers: &mut HeaderMap, name: HeaderName, value: &'static str) {
    if !headers.contains_key(&name) {
        headers.insert(name, HeaderValue::from_static(value));
    }
}
