//! The board's door: the same questions as the API's guard asks, answered for a browser.
//!
//! Whoever is not signed in is led to sign in and back. A form carries the session's second secret
//! as a field; without it nothing is changed. A key in the header opens pages too, so that other
//! systems can fetch a picture.

use std::sync::atomic::AtomicBool;

use actix_web::body::{BoxBody, MessageBody};
use actix_web::dev::{ServiceRequest, ServiceResponse};
use actix_web::http::StatusCode;
use actix_web::http::header::{
    CACHE_CONTROL, CONTENT_SECURITY_POLICY, HeaderMap, HeaderName, HeaderValue, REFERRER_POLICY,
    X_CONTENT_TYPE_OPTIONS,
};
use actix_web::middleware::Next;
use actix_web::{Error, HttpMessage, ResponseError, web};

use super::error_page::ErrorPage;
use super::fields::Fields;
use super::go_to;
use super::principal::Principal;
use super::sign_in::sign_in_for;
use crate::domain::Refusal;
use crate::domain::access::{Actor, ActorKind};
use crate::http::{
    Admitted, CSRF, MatchedOperation, PathSubject, RequestId, Route, admitted, changes,
    client_network, path_of, recognise, refusals, sent_by, session_of, whole,
};
use crate::service::Service;
use crate::storage::audit_context::{AuditContext, following};

/// What pages may load and where forms may go: here, and nowhere else.
const POLICY: &str = "default-src 'none'; style-src 'self'; script-src 'self'; \
    img-src 'self' data:; connect-src 'self'; form-action 'self'; base-uri 'none'; \
    frame-ancestors 'none'";

/// Forms are small; a week of pasted demand is the largest.
const LARGEST_FORM: usize = 2 * 1024 * 1024;

/// Lets a request through to its page, or answers it.
pub(super) async fn door<B: MessageBody + 'static>(
    request: ServiceRequest,
    next: Next<B>,
) -> Result<ServiceResponse<BoxBody>, Error> {
    let mut response = enter(request, next).await?;
    dress(response.headers_mut());
    Ok(response)
}

/// What every page says about itself.
fn dress(headers: &mut HeaderMap) {
    let nothing_kept = HeaderValue::from_static("private, no-store");
    if !headers.contains_key(CACHE_CONTROL) {
        headers.insert(CACHE_CONTROL, nothing_kept);
    }
    for (name, value) in [
        (CONTENT_SECURITY_POLICY, POLICY),
        (X_CONTENT_TYPE_OPTIONS, "nosniff"),
        (REFERRER_POLICY, "same-origin"),
        (
            HeaderName::from_static("cross-origin-opener-policy"),
            "same-origin",
        ),
    ] {
        headers.insert(name, HeaderValue::from_static(value));
    }
}

async fn enter<B: MessageBody + 'static>(
    request: ServiceRequest,
    next: Next<B>,
) -> Result<ServiceResponse<BoxBody>, Error> {
    let Some(service) = request.app_data::<web::Data<Service>>().cloned() else {
        return Ok(refused(request, Refusal::internal("no service").into()));
    };
    let Some(found) = Route::of(&request) else {
        return Ok(refused(request, ErrorPage::nowhere()));
    };
    if changes(&request) && from_elsewhere(request.headers()) {
        return Ok(refused(request, ErrorPage::from_elsewhere()));
    }
    let Some(scope) = found.operation.scope else {
        request.extensions_mut().insert(Admitted(found));
        return sent(request, next).await;
    };
    let changes = changes(&request);
    let actor = match recognise(&service, &request, false).await {
        Ok(actor) => actor,
        Err(problem) => {
            let id = &found.operation.id;
            refusals::of_stranger(&service, request.request(), id, problem.kind());
            return Ok(stranger(&service, request, changes));
        }
    };
    if let Err(refusal) = service.limits.count(&actor.id) {
        return Ok(refused(request, refusal.into()));
    }
    sent_by(&request, &actor);
    let place = match admitted(&service.store, &found, &actor, scope, &request).await {
        Ok(place) => place,
        Err(problem) => {
            let id = &found.operation.id;
            refusals::of_actor(&service, request.request(), &actor, id, problem.kind());
            return Ok(refused(request, problem.into()));
        }
    };
    let visitor = Principal::of(request.request(), actor.clone());
    request.extensions_mut().insert(visitor);
    if !changes {
        return Ok(next.call(request).await?.map_into_boxed_body());
    }
    let trail = trail(&request, &found, actor, place);
    following(trail, sent(request, next)).await
}

