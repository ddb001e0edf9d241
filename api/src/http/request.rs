//! Each request has an id, a span in the log and a line when it is answered.

use std::time::Instant;

use actix_web::body::MessageBody;
use actix_web::dev::{ServiceRequest, ServiceResponse};
use actix_web::http::Method;
use actix_web::http::header::{HeaderName, HeaderValue};
use actix_web::middleware::Next;
use actix_web::{Error, HttpMessage, HttpRequest};
use tracing::Instrument;
use tracing::field::Empty;
use uuid::Uuid;

use super::client::client_address;
use super::route::Route;
use crate::domain::audit::RequestLine;
use crate::{metrics, telemetry};

/// The header that carries the id.
const REQUEST_ID: HeaderName = HeaderName::from_static("x-request-id");

/// The longest id taken over from a caller.
const LONGEST: usize = 64;

/// The id of a request, for whoever handles it.
#[derive(Debug, Clone)]
pub(crate) struct RequestId(String);

impl RequestId {
    pub(crate) fn of(request: &impl HttpMessage) -> String {
        let found = request.extensions().get::<Self>().cloned();
        found.map_or_else(String::new, |id| id.0)
    }
}

/// A request as the audit trail names it.
pub(crate) fn line_of(request: &HttpRequest) -> RequestLine {
    RequestLine {
        method: request.method().as_str().to_owned(),
        path: request.path().to_owned(),
        id: RequestId::of(request),
    }
}

/// Follows a request through the log. The caller's own id is kept if it is a plain word.
///
/// Of its path only the pattern is told: parts of some are secrets.
///
/// HEAD is answered as GET is; the server itself leaves the body out.
pub(crate) async fn follow<B: MessageBody>(
    mut request: ServiceRequest,
    next: Next<B>,
) -> Result<ServiceResponse<B>, Error> {
    let id = id_of(&request);
    let method = request.method().clone();
    let route = Route::find(&request, method.as_str());
    let path = route.pattern();
    let address = client_address(request.request());
    let (actor, site) = (Empty, Empty);
    let span = tracing::info_span!("request", %id, %method, path, address, actor, site);
    telemetry::follow_caller(&span, request.headers());
    telemetry::asked(&span, method.as_str(), path, address);
    if method == Method::HEAD {
        request.head_mut().method = Method::GET;
    }
    request.extensions_mut().insert(RequestId(id.clone()));
    let begun = Instant::now();
    let mut response = next.call(request).instrument(span.clone()).await?;
    if let Ok(value) = HeaderValue::from_str(&id) {
        response.headers_mut().insert(REQUEST_ID, value);
    }
    let status = response.status().as_u16();
    let took = begun.elapsed();
    let operation = route.operation();
    metrics::answered(operation, status, took);
    telemetry::answered(&span, operation, status);
    let ms = took.as_millis();
    span.in_scope(|| tracing::info!(status, ms, "answered"));
    Ok(response)
}

fn id_of(request: &ServiceRequest) -> String {
    let plain = |c: char| c.is_ascii_alphanumeric() || "-_.:".contains(c);
    let given = request
        .headers()
        .get(&REQUEST_ID)
        .and_then(|value| value.to_str().ok());
    given
        .filter(|id| (1..=LONGEST).contains(&id.len()) && id.chars().all(plain))
        .map_or_else(|| Uuid::now_v7().to_string(), str::to_owned)
}
