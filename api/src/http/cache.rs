//! Reading again: an ETag on whatever is read, and 304 where it has not changed.

use actix_web::body::{BodySize, BoxBody, MessageBody, to_bytes};
use actix_web::dev::{ServiceRequest, ServiceResponse};
use actix_web::http::StatusCode;
use actix_web::http::header::{
    self, CACHE_CONTROL, CONTENT_ENCODING, CONTENT_TYPE, ETAG, EntityTag, HeaderMap, HeaderValue,
    IF_NONE_MATCH,
};
use actix_web::middleware::Next;
use actix_web::{Error, HttpMessage, HttpResponse};

use super::route::path_of;
use crate::domain::access::{Actor, ActorKind, hash};

/// What is somebody's own must be asked for again each time, and may not be kept for others.
const ASK_AGAIN: HeaderValue = HeaderValue::from_static("private, no-cache");
/// What concerns secrets is not kept anywhere.
const NEVER: HeaderValue = HeaderValue::from_static("no-store");

/// Paths whose answers are kept nowhere.
const SECRET: [&str; 5] = [
    "/v1/audit",
    "/v1/keys",
    "/v1/people",
    "/v1/session",
    "/v1/webhooks",
];

/// Reads, and answers 304 if the caller has it already.
pub(super) async fn answer<B: MessageBody + 'static>(
    request: ServiceRequest,
    next: Next<B>,
) -> Result<ServiceResponse<BoxBody>, Error> {
    let known = request.headers().get(IF_NONE_MATCH).cloned();
    let secret = is_secret(&request);
    let response = next.call(request).await?.map_into_boxed_body();
    let (request, mut response) = response.into_parts();
    let rule = if secret { NEVER } else { ASK_AGAIN };
    let headers = response.headers_mut();
    if !headers.contains_key(CACHE_CONTROL) {
        headers.insert(CACHE_CONTROL, rule);
    }
    // A stream is sent as it comes, and must not wait in a compressor.
    if is_stream(headers) {
        headers.insert(CONTENT_ENCODING, HeaderValue::from_static("identity"));
    }
    let whole = matches!(response.body().size(), BodySize::Sized(_));
    if response.status() != StatusCode::OK || !whole {
        return Ok(ServiceResponse::new(request, response));
    }
    let (mut head, body) = response.into_parts();
    // Most are one piece already.
    let bytes = match body.try_into_bytes() {
        Ok(bytes) => bytes,
        Err(body) => to_bytes(body).await.unwrap_or_default(),
    };
    if !head.headers().contains_key(ETAG) {
        let tag = EntityTag::new_weak(hash(&[&bytes])[..32].to_owned());
        if let Ok(value) = HeaderValue::from_str(&tag.to_string()) {
            head.headers_mut().insert(ETAG, value);
        }
    }
    let same = known.is_some_and(|known| matches(&known, head.headers()));
    if same {
        return Ok(ServiceResponse::new(request, unchanged(&head)));
    }
    let response = head.set_body(BoxBody::new(bytes));
    Ok(ServiceResponse::new(request, response))
}

/// Whether an answer is kept nowhere. A browser, which is where people are signed in, keeps nothing
/// that is left when they go; what programs keep with their key is theirs to look after.
fn is_secret(request: &ServiceRequest) -> bool {
    let path = path_of(request);
    let extensions = request.extensions();
    let person = extensions
        .get::<Actor>()
        .is_some_and(|actor| actor.kind == ActorKind::Person);
    person || SECRET.iter().any(|start| path.starts_with(start))
}

fn is_stream(headers: &HeaderMap) -> bool {
    let kind = headers.get(CONTENT_TYPE).and_then(|v| v.to_str().ok());
    kind.is_some_and(|kind| kind.starts_with("text/event-stream"))
}

/// Whether one of the tags the caller has is the one there is. Weak tags may match.
fn matches(known: &HeaderValue, headers: &HeaderMap) -> bool {
    let tag = headers.get(ETAG).and_then(|value| value.to_str().ok());
    let tag: Option<EntityTag> = tag.and_then(|text| text.parse().ok());
    let (Some(tag), Ok(known)) = (tag, known.to_str()) else {
        return false;
    };
    known.trim() == "*"
        || known
            .split(',')
            .filter_map(|one| one.trim().parse::<EntityTag>().ok())
            .any(|one| one.weak_eq(&tag))
}

fn unchanged(head: &HttpResponse<()>) -> HttpResponse<BoxBody> {
    let mut response = HttpResponse::NotModified();
    for name in [ETAG, CACHE_CONTROL, header::VARY] {
        if let Some(value) = head.headers().get(&name) {
            response.insert_header((name, value.clone()));
        }
    }
    response.finish()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_tag_is_recognised_among_others() {
        let mut headers = HeaderMap::new();
        headers.insert(ETAG, HeaderValue::from_static("W/\"abc\""));
        let check = |known: &'static str| matches(&HeaderValue::from_static(known), &headers);
        assert!(check("\"abc\"") && check("W/\"abc\"") && check("\"x\", W/\"abc\"") && check("*"));
        assert!(!check("\"x\"") && !check("abc"));
    }
}
