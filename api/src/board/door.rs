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

use super::fields::Fields;
use super::go_to;
use super::sign_in::sign_in_for;
use super::trouble::Trouble;
use super::visitor::Visitor;
use crate::domain::Refusal;
use crate::domain::access::{Actor, ActorKind};
use crate::http::{
    CSRF, Found, OperationId, Operations, RequestId, admitted, changes, recognise, sent_by,
    session_of, whole,
};
use crate::service::Service;
use crate::storage::trail::{Trail, following};

/// The pages there are.
pub(super) struct Pages(pub(super) Operations);

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
    mut request: ServiceRequest,
    next: Next<B>,
) -> Result<ServiceResponse<BoxBody>, Error> {
    let service = request.app_data::<web::Data<Service>>().cloned();
    let pages = request.app_data::<web::Data<Pages>>().cloned();
    let (Some(service), Some(pages)) = (service, pages) else {
        return Ok(refused(request, Refusal::internal("no service").into()));
    };
    let path = request.path().to_owned();
    let Some(found) = pages.0.find(request.method().as_str(), &path) else {
        return Ok(refused(request, Trouble::nowhere()));
    };
    let id = OperationId(found.operation.id.clone());
    request.extensions_mut().insert(id);
    let changes = changes(&request);
    let Some(scope) = found.operation.scope else {
        if changes && let Err(trouble) = read_form(&mut request).await {
            return Ok(refused(request, trouble));
        }
        return Ok(next.call(request).await?.map_into_boxed_body());
    };
    let actor = match recognise(&service, &request, false).await {
        Ok(actor) => actor,
        Err(_) => return Ok(stranger(&service, request, changes)),
    };
    if let Err(refusal) = service.limits.count(&actor.id) {
        return Ok(refused(request, refusal.into()));
    }
    sent_by(&request, &actor);
    if changes && let Err(trouble) = read_form(&mut request).await {
        return Ok(refused(request, trouble));
    }
    if changes && !knows_the_second_secret(&request, &actor) {
        return Ok(refused(request, Trouble::stale_form()));
    }
    let place = match admitted(&service.store, &found, &path, &actor, scope, &request).await {
        Ok(place) => place,
        Err(problem) => return Ok(refused(request, problem.into())),
    };
    let visitor = Visitor::of(request.request(), actor.clone());
    request.extensions_mut().insert(visitor);
    if !changes {
        return Ok(next.call(request).await?.map_into_boxed_body());
    }
    let trail = trail(&request, &found, actor, place.site, place.plan);
    following(trail, async {
        Ok(next.call(request).await?.map_into_boxed_body())
    })
    .await
}

fn trail(
    request: &ServiceRequest,
    found: &Found<'_>,
    actor: Actor,
    site: Option<scheduler::scenario::SiteId>,
    plan: Option<crate::domain::plans::PlanId>,
) -> Trail {
    Trail {
        actor,
        operation: found.operation.id.clone(),
        method: request.method().to_string(),
        path: request.path().to_owned(),
        site,
        plan,
        request_id: RequestId::of(request),
        repeat: None,
        recorded: AtomicBool::new(false),
    }
}

/// Reads a form, for whoever handles it.
async fn read_form(request: &mut ServiceRequest) -> Result<(), Trouble> {
    let bytes = whole(request.take_payload(), LARGEST_FORM).await?;
    request.extensions_mut().insert(Fields::parse(&bytes));
    Ok(())
}

/// Whether a form of this session sent the request. A key needs none: no browser adds it by itself.
fn knows_the_second_secret(request: &ServiceRequest, actor: &Actor) -> bool {
    if actor.kind == ActorKind::Key {
        return true;
    }
    let Some(session) = session_of(request.request()) else {
        return false;
    };
    let extensions = request.extensions();
    let given = extensions.get::<Fields>().and_then(|f| f.get("csrf"));
    given.is_some_and(|given| given == session.derived(CSRF))
}

/// Leads somebody who is not signed in to the page where they can, and slows down whoever keeps
/// trying.
fn stranger(service: &Service, request: ServiceRequest, changes: bool) -> ServiceResponse<BoxBody> {
    let address = request.peer_addr().map(|address| address.ip().to_string());
    if let Err(refusal) = service.limits.count_stranger(&address.unwrap_or_default()) {
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

fn refused(request: ServiceRequest, trouble: Trouble) -> ServiceResponse<BoxBody> {
    let (request, _) = request.into_parts();
    if trouble.status_code() == StatusCode::INTERNAL_SERVER_ERROR {
        tracing::error!("a request was refused at the board's door");
    }
    ServiceResponse::new(request, trouble.error_response())
}
