//! The one door: who somebody is, whether they may do what they ask for, and where.
//!
//! It asks the contract what an operation takes, so a handler need not think of it
//! (`http/admission.rs` decides).
//!
//! The board has a door of its own, which asks the same of everybody (`board/auth.rs`).

use std::sync::Arc;
use std::sync::atomic::AtomicBool;

use actix_web::body::{BoxBody, MessageBody};
use actix_web::dev::{Payload, ServiceRequest, ServiceResponse};
use actix_web::http::Method;
use actix_web::http::header::{HeaderMap, HeaderName, HeaderValue};
use actix_web::middleware::Next;
use actix_web::{Error, HttpMessage, ResponseError, web};

use super::actor::recognise;
use super::admission::admitted;
use super::client::client_network;
use super::frontend::Frontend;
use super::operations::{MatchedOperation, Operations};
use super::request::RequestId;
use super::route::{Route, path_of};
use super::typed_path::Admitted;
use super::{cache, refusals, repeats, sent_by, unmatched, whole};
use crate::domain::Refusal;
use crate::domain::access::{Actor, Scope};
use crate::limits::{Left, Limits};
use crate::problem::{Kind, Problem};
use crate::service::Service;
use crate::storage::audit_context::{AuditContext, following};

/// The largest body of somebody who is not known, in bytes: a name and a password.
const STRANGERS_BODY: usize = 16 * 1024;

/// Lets a request through to its handler, or answers it.
pub(crate) async fn guard<B: MessageBody + 'static>(
    request: ServiceRequest,
    next: Next<B>,
) -> Result<ServiceResponse<BoxBody>, Error> {
    if Frontend::of(&request).is_some() {
        return Ok(next.call(request).await?.map_into_boxed_body());
    }
    let service = request.app_data::<web::Data<Service>>().cloned();
    let operations = request.app_data::<web::Data<Operations>>().cloned();
    let (Some(service), Some(operations)) = (service, operations) else {
        return Ok(refused(request, &Refusal::internal("no service").into()));
    };
    let Some(found) = Route::of(&request) else {
        // Nothing takes it, and anybody can read that in the contract.
        let problem = unmatched::none(request.request(), &operations);
        return Ok(refused(request, &problem));
    };
    let mut response = recognised(&service, &found, request, next).await?;
    if let Some(retiring) = &found.operation.retiring {
        retiring.tell(response.headers_mut());
    }
    Ok(response)
}

/// Lets a request for something there is through, if it comes from somebody.
async fn recognised<B: MessageBody + 'static>(
    service: &Service,
    found: &Arc<MatchedOperation>,
    request: ServiceRequest,
    next: Next<B>,
) -> Result<ServiceResponse<BoxBody>, Error> {
    let changes = changes(&request);
    let Some(scope) = found.operation.scope else {
        return open(found, request, next).await;
    };
    let actor = match recognise(service, &request, changes).await {
        Ok(actor) => actor,
        Err(problem) => {
            let id = &found.operation.id;
            refusals::of_stranger(service, request.request(), id, problem.kind());
            return Ok(stranger(&service.limits, request, problem));
        }
    };
    let left = match service.limits.count(&actor.id) {
        Ok(left) => left,
        Err(refusal) => return Ok(refused(request, &refusal.into())),
    };
    sent_by(&request, &actor);
    let mut response = entered(service, found, actor, scope, request, next).await?;
    if let Some(left) = left {
        tell(&left, response.headers_mut());
    }
    Ok(response)
}

/// Lets anybody through to what is open to all. What they send is small.
async fn open<B: MessageBody + 'static>(
    found: &Arc<MatchedOperation>,
    mut request: ServiceRequest,
    next: Next<B>,
) -> Result<ServiceResponse<BoxBody>, Error> {
    request.extensions_mut().insert(Admitted(found.clone()));
    if !changes(&request) {
        return cache::answer(request, next).await;
    }
    let body = match whole(request.take_payload(), STRANGERS_BODY).await {
        Ok(body) => body,
        Err(problem) => return Ok(refused(request, &problem)),
    };
    request.set_payload(Payload::from(body));
    Ok(next.call(request).await?.map_into_boxed_body())
}

/// Lets somebody who is known through to the handler.
async fn entered<B: MessageBody + 'static>(
    service: &Service,
    found: &Arc<MatchedOperation>,
    actor: Actor,
    scope: Scope,
    request: ServiceRequest,
    next: Next<B>,
) -> Result<ServiceResponse<BoxBody>, Error> {
    let store = &service.store;
    let place = match admitted(store, found, &actor, scope, &request).await {
        Ok(place) => place,
        Err(problem) => {
            let id = &found.operation.id;
            refusals::of_actor(service, request.request(), &actor, id, problem.kind());
            return Ok(refused(request, &problem));
        }
    };
    request.extensions_mut().insert(actor.clone());
    if !changes(&request) {
        return cache::answer(request, next).await;
    }
    let repeat = match repeats::named(&request, &actor) {
        Ok(repeat) => repeat.filter(|_| scope > Scope::Read),
        Err(problem) => return Ok(refused(request, &problem)),
    };
    let trail = AuditContext {
        actor,
        operation: found.operation.id.clone(),
        method: request.method().to_string(),
        path: path_of(&request).to_owned(),
        site: place.site,
        plan: place.plan,
        request_id: RequestId::of(&request),
        repeat: repeat.clone(),
        recorded: AtomicBool::new(false),
    };
    following(trail, async {
        match repeat {
            Some(key) => repeats::once(store, key, request, next).await,
            None => Ok(next.call(request).await?.map_into_boxed_body()),
        }
    })
    .await
}

pub(crate) fn changes(request: &ServiceRequest) -> bool {
    !matches!(*request.method(), Method::GET | Method::HEAD)
}

/// Answers somebody who is not known, and slows down whoever keeps trying.
fn stranger(
    limits: &Limits,
    request: ServiceRequest,
    problem: Problem,
) -> ServiceResponse<BoxBody> {
    let counted = limits.count_stranger(&client_network(request.request()));
    let problem = counted.err().map_or(problem, Problem::from);
    refused(request, &problem)
}

/// Tells a caller what is left, as draft-ietf-httpapi-ratelimit-headers writes it.
fn tell(left: &Left, headers: &mut HeaderMap) {
    let policy = format!("\"caller\";q={};w=60", left.quota);
    let rest = format!("\"caller\";r={}", left.remaining);
    for (name, value) in [("ratelimit-policy", policy), ("ratelimit", rest)] {
        if let Ok(value) = HeaderValue::from_str(&value) {
            headers.insert(HeaderName::from_static(name), value);
        }
    }
}

/// Answers with a problem.
pub(super) fn refused(request: ServiceRequest, problem: &Problem) -> ServiceResponse<BoxBody> {
    let (request, _) = request.into_parts();
    if problem.kind() == Kind::Internal {
        tracing::error!("a request was refused by the guard");
    }
    ServiceResponse::new(request, problem.error_response())
}
