//! The one door: who somebody is, whether they may do what they ask for, and where.
//!
//! It asks the contract what an operation takes, so a handler need not think of it. Two things
//! are looked at for callers that are limited to sites: the site in the path, and the site of the
//! plan in the path. What names neither is closed to them, but for what is listed here.
//!
//! The board has a door of its own, which asks the same of everybody (`board/door.rs`).

use std::sync::atomic::AtomicBool;

use actix_web::body::{BoxBody, MessageBody};
use actix_web::dev::{ServiceRequest, ServiceResponse};
use actix_web::http::Method;
use actix_web::http::header::{HeaderMap, HeaderName, HeaderValue};
use actix_web::middleware::Next;
use actix_web::{Error, HttpMessage, ResponseError, web};
use scheduler::scenario::SiteId;

use super::actor::recognise;
use super::operations::{Found, Operations};
use super::request::{OperationId, RequestId};
use super::{cache, repeats, sent_by, unmatched};
use crate::board;
use crate::domain::Refusal;
use crate::domain::access::{Actor, Scope};
use crate::domain::plans::PlanId;
use crate::limits::{Left, Limits};
use crate::problem::{Kind, Problem};
use crate::service::Service;
use crate::storage::trail::{Trail, following};
use crate::storage::{Store, plans};

/// What callers limited to sites may ask beside what names one of their sites. The handlers show
/// them no more than that.
const ANYWHERE: [&str; 8] = [
    "/v1/audit",
    "/v1/calculations",
    "/v1/events",
    "/v1/keys",
    "/v1/limits",
    "/v1/people",
    "/v1/problems",
    "/v1/session",
];

/// Lets a request through to its handler, or answers it.
pub(crate) async fn guard<B: MessageBody + 'static>(
    request: ServiceRequest,
    next: Next<B>,
) -> Result<ServiceResponse<BoxBody>, Error> {
    if board::has(request.path()) {
        return Ok(next.call(request).await?.map_into_boxed_body());
    }
    let service = request.app_data::<web::Data<Service>>().cloned();
    let operations = request.app_data::<web::Data<Operations>>().cloned();
    let (Some(service), Some(operations)) = (service, operations) else {
        return Ok(refused(request, &Refusal::internal("no service").into()));
    };
    let path = request.path().to_owned();
    let Some(found) = operations.find(request.method().as_str(), &path) else {
        // Nothing takes it, and anybody can read that in the contract.
        let problem = unmatched::none(request.request(), &operations);
        return Ok(refused(request, &problem));
    };
    let id = OperationId(found.operation.id.clone());
    request.extensions_mut().insert(id);
    let mut response = recognised(&service, &found, request, next).await?;
    if let Some(retiring) = &found.operation.retiring {
        retiring.tell(response.headers_mut());
    }
    Ok(response)
}

/// Lets a request for something there is through, if it comes from somebody.
async fn recognised<B: MessageBody + 'static>(
    service: &Service,
    found: &Found<'_>,
    request: ServiceRequest,
    next: Next<B>,
) -> Result<ServiceResponse<BoxBody>, Error> {
    let changes = changes(&request);
    let Some(scope) = found.operation.scope else {
        if changes {
            return Ok(next.call(request).await?.map_into_boxed_body());
        }
        return cache::answer(request, next).await;
    };
    let actor = match recognise(service, &request, changes).await {
        Ok(actor) => actor,
        Err(problem) => return Ok(stranger(&service.limits, request, problem)),
    };
    let left = match service.limits.count(&actor.id) {
        Ok(left) => left,
        Err(refusal) => return Ok(refused(request, &refusal.into())),
    };
    sent_by(&request, &actor);
    let mut response = entered(&service.store, found, actor, scope, request, next).await?;
    if let Some(left) = left {
        tell(&left, response.headers_mut());
    }
    Ok(response)
}

