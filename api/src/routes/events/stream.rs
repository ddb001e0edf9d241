//! Events as they happen, as server-sent events.

use std::sync::Arc;
use std::time::Duration;

use actix_web::{HttpRequest, HttpResponse, get, web};
use scheduler::check::Fault;
use scheduler::scenario::SiteId;
use serde::Deserialize;
use utoipa::IntoParams;

use crate::domain::Refusal;
use crate::domain::access::Actor;
use crate::domain::events::{Event, ReadTo};
use crate::http::{Params, Standing, sse};
use crate::problem::{Kind, Problem, problems};
use crate::service::Service;
use crate::storage::events::{self, Filter};
use crate::storage::sites;

problems! {
    StreamProblems: BadQuery, BadHeader, UnknownSite, Forbidden, EventsGone, Internal;
}

/// How often to look for new events.
const LOOK: Duration = Duration::from_millis(300);

/// Events that are read at once.
const PAGE: i64 = 200;

/// Which events are wanted.
#[derive(Debug, Deserialize, IntoParams)]
#[serde(deny_unknown_fields)]
#[into_params(parameter_in = Query)]
pub(crate) struct StreamParams {
    /// Events after the one with this `seq`; only those to come where neither this nor
    /// `Last-Event-ID` is sent.
    #[param(value_type = Option<i64>, minimum = 0, maximum = 9007199254740991_i64, example = 1042)]
    after: Option<ReadTo>,
    /// Only events of this site.
    #[param(value_type = Option<String>, pattern = "^[a-z0-9_-]{1,64}$", example = "harbour-bar")]
    site: Option<SiteId>,
}

/// Follow what happens, as server-sent events.
///
/// Each message has the event's `seq` as its id, its type as its event name and the event as JSON as
/// its data. A client that was cut off sends the last id as `Last-Event-ID` (browsers do so by
/// themselves) and misses nothing. A comment is sent every 15 seconds while nothing happens. The stream
/// ends when the key or session that opened it does, and when the service is stopped.
#[utoipa::path(
    tag = "events",
    extensions(("x-anywhere" = json!(true))),
    params(
        StreamParams,
        ("Last-Event-ID" = Option<String>, Header, example = "1042",
            description = "The last id that was received; it outranks `after`."),
    ),
    responses(
        (status = 200, description = "A stream that does not end.", body = String,
            content_type = "text/event-stream"),
        StreamProblems
    )
)]
#[get("/v1/events/stream")]
pub(crate) async fn stream_events(
    service: web::Data<Service>,
    actor: Actor,
    standing: Standing,
    request: HttpRequest,
    Params(params): Params<StreamParams>,
) -> Result<HttpResponse, Problem> {
    super::reach(&actor, params.site.as_ref())?;
    let asked = last_event_id(&request)?.or(params.after).map(ReadTo::seq);
    let site = params.site;
    let (after, site) = service
        .store
        .read(move |conn| {
            if let Some(site) = &site {
                sites::load(conn, site)?;
            }
            let after = match asked {
                Some(after) => {
                    events::follows(conn, after)?;
                    after
                }
                None => events::latest(conn)?,
            };
            Ok::<_, Refusal>((after, site))
        })
        .await?;
    let filter = Filter {
        after,
        site,
        kinds: Vec::new(),
    };
    let service = service.into_inner();
    let reader = sse::Reader::new(service.clone(), standing);
    Ok(sse::reply(sse::stream(
        reader,
        Follow { service, filter },
        next,
    )))
}

/// A follower of events.
struct Follow {
    service: Arc<Service>,
    filter: Filter,
}

/// What is new, after waiting for it a little while.
async fn next(mut follow: Follow) -> Option<(sse::Step, Follow)> {
    let filter = follow.filter.clone();
    let found: Result<Vec<Event>, Refusal> = follow
        .service
        .store
        .read(move |conn| {
            events::follows(conn, filter.after)?;
            Ok(events::list(conn, &filter, PAGE)?)
        })
        .await;
    // A client that reconnects goes on where it was, or is told that it cannot.
    let found = found.ok()?;
    let Some(last) = found.last() else {
        actix_web::rt::time::sleep(LOOK).await;
        return Some((sse::Step::Quiet, follow));
    };
    follow.filter.after = last.seq;
    let messages = found.iter().filter_map(|event| {
        let id = event.seq.to_string();
        sse::message(Some(&id), event.kind.as_str(), event).ok()
    });
    Some((sse::Step::Say(messages.collect()), follow))
}

fn last_event_id(request: &HttpRequest) -> Result<Option<ReadTo>, Problem> {
    let Some(value) = request.headers().get("last-event-id") else {
        return Ok(None);
    };
    let number: Option<u64> = value
        .to_str()
        .ok()
        .and_then(|text| text.trim().parse().ok());
    let seq = number.and_then(|number| ReadTo::try_from(number).ok());
    seq.map(Some).ok_or_else(|| {
        let fault = Fault {
            field: "last-event-id".to_owned(),
            what: "the id of an event is allowed, as it was received".to_owned(),
        };
        Problem::new(Kind::BadHeader, fault.to_string()).with(vec![fault])
    })
}
