//! How the body of a request may arrive: as it is, in time, and no more of it than there is room for.
//!
//! One middleware stands before everything else. Whoever reads the body after it, in whatever way,
//! gets it through [`Paced`] and so within these bounds.

use std::cell::{Cell, RefCell};
use std::rc::Rc;
use std::time::Duration;

use actix_web::body::{BoxBody, MessageBody};
use actix_web::dev::{Payload, ServiceRequest, ServiceResponse};
use actix_web::http::header::{ACCEPT_ENCODING, CONTENT_ENCODING, HeaderMap, HeaderValue};
use actix_web::middleware::Next;
use actix_web::{Error, HttpMessage, ResponseError, web};

use super::body::LARGEST_BODY;
use super::budget::{Budget, Full};
use super::client::client_network;
use super::frontend::Frontend;
use super::pace::Paced;
use super::state::HttpState;
use crate::domain::access::Actor;
use crate::problem::{Kind, Problem};

/// The largest body of somebody who is not known: a name and a password.
const LARGEST_OF_STRANGERS: usize = 64 * 1024;

/// What the service is told about bodies, and what it holds of them.
#[derive(Debug, Clone)]
pub(super) struct Bodies {
    /// How long to wait for more.
    pub(super) timeout: Duration,
    known: Budget,
    strangers: Budget,
}

impl Bodies {
    pub(super) fn new(timeout: Duration) -> Self {
        Self {
            timeout,
            known: Budget::new(4 * LARGEST_BODY, 16 * LARGEST_BODY),
            strangers: Budget::new(16 * LARGEST_OF_STRANGERS, 256 * LARGEST_OF_STRANGERS),
        }
    }
}

/// What has arrived of one body, and whose it is. What it holds is given back when the request is
/// answered.
#[derive(Debug)]
pub(super) struct Arrival {
    bodies: Bodies,
    caller: RefCell<String>,
    known: Cell<bool>,
    held: Cell<usize>,
}

impl Arrival {
    fn of(bodies: Bodies, request: &ServiceRequest) -> Rc<Self> {
        Rc::new(Self {
            bodies,
            caller: RefCell::new(client_network(request.request())),
            known: Cell::new(false),
            held: Cell::new(0),
        })
    }

    /// The body of somebody who is known may be large.
    pub(super) fn known(&self, actor: &Actor) {
        self.give_back();
        self.known.set(true);
        actor.id.clone_into(&mut self.caller.borrow_mut());
    }

    /// How long to wait for more.
    pub(super) fn timeout(&self) -> Duration {
        self.bodies.timeout
    }

    /// Counts a part that has arrived.
    pub(super) fn count(&self, bytes: usize) -> Result<(), Refused> {
        let most = if self.known.get() {
            LARGEST_BODY
        } else {
            LARGEST_OF_STRANGERS
        };
        if self.held.get() + bytes > most {
            return Err(Refused::Large { most });
        }
        let taken = self.budget().take(&self.caller.borrow(), bytes);
        taken.map_err(|full| match full {
            Full::Share => Refused::Share,
            Full::Whole => Refused::Whole,
        })?;
        self.held.set(self.held.get() + bytes);
        Ok(())
    }

    fn budget(&self) -> &Budget {
        if self.known.get() {
            &self.bodies.known
        } else {
            &self.bodies.strangers
        }
    }

    fn give_back(&self) {
        self.budget().give(&self.caller.borrow(), self.held.take());
    }
}

impl Drop for Arrival {
    fn drop(&mut self) {
        self.give_back();
    }
}

/// Why a body is not taken any further.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
pub(super) enum Refused {
    #[error("the body does not arrive in time")]
    Slow,
    #[error("the body is too large")]
    Large { most: usize },
    #[error("the caller is sending too much at once")]
    Share,
    #[error("too much is being sent at once")]
    Whole,
}

impl From<Refused> for Problem {
    fn from(refused: Refused) -> Self {
        match refused {
            Refused::Slow => Self::new(
                Kind::RequestTimeout,
                "the body did not arrive in time; send it again, at once and whole",
            ),
            Refused::Large { most } if most < 1024 * 1024 => Self::new(
                Kind::BodyTooLarge,
                format!("at most {} KB are allowed in this body", most / 1024),
            ),
            Refused::Large { most } => Self::new(
                Kind::BodyTooLarge,
                format!("at most {} MB are allowed in one body", most / 1024 / 1024),
            ),
            Refused::Share => Self::new(
                Kind::TooMany,
                "too many large bodies are being sent at once; send the next one after a second",
            )
            .retrying_after(1),
            Refused::Whole => Self::new(
                Kind::TooMany,
                "too many large bodies are being sent at once; send it again in a few seconds",
            )
            .retrying_after(5),
        }
    }
}

