//! The parts of a path, as typed ids: those of the path that was admitted, and of no other.

use std::future::{Ready, ready};
use std::sync::Arc;

use actix_web::dev::Payload;
use actix_web::{FromRequest, HttpMessage, HttpRequest};
use scheduler::check::Fault;
use serde::de::DeserializeOwned;

use super::operations::MatchedOperation;
use super::read;
use crate::domain::Refusal;
use crate::problem::{Kind, Problem};

/// The parts of the path, read into a `T`.
#[derive(Debug)]
pub(crate) struct TypedPath<T>(pub(crate) T);

impl<T: DeserializeOwned> FromRequest for TypedPath<T> {
    type Error = Problem;
    type Future = Ready<Result<Self, Problem>>;

    fn from_request(request: &HttpRequest, _: &mut Payload) -> Self::Future {
        ready(parse(request).map(Self))
    }
}

/// What the guard or the board's door let a request through to.
#[derive(Debug, Clone)]
pub(crate) struct Admitted(pub(crate) Arc<MatchedOperation>);

/// Whether the router leads a request where it was admitted.
fn as_admitted(request: &HttpRequest) -> bool {
    let extensions = request.extensions();
    let admitted = extensions.get::<Admitted>();
    admitted.is_some_and(|admitted| admitted.0.agrees(request.match_info()))
}

fn parse<T: DeserializeOwned>(request: &HttpRequest) -> Result<T, Problem> {
    if !as_admitted(request) {
        return Err(
            Refusal::internal("a request was led elsewhere than it was admitted to").into(),
        );
    }
    // Written as a query, so that parts can be numbers too.
    let mut parts = form_urlencoded::Serializer::new(String::new());
    parts.extend_pairs(request.match_info().iter());
    let parts = parts.finish();
    let source = serde_urlencoded::Deserializer::new(form_urlencoded::parse(parts.as_bytes()));
    read(source).map_err(|(fault, _): (Fault, _)| {
        Problem::new(Kind::BadPath, fault.to_string()).with(vec![fault])
    })
}