/// Lets somebody who is known through to the handler.
async fn entered<B: MessageBody + 'static>(
    store: &Store,
    found: &Found<'_>,
    actor: Actor,
    scope: Scope,
    request: ServiceRequest,
    next: Next<B>,
) -> Result<ServiceResponse<BoxBody>, Error> {
    let path = request.path().to_owned();
    let changes = changes(&request);
    let place = match admitted(store, found, &path, &actor, scope, &request).await {
        Ok(place) => place,
        Err(problem) => return Ok(refused(request, &problem)),
    };
    request.extensions_mut().insert(actor.clone());
    if !changes {
        return cache::answer(request, next).await;
    }
    let repeat = match repeats::named(&request, &actor) {
        Ok(repeat) => repeat.filter(|_| scope > Scope::Read),
        Err(problem) => return Ok(refused(request, &problem)),
    };
    let trail = Trail {
        actor,
        operation: found.operation.id.clone(),
        method: request.method().to_string(),
        path,
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
    let address = request.peer_addr().map(|address| address.ip().to_string());
    let counted = limits.count_stranger(&address.unwrap_or_default());
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

/// What a path is about.
#[derive(Default)]
pub(crate) struct Place {
    pub(crate) site: Option<SiteId>,
    pub(crate) plan: Option<PlanId>,
}

/// Admits an actor to an operation, and says what it is about.
pub(crate) async fn admitted(
    store: &Store,
    found: &Found<'_>,
    path: &str,
    actor: &Actor,
    scope: Scope,
    request: &ServiceRequest,
) -> Result<Place, Problem> {
    if !actor.grant.allows(scope) {
        return Err(Refusal::forbidden(format!(
            "this takes the scope {}; \"{}\" has {}",
            scope.as_str(),
            actor.name,
            held(actor)
        ))
        .into());
    }
    // A part of a path that cannot be read is the handler's to explain.
    let site = found.parameter("site").map(SiteId::parse);
    // Questions and commitments are searches of a site, as plans are.
    let names = ["plan", "question", "commitment"];
    let plan = names
        .iter()
        .find_map(|name| found.parameter(name))
        .map(PlanId::parse);
    let place = Place {
        site: site.and_then(Result::ok),
        plan: plan.and_then(Result::ok),
    };
    if actor.grant.sites.is_none() {
        return Ok(place);
    }
    match (&place.site, place.plan) {
        (Some(site), _) if actor.grant.reaches(site) => Ok(place),
        (Some(site), _) => Err(Refusal::UnknownSite(site.clone()).into()),
        (None, Some(plan)) => {
            let site = store
                .read(move |conn| Ok::<_, Refusal>(plans::site_of(conn, plan)?))
                .await?;
            match site {
                Some(site) if actor.grant.reaches(&site) => Ok(place),
                _ => Err(Refusal::UnknownPlan(plan).into()),
            }
        }
        (None, None) => {
            let listed = ANYWHERE.iter().any(|start| {
                path.strip_prefix(start)
                    .is_some_and(|rest| rest.is_empty() || rest.starts_with('/'))
            });
            let sites = path == "/v1/sites" && request.method() == Method::GET;
            let unread = found
                .parameter("site")
                .or(found.parameter("plan"))
                .is_some();
            if listed || sites || unread {
                Ok(place)
            } else {
                Err(Refusal::forbidden(format!(
                    "\"{}\" is limited to sites, and this is about all of them",
                    actor.name
                ))
                .into())
            }
        }
    }
}

fn held(actor: &Actor) -> String {
    let names: Vec<&str> = actor.grant.scopes.iter().map(|s| s.as_str()).collect();
    names.join(", ")
}

/// Answers with a problem.
pub(super) fn refused(request: ServiceRequest, problem: &Problem) -> ServiceResponse<BoxBody> {
    let (request, _) = request.into_parts();
    if problem.kind() == Kind::Internal {
        tracing::error!("a request was refused by the guard");
    }
    ServiceResponse::new(request, problem.error_response())
}