/// Says that a request comes from somebody who is known, so that its body may be large.
pub(crate) fn sent_by(request: &ServiceRequest, actor: &Actor) {
    if let Some(arrival) = request.extensions().get::<Rc<Arrival>>() {
        arrival.known(actor);
    }
}

/// Lets the body of a request arrive in time and within bounds, or refuses it unread.
pub(crate) async fn arrive<B: MessageBody + 'static>(
    mut request: ServiceRequest,
    next: Next<B>,
) -> Result<ServiceResponse<BoxBody>, Error> {
    let payload = request.take_payload();
    if matches!(payload, Payload::None) {
        return Ok(next.call(request).await?.map_into_boxed_body());
    }
    if is_encoded(request.headers()) {
        drop(payload);
        return Ok(encoded(request));
    }
    let Some(state) = request.app_data::<web::Data<HttpState>>() else {
        return Ok(next.call(request).await?.map_into_boxed_body());
    };
    let arrival = Arrival::of(state.bodies.clone(), &request);
    let payload = Box::pin(Paced::new(payload, Rc::clone(&arrival)));
    request.set_payload(Payload::Stream { payload });
    request.extensions_mut().insert(arrival);
    Ok(next.call(request).await?.map_into_boxed_body())
}

/// Whether a body is packed. An empty part of the list says nothing.
fn is_encoded(headers: &HeaderMap) -> bool {
    headers.get_all(CONTENT_ENCODING).any(|value| {
        let Ok(codings) = value.to_str() else {
            return true;
        };
        let mut codings = codings.split(',').map(str::trim);
        codings.any(|coding| !coding.is_empty() && !coding.eq_ignore_ascii_case("identity"))
    })
}

/// Refuses a body that is packed (RFC 9110, 15.5.16): how large it is unpacked is not known before.
fn encoded(request: ServiceRequest) -> ServiceResponse<BoxBody> {
    let problem = Problem::new(
        Kind::UnsupportedEncoding,
        "Content-Encoding found; send the body as it is",
    );
    let mut response = match Frontend::of(&request) {
        Some(frontend) => (frontend.refused)(problem),
        None => problem.error_response(),
    };
    let identity = HeaderValue::from_static("identity");
    response.headers_mut().insert(ACCEPT_ENCODING, identity);
    let (request, _) = request.into_parts();
    ServiceResponse::new(request, response)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn only_a_body_as_it_is_is_no_encoded_one() {
        let check = |values: &[&'static str], wanted: bool| {
            let mut headers = HeaderMap::new();
            for value in values {
                headers.append(CONTENT_ENCODING, HeaderValue::from_static(value));
            }
            assert_eq!(is_encoded(&headers), wanted, "{values:?}");
        };
        check(&[], false);
        check(&[""], false);
        check(&["identity"], false);
        check(&["Identity, identity"], false);
        check(&["gzip"], true);
        check(&["identity", "br"], true);
        check(&["identity, zstd"], true);
        check(&["x-unheard-of"], true);
    }

    #[test]
    fn what_is_held_is_given_back_and_strangers_send_little() {
        let bodies = Bodies::new(Duration::from_secs(1));
        let arrival = |known| Arrival {
            bodies: bodies.clone(),
            caller: RefCell::new("a".to_owned()),
            known: Cell::new(known),
            held: Cell::new(0),
        };
        let stranger = arrival(false);
        assert!(stranger.count(LARGEST_OF_STRANGERS).is_ok());
        let most = LARGEST_OF_STRANGERS;
        assert_eq!(stranger.count(1), Err(Refused::Large { most }));
        let held: Vec<Arrival> = (0..4).map(|_| arrival(true)).collect();
        assert!(held.iter().all(|one| one.count(LARGEST_BODY).is_ok()));
        assert_eq!(arrival(true).count(1), Err(Refused::Share));
        drop(held);
        assert!(arrival(true).count(LARGEST_BODY).is_ok());
    }
}