/// Whether a browser says that a page of another site sends a form (Fetch Metadata). A session has its
/// second secret against that; who is about to sign in has none yet, and must not be signed in as
/// somebody else.
fn from_elsewhere(headers: &HeaderMap) -> bool {
    let site = headers.get("sec-fetch-site").map(HeaderValue::as_bytes);
    site.is_some_and(|site| !matches!(site, b"same-origin" | b"none"))
}

/// Lets a request through with its form, if there is one. Who sent it is known by now, or it is the
/// form to sign in.
async fn sent<B: MessageBody + 'static>(
    mut request: ServiceRequest,
    next: Next<B>,
) -> Result<ServiceResponse<BoxBody>, Error> {
    if changes(&request) {
        let bytes = match whole(request.take_payload(), LARGEST_FORM).await {
            Ok(bytes) => bytes,
            Err(problem) => return Ok(refused(request, problem.into())),
        };
        request.extensions_mut().insert(Fields::parse(&bytes));
        if !knows_the_second_secret(&request) {
            return Ok(refused(request, ErrorPage::stale_form()));
        }
    }
    Ok(next.call(request).await?.map_into_boxed_body())
}

fn trail(
    request: &ServiceRequest,
    found: &MatchedOperation,
    actor: Actor,
    PathSubject { site, plan }: PathSubject,
) -> AuditContext {
    AuditContext {
        actor,
        operation: found.operation.id.clone(),
        method: request.method().to_string(),
        path: path_of(request).to_owned(),
        site,
        plan,
        request_id: RequestId::of(request),
        repeat: None,
        recorded: AtomicBool::new(false),
    }
}

/// Whether a form of this session sent the request. A key needs none: no browser adds it by itself.
/// Nor does who has no session yet.
fn knows_the_second_secret(request: &ServiceRequest) -> bool {
    let extensions = request.extensions();
    let person = |visitor: &&Principal| visitor.actor.kind == ActorKind::Person;
    if extensions.get::<Principal>().filter(person).is_none() {
        return true;
    }
    let Some(session) = session_of(request.request()) else {
        return false;
    };
    let given = extensions.get::<Fields>().and_then(|f| f.get("csrf"));
    given.is_some_and(|given| given == session.derived(CSRF))
}

/// Leads somebody who is not signed in to the page where they can, and slows down whoever keeps
/// trying.
fn stranger(service: &Service, request: ServiceRequest, changes: bool) -> ServiceResponse<BoxBody> {
    let network = client_network(request.request());
    if let Err(refusal) = service.limits.count_stranger(&network) {
        return refused(request, refusal.into());
    }
    // A form cannot be sent again from there; its page can be opened.
    let back = if changes {
        "/board".to_owned()
    } else {
        request.uri().to_string()
    };
    let (request, _) = request.into_parts();
    ServiceResponse::new(request, go_to(sign_in_for(&back)))
}

fn refused(request: ServiceRequest, trouble: ErrorPage) -> ServiceResponse<BoxBody> {
    let (request, _) = request.into_parts();
    if trouble.status_code() == StatusCode::INTERNAL_SERVER_ERROR {
        tracing::error!("a request was refused at the board's door");
    }
    ServiceResponse::new(request, trouble.error_response())
}
