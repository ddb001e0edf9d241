//! `Idempotency-Key`: a request that is sent twice is answered twice and done once.

use actix_web::body::{BoxBody, MessageBody, to_bytes};
use actix_web::dev::{Payload, ServiceRequest, ServiceResponse};
use actix_web::http::header::{
    AUTHORIZATION, CONTENT_TYPE, ETAG, HeaderMap, HeaderName, HeaderValue, LOCATION,
};
use actix_web::http::{Method, StatusCode};
use actix_web::middleware::Next;
use actix_web::{Error, HttpResponse, web};
use scheduler::check::Fault;

use super::LARGEST_BODY;
use super::answering::KeptWithChange;
use super::body::unread;
use super::cookies::session_of;
use super::guard::refused;
use super::shown_once::ShownOnce;
use crate::domain::access::{Actor, hash};
use crate::domain::repeats::{Answer, LONGEST_KEY, PriorRequest, RepeatKey};
use crate::domain::{Refusal, time};
use crate::problem::{Chain, Kind, Problem};
use crate::storage::{StorageError, Store, repeats};

const IDEMPOTENCY_KEY: HeaderName = HeaderName::from_static("idempotency-key");
const REPLAYED: HeaderName = HeaderName::from_static("idempotent-replayed");

/// The headers that are part of an answer.
const KEPT: [HeaderName; 3] = [CONTENT_TYPE, LOCATION, ETAG];

/// The largest answer that is kept, in bytes; larger ones are those of long questions.
const LARGEST_ANSWER: usize = LARGEST_BODY;

/// The name a caller gave a request, if it is one that can have a name.
pub(super) fn named(request: &ServiceRequest, actor: &Actor) -> Result<Option<RepeatKey>, Problem> {
    let Some(value) = request.headers().get(IDEMPOTENCY_KEY) else {
        return Ok(None);
    };
    if request.method() != Method::POST {
        // The others can be repeated as they are.
        return Ok(None);
    }
    let text = value.to_str().unwrap_or_default().trim();
    if text.is_empty() || text.len() > LONGEST_KEY {
        let fault = Fault {
            field: IDEMPOTENCY_KEY.to_string(),
            what: format!(
                "{} characters found; 1 to {LONGEST_KEY} plain ones are allowed",
                text.len()
            ),
        };
        return Err(Problem::new(Kind::BadHeader, fault.to_string()).with(vec![fault]));
    }
    Ok(Some(RepeatKey {
        actor: format!("{}:{}", actor.kind.into_str(), actor.id),
        key: text.to_owned(),
    }))
}

/// Does what is asked for, unless it was done under this name before; then the answer is the same.
pub(super) async fn once<B: MessageBody + 'static>(
    store: &Store,
    key: RepeatKey,
    mut request: ServiceRequest,
    next: Next<B>,
) -> Result<ServiceResponse<BoxBody>, Error> {
    let body = match request.extract::<web::Bytes>().await {
        Ok(body) => body,
        Err(error) => return Ok(refused(request, &unread(&error))),
    };
    let fingerprint = hash(&[
        request.method().as_str().as_bytes(),
        request.uri().to_string().as_bytes(),
        &unguessable(&request),
        &body,
    ]);
    request.set_payload(Payload::from(body));
    let asked = key.clone();
    // Not on behalf of the request: noting it is no change of its own.
    let known = store
        .write_unrecorded(move |conn| repeats::begin(conn, &asked, &fingerprint, time::now()))
        .await;
    match known {
        Ok(PriorRequest::New) => {}
        Ok(PriorRequest::Answered(answer)) => return Ok(again(request, answer)),
        Ok(PriorRequest::Shown) => return Ok(refused(request, &Refusal::SecretShown.into())),
        Ok(PriorRequest::Underway) => return Ok(refused(request, &Refusal::RepeatUnderway.into())),
        Ok(PriorRequest::AnswerLost) => return Ok(refused(request, &Refusal::AnswerLost.into())),
        Ok(PriorRequest::Other) => return Ok(refused(request, &Refusal::RepeatDiffers.into())),
        Err(error) => return Ok(refused(request, &Refusal::from(error).into())),
    }
    let response = next.call(request).await?.map_into_boxed_body();
    keep(store, key, response).await
}

/// What makes the fingerprint of a body with a password worth nothing to whoever guesses at it: the
/// secret the caller shows, of which no more than a hash is kept.
fn unguessable(request: &ServiceRequest) -> Vec<u8> {
    if request.path() != "/v1/people" {
        return Vec::new();
    }
    let key = request.headers().get(AUTHORIZATION);
    let session = || session_of(request.request()).map(|token| token.reveal().into_bytes());
    key.map(|key| key.as_bytes().to_vec())
        .or_else(session)
        .unwrap_or_default()
}

/// Keeps an answer. One of a failure, and one that says "later", is not kept: it can be tried again.
/// Of one that holds a secret, only that it was given is kept.
async fn keep(
    store: &Store,
    key: RepeatKey,
    response: ServiceResponse<BoxBody>,
) -> Result<ServiceResponse<BoxBody>, Error> {
    let (request, response) = response.into_parts();
    if response.extensions().get::<KeptWithChange>().is_some() {
        return Ok(ServiceResponse::new(request, response));
    }
    let (head, body) = response.into_parts();
    let bytes = to_bytes(body).await.unwrap_or_default();
    let status = head.status();
    let secret = head.extensions().get::<ShownOnce>().is_some();
    let again = status.is_server_error() || status == StatusCode::TOO_MANY_REQUESTS;
    let answer = answer(status, head.headers(), &bytes);
    let done: Result<(), StorageError> = store
        .write_unrecorded(move |conn| match answer.filter(|_| !again) {
            None => repeats::forget(conn, &key),
            Some(_) if secret => repeats::shown(conn, &key),
            Some(answer) => repeats::answered(conn, &key, &answer),
        })
        .await;
    if let Err(error) = done {
        tracing::error!(cause = %Chain(&error), "the answer to a request is not kept");
    }
    let response = head.set_body(BoxBody::new(bytes));
    Ok(ServiceResponse::new(request, response))
}

/// What is kept of an answer; nothing of one that is too large.
pub(super) fn answer(status: StatusCode, headers: &HeaderMap, body: &[u8]) -> Option<Answer> {
    (body.len() <= LARGEST_ANSWER).then(|| Answer {
        status: status.as_u16(),
        headers: kept(headers),
        body: body.to_vec(),
    })
}

fn kept(headers: &HeaderMap) -> Vec<(String, String)> {
    let value = |name: &HeaderName| {
        let text = headers.get(name)?.to_str().ok()?;
        Some((name.to_string(), text.to_owned()))
    };
    KEPT.iter().filter_map(value).collect()
}

fn again(request: ServiceRequest, answer: Answer) -> ServiceResponse<BoxBody> {
    let status = StatusCode::from_u16(answer.status).unwrap_or(StatusCode::OK);
    let mut response = HttpResponse::build(status);
    for (name, value) in answer.headers {
        response.insert_header((name, value));
    }
    response.insert_header((REPLAYED, HeaderValue::from_static("true")));
    let (request, _) = request.into_parts();
    ServiceResponse::new(request, response.body(answer.body))
}
