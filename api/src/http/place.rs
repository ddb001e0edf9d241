//! The parts of a path, as typed ids.

use std::future::{Ready, ready};

use actix_web::dev::Payload;
use actix_web::{FromRequest, HttpRequest};
use scheduler::scenario::Fault;
use serde::de::DeserializeOwned;

use super::read;
use crate::problem::{Kind, Problem};

/// The parts of the path, read into a `T`.
#[derive(Debug)]
pub(crate) struct At<T>(pub(crate) T);

impl<T: DeserializeOwned> FromRequest for At<T> {
    type Error = Problem;
    type Future = Ready<Result<Self, Problem>>;

    fn from_request(request: &HttpRequest, _: &mut Payload) -> Self::Future {
        ready(parse(request).map(Self))
    }
}

fn parse<T: DeserializeOwned>(request: &HttpRequest) -> Result<T, Problem> {
    // Written as a query, so that parts can be numbers too.
    let mut parts = form_urlencoded::Serializer::new(String::new());
    parts.extend_pairs(request.match_info().iter());
    let parts = parts.finish();
    let source = serde_urlencoded::Deserializer::new(form_urlencoded::parse(parts.as_bytes()));
    read(source).map_err(|(fault, _): (Fault, _)| {
        Problem::new(Kind::BadPath, fault.to_string()).with(vec![fault])
    })
}
