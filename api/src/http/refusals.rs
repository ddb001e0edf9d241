//! What is noted in the audit trail of a request that was refused at the door.

use actix_web::HttpRequest;
use actix_web::http::header::AUTHORIZATION;

use super::cookies::{origin_of, session_of};
use super::request::line_of;
use crate::domain::access::Actor;
use crate::domain::audit::{AuditActor, Noted};
use crate::problem::Kind;
use crate::service::Service;

/// Notes that somebody who is not known showed what opens nothing. Who shows nothing at all, as a
/// browser does that comes by for the first time, is not noted.
pub(crate) fn of_stranger(service: &Service, request: &HttpRequest, operation: &str, kind: Kind) {
    let shown = request.headers().contains_key(AUTHORIZATION) || session_of(request).is_some();
    if shown {
        let address = origin_of(request).address;
        let noted = Noted::refused_to_a_stranger(&address, operation, kind.code());
        service.refusals.note(at(noted, request));
    }
}

/// Notes that somebody may not do what they asked for.
pub(crate) fn of_actor(
    service: &Service,
    request: &HttpRequest,
    actor: &Actor,
    operation: &str,
    kind: Kind,
) {
    let noted = Noted::new(AuditActor::from(actor), operation, Some(kind.code()));
    service.refusals.note(at(noted, request));
}

fn at(noted: Noted, request: &HttpRequest) -> Noted {
    noted.at(&line_of(request))
}
