//! Server-sent events, as the HTML standard describes them (section 9.2).

use std::convert::Infallible;
use std::future::Future;
use std::time::{Duration, Instant};

use actix_web::HttpResponse;
use actix_web::http::header::{CACHE_CONTROL, CONTENT_ENCODING};
use actix_web::web::Bytes;
use futures_util::stream::{Stream, StreamExt, unfold};
use serde::Serialize;

/// How long a stream may be silent; proxies cut off what is silent for longer.
const SILENCE: Duration = Duration::from_secs(15);

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

/// A stream of what a source says, with a comment now and then while it is quiet.
pub(crate) fn stream<S, F, Next>(
    source: S,
    next: F,
) -> impl Stream<Item = Result<Bytes, Infallible>>
where
    F: Fn(S) -> Next + Copy,
    Next: Future<Output = Option<(Step, S)>>,
{
    // The first comment opens the stream, so that the client knows it is there.
    let begun = Instant::now() - SILENCE;
    let steps = unfold((source, begun), move |(source, spoke)| async move {
        let (step, source) = next(source).await?;
        let (text, spoke) = match step {
            Step::Say(text) => (text, Instant::now()),
            Step::Quiet if spoke.elapsed() >= SILENCE => (": quiet\n\n".to_owned(), Instant::now()),
            Step::Quiet => (String::new(), spoke),
        };
        Some((text, (source, spoke)))
    });
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
