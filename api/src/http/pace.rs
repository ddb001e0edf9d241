//! A body that must keep arriving: whoever sends too slowly is told so instead of being waited for.

use std::future::Future;
use std::io;
use std::pin::Pin;
use std::rc::Rc;
use std::task::{Context, Poll};
use std::time::{Duration, Instant};

use actix_web::dev::Payload;
use actix_web::error::PayloadError;
use actix_web::rt::time::{Sleep, sleep};
use actix_web::web;
use futures_util::Stream;

use super::arrival::{Arrival, Refused};

/// Bytes a second that a body must bring on average once the time-out is used up.
const LEAST_RATE: u64 = 4 * 1024;

/// A body on its way in, with a time-out for the next part, a least rate for the whole, and a bound
/// on its size.
pub(super) struct Paced {
    inner: Payload,
    arrival: Rc<Arrival>,
    received: u64,
    /// How long the service has waited so far; its own work does not count.
    waited: Duration,
    waiting: Option<(Instant, Pin<Box<Sleep>>)>,
    over: bool,
}

impl Paced {
    pub(super) fn new(inner: Payload, arrival: Rc<Arrival>) -> Self {
        Self {
            inner,
            arrival,
            received: 0,
            waited: Duration::ZERO,
            waiting: None,
            over: false,
        }
    }

    /// How long the next part may take.
    fn patience(&self) -> Duration {
        let timeout = self.arrival.timeout();
        let earned = Duration::from_secs(self.received / LEAST_RATE);
        timeout.min((timeout + earned).saturating_sub(self.waited))
    }

    /// Whether the next part has taken too long; if not, the task is woken when it has.
    fn too_slow(&mut self, cx: &mut Context<'_>) -> bool {
        let patience = self.patience();
        let (_, timer) = self
            .waiting
            .get_or_insert_with(|| (Instant::now(), Box::pin(sleep(patience))));
        timer.as_mut().poll(cx).is_ready()
    }

    fn arrived(&mut self, part: &web::Bytes) -> Result<(), Refused> {
        if let Some((since, _)) = self.waiting.take() {
            self.waited += since.elapsed();
        }
        self.received += part.len() as u64;
        self.arrival.count(part.len())
    }

    fn refuse(&mut self, refused: Refused) -> Poll<Option<Result<web::Bytes, PayloadError>>> {
        self.over = true;
        let error = PayloadError::Io(io::Error::other(refused));
        Poll::Ready(Some(Err(error)))
    }
}

impl Stream for Paced {
    type Item = Result<web::Bytes, PayloadError>;

    fn poll_next(self: Pin<&mut Self>, cx: &mut Context<'_>) -> Poll<Option<Self::Item>> {
        let this = self.get_mut();
        if this.over {
            return Poll::Ready(None);
        }
        match Pin::new(&mut this.inner).poll_next(cx) {
            Poll::Ready(Some(Ok(part))) => match this.arrived(&part) {
                Ok(()) => Poll::Ready(Some(Ok(part))),
                Err(refused) => this.refuse(refused),
            },
            Poll::Pending if this.too_slow(cx) => this.refuse(Refused::Slow),
            other => other,
        }
    }
}
