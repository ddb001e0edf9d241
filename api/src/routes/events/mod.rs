//! Events: everything that happened, in order.

mod stream;

use actix_web::{HttpResponse, get, web};
use scheduler::scenario::SiteId;
use serde::{Deserialize, Serialize};
use utoipa::{IntoParams, ToSchema};
use utoipa_actix_web::service_config::ServiceConfig;

use crate::domain::Refusal;
use crate::domain::access::Actor;
use crate::domain::events::{Event, EventKind, ReadTo};
use crate::domain::page::PageSize;
use crate::http::Params;
use crate::problem::{Problem, problems};
use crate::service::Service;
use crate::storage::events::{self, Filter};
use crate::storage::sites;

problems! {
    ListProblems: BadQuery, UnknownSite, Forbidden, EventsGone, Internal;
}

/// Events, in order.
#[derive(Debug, Serialize, ToSchema)]
pub(crate) struct EventList {
    /// The events, in the order in which they happened.
    events: Vec<Event>,
    /// What to send as `after` next time, whether there are more events already or not.
    #[schema(minimum = 0, example = 1042)]
    next: i64,
    /// Whether there are more events already.
    more: bool,
}

/// Which events are wanted.
#[derive(Debug, Deserialize, IntoParams)]
#[serde(deny_unknown_fields)]
#[into_params(parameter_in = Query)]
pub(crate) struct EventParams {
    /// Events after the one with this `seq`; all from the first where nothing is said.
    #[param(value_type = Option<i64>, minimum = 0, maximum = 9007199254740991_i64, example = 1042)]
    after: Option<ReadTo>,
    /// Only events of this site.
    #[param(value_type = Option<String>, pattern = "^[a-z0-9_-]{1,64}$", example = "harbour-bar")]
    site: Option<SiteId>,
    /// Only events of this type.
    #[param(inline, rename = "type", example = "work.finished")]
    #[serde(rename = "type")]
    kind: Option<EventKind>,
    /// At most this many events; 100 where nothing is said.
    #[param(value_type = Option<u16>, minimum = 1, maximum = 500, example = 100)]
    limit: Option<PageSize>,
}

pub(super) fn configure(app: &mut ServiceConfig<'_>) {
    app.service(list_events).service(stream::stream_events);
}

/// A caller that is limited to sites must name one of them.
fn reach(actor: &Actor, site: Option<&SiteId>) -> Result<(), Refusal> {
    match site {
        _ if actor.grant.sites.is_none() => Ok(()),
        Some(site) if actor.grant.reaches(site) => Ok(()),
        Some(site) => Err(Refusal::UnknownSite(site.clone())),
        None => Err(Refusal::forbidden(format!(
            "\"{}\" is limited to sites; name one of them as `site`",
            actor.name
        ))),
    }
}

/// List what happened, in order and without loss.
///
/// A system that was down sends the last `next` it was given as `after` and catches up. An event is
/// stored together with the change it tells of, and none becomes visible after one with a larger
/// number. If the events after `after` are gone, because an earlier copy of the database was put back
/// or because they are older than events are kept, the answer is 410 and says how to go on.
#[utoipa::path(
    tag = "events",
    extensions(("x-anywhere" = json!(true))),
    params(EventParams),
    responses((status = 200, description = "Events, in order.", body = EventList), ListProblems)
)]
#[get("/v1/events")]
pub(crate) async fn list_events(
    service: web::Data<Service>,
    actor: Actor,
    Params(params): Params<EventParams>,
) -> Result<HttpResponse, Problem> {
    reach(&actor, params.site.as_ref())?;
    let limit = params.limit.unwrap_or_default();
    let after = params.after.map_or(0, ReadTo::seq);
    let filter = Filter {
        after,
        site: params.site,
        kinds: params.kind.into_iter().collect(),
    };
    let mut found = service
        .store
        .read(move |conn| {
            if let Some(site) = &filter.site {
                sites::load(conn, site)?;
            }
            events::follows(conn, after)?;
            Ok::<_, Refusal>(events::list(conn, &filter, limit.and_one())?)
        })
        .await?;
    let more = limit.cut(&mut found);
    Ok(HttpResponse::Ok().json(EventList {
        next: found.last().map_or(after, |event| event.seq),
        events: found,
        more,
    }))
}
