//! The log, and traces for other systems: OTLP over HTTP, where that is set.

use std::io::IsTerminal;
use std::time::Duration;

use actix_web::http::header::HeaderMap;
use opentelemetry::propagation::{Extractor, TextMapPropagator};
use opentelemetry::trace::{Status, TracerProvider};
use opentelemetry_otlp::{Protocol, SpanExporter, WithExportConfig, WithHttpConfig};
use opentelemetry_sdk::Resource;
use opentelemetry_sdk::propagation::TraceContextPropagator;
use opentelemetry_sdk::trace::SdkTracerProvider;
use tracing::{Level, Metadata, Span};
use tracing_opentelemetry::OpenTelemetrySpanExt;
use tracing_subscriber::filter::{FilterExt, filter_fn};
use tracing_subscriber::layer::SubscriberExt;
use tracing_subscriber::util::SubscriberInitExt;
use tracing_subscriber::{EnvFilter, Layer, Registry};
use url::Url;

use crate::settings::LogFormat;

/// What is logged, and what is traced, where nothing else is said. The solver warns whenever it ends
/// at a limit, and the search sets it one at almost every step.
const USUAL: &str = "info,actix_server=warn,highs=error";

/// Libraries that show whole requests, with keys and secret addresses, where they log in detail.
const TALKATIVE: [&str; 6] = [
    "actix_http",
    "actix_router",
    "actix_web",
    "hyper",
    "hyper_util",
    "reqwest",
];

/// How long a receiver may take.
const PATIENCE: Duration = Duration::from_secs(10);

/// Whether something may be logged, whatever `RUST_LOG` says.
fn discreet(about: &Metadata<'_>) -> bool {
    let library = about.target().split("::").next().unwrap_or_default();
    *about.level() <= Level::INFO || !TALKATIVE.contains(&library)
}

/// What must be let go of at the end, so that the last spans are sent.
#[derive(Debug)]
pub(crate) struct Telemetry(Option<SdkTracerProvider>);

/// Sends the log to standard error, as much of it as `RUST_LOG` says, and spans to a receiver.
///
/// # Errors
/// If the client for the receiver cannot be made.
pub(crate) fn start(format: LogFormat, receiver: Option<&Url>) -> Result<Telemetry, String> {
    let filter = EnvFilter::try_from_default_env().unwrap_or_else(|_| EnvFilter::new(USUAL));
    let filter = filter.and(filter_fn(discreet));
    let log = tracing_subscriber::fmt::layer().with_writer(std::io::stderr);
    let log: Box<dyn Layer<Registry> + Send + Sync> = match format {
        LogFormat::Text => log.with_ansi(std::io::stderr().is_terminal()).boxed(),
        LogFormat::Json => log.json().flatten_event(true).boxed(),
    };
    let log = log.with_filter(filter);
    let Some(receiver) = receiver else {
        tracing_subscriber::registry().with(log).init();
        return Ok(Telemetry(None));
    };
    let provider = provider(receiver)?;
    // What the exporter itself does is not traced, or it would never come to an end.
    let spans = tracing_opentelemetry::layer()
        .with_tracer(provider.tracer("fizzwright"))
        .with_filter(EnvFilter::new("off,api=info"));
    tracing_subscriber::registry().with(log).with(spans).init();
    Ok(Telemetry(Some(provider)))
}

fn provider(receiver: &Url) -> Result<SdkTracerProvider, String> {
    // It may be set up already.
    let _ = rustls::crypto::ring::default_provider().install_default();
    // Spans go where they are meant to go, and nowhere else.
    let client = reqwest::blocking::Client::builder()
        .timeout(PATIENCE)
        .redirect(reqwest::redirect::Policy::none())
        .build()
        .map_err(|error| error.to_string())?;
    let base = receiver.as_str().trim_end_matches('/');
    let exporter = SpanExporter::builder()
        .with_http()
        .with_http_client(client)
        .with_protocol(Protocol::HttpBinary)
        .with_timeout(PATIENCE)
        .with_endpoint(format!("{base}/v1/traces"))
        .build()
        .map_err(|error| error.to_string())?;
    let resource = Resource::builder().with_service_name("fizzwright").build();
    Ok(SdkTracerProvider::builder()
        .with_batch_exporter(exporter)
        .with_resource(resource)
        .build())
}

impl Telemetry {
    /// Sends what is left.
    pub(crate) fn stop(self) {
        if let Some(Err(error)) = self.0.map(|provider| provider.shutdown()) {
            tracing::warn!(cause = %error, "the last spans were not sent");
        }
    }
}

/// Makes a request's span go on with the caller's trace (W3C Trace Context), where it has one.
pub(crate) fn follow_caller(span: &Span, headers: &HeaderMap) {
    let caller = TraceContextPropagator::new().extract(&Headers(headers));
    // Nothing follows anything where spans are not sent.
    let _ = span.set_parent(caller);
}

/// Tells what became of a request.
pub(crate) fn answered(span: &Span, operation: &str, status: u16) {
    span.set_attribute("http.response.status_code", i64::from(status));
    span.set_attribute("fizzwright.operation", operation.to_owned());
    if status >= 500 {
        span.set_status(Status::error("the service failed"));
    }
}

/// Tells what a request is, by the conventions for HTTP servers. The path itself is not told: a part of
/// it may be a secret.
pub(crate) fn asked(span: &Span, method: &str, route: &str, client: String) {
    span.set_attribute("http.request.method", method.to_owned());
    span.set_attribute("http.route", route.to_owned());
    span.set_attribute("client.address", client);
    span.set_attribute("url.scheme", "http");
}

struct Headers<'a>(&'a HeaderMap);

impl Extractor for Headers<'_> {
    fn get(&self, key: &str) -> Option<&str> {
        self.0.get(key).and_then(|value| value.to_str().ok())
    }

    fn keys(&self) -> Vec<&str> {
        self.0.keys().map(|name| name.as_str()).collect()
    }
}

#[cfg(test)]
mod tests {
    use actix_web::http::header::{HeaderName, HeaderValue};
    use opentelemetry::trace::TraceContextExt;

    use super::*;

    /// The example of the W3C recommendation, section 3.2.
    const PARENT: &str = "00-0af7651916cd43dd8448eb211c80319c-b7ad6b7169203331-01";

    #[test]
    fn a_callers_trace_is_recognised_and_nonsense_is_not() {
        let trace = |value: &'static str| {
            let mut headers = HeaderMap::new();
            headers.insert(
                HeaderName::from_static("traceparent"),
                HeaderValue::from_static(value),
            );
            let context = TraceContextPropagator::new().extract(&Headers(&headers));
            let span = context.span().span_context().clone();
            span.is_valid().then(|| span.trace_id().to_string())
        };
        let known = "0af7651916cd43dd8448eb211c80319c".to_owned();
        assert_eq!(trace(PARENT), Some(known));
        assert_eq!(trace("00-0-0-01"), None);
        assert_eq!(
            trace("00-00000000000000000000000000000000-b7ad6b7169203331-01"),
            None
        );
    }
}
