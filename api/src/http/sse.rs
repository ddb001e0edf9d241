//! Server-sent events, as the HTML standard describes them (section 9.2).

use std::convert::Infallible;
use std::future::Future;
use std::pin::pin;
use std::sync::Arc;
use std::time::{Duration, Instant};

use actix_web::HttpResponse;
use actix_web::http::header::{CACHE_CONTROL, CONTENT_ENCODING};
use actix_web::web::Bytes;
use futures_util::future::{Either, select};
use futures_util::stream::{Stream, StreamExt, unfold};
use serde::Serialize;

use super::actor::Standing;
use crate::service::Service;

/// How long a stream may be silent; proxies cut off what is silent for longer.
const SILENCE: Duration = Duration::from_secs(15);

/// How often it is looked whether the reader may go on reading.
const LOOK_AGAIN: Duration = Duration::from_secs(2);

/// What a source has to say.
pub(crate) enum Step {
    /// Nothing yet; it has waited a little.
    Quiet,
    /// Messages.
    Say(String),
}

/// One message. JSON on one line needs no splitting.
pub(crate) fn message<T: Serialize>(
    id: Option<&str>,
    event: &str,
    data: &T,
) -> Result<String, serde_json::Error> {
    let data = serde_json::to_string(data)?;
    let id = id.map(|id| format!("id: {id}\n")).unwrap_or_default();
    Ok(format!("{id}event: {event}\ndata: {data}\n\n"))
}

/// Who reads a stream, and of which service: it ends when they may not read on, and when the service
/// is told to stop.
pub(crate) struct Reader {
    service: Arc<Service>,
    standing: Standing,
    looked: Instant,
}

impl Reader {
    pub(crate) fn new(service: Arc<Service>, standing: Standing) -> Self {
        Self {
            service,
            standing,
            looked: Instant::now(),
        }
    }

    /// Waits for what comes next, as long as it may be told.
    async fn wait<T>(&mut self, next: impl Future<Output = Option<T>>) -> Option<T> {
        if self.looked.elapsed() >= LOOK_AGAIN {
            if !self.standing.holds(&self.service).await {
                return None;
            }
            self.looked = Instant::now();
        }
        match select(pin!(self.service.stopping.told()), pin!(next)).await {
            Either::Left(_) => None,
            Either::Right((found, _)) => found,
        }
    }
}

/// A stream of what a source says, with a comment now and then while it is quiet.
pub(crate) fn stream<S, F, Next>(
    reader: Reader,
    source: S,
    next: F,
) -> impl Stream<Item = Result<Bytes, Infallible>>
where
    F: Fn(S) -> Next + Copy,
    Next: Future<Output = Option<(Step, S)>>,
{
    // The first comment opens the stream, so that the client knows it is there.
    let begun = Instant::now() - SILENCE;
    let steps = unfold(
        (reader, source, begun),
        move |(mut reader, source, spoke)| async move {
            let (step, source) = reader.wait(next(source)).await?;
            let (text, spoke) = match step {
                Step::Say(text) => (text, Instant::now()),
                Step::Quiet if spoke.elapsed() >= SILENCE => {
                    (": quiet\n\n".to_owned(), Instant::now())
                }
                Step::Quiet => (String::new(), spoke),
            };
            Some((text, (reader, source, spoke)))
        },
    );
    steps.filter_map(|text| async move { (!text.is_empty()).then(|| Ok(Bytes::from(text))) })
}

/// The response that carries a stream. It is never compressed: that would hold messages back.
pub(crate) fn reply<S>(stream: S) -> HttpResponse
where
    S: Stream<Item = Result<Bytes, Infallible>> + 'static,
{
    HttpResponse::Ok()
        .content_type("text/event-stream")
        .insert_header((CACHE_CONTROL, "no-store"))
        .insert_header((CONTENT_ENCODING, "identity"))
        .streaming(stream)
}
