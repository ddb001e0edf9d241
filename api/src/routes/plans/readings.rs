//! Readings of a site.

use actix_web::{HttpResponse, get, web};
use serde::{Deserialize, Serialize};
use utoipa::{IntoParams, ToSchema};

use crate::domain::Refusal;
use crate::domain::page::PageSize;
use crate::domain::readings::{Reading, ReadingId};
use crate::http::{Params, SitePath, TypedPath};
use crate::problem::{Problem, problems};
use crate::service::Service;
use crate::storage::{readings, sites};

problems! {
    ListProblems: BadPath, BadQuery, UnknownSite, Internal;
}

/// Readings.
#[derive(Debug, Serialize, ToSchema)]
pub(crate) struct ReadingList {
    /// The readings, in the order of logging.
    readings: Vec<Reading>,
    /// What to send as `after` for the readings that follow; none at the end.
    #[serde(skip_serializing_if = "Option::is_none")]
    next: Option<ReadingId>,
}

/// Where to go on in the list.
#[derive(Debug, Deserialize, IntoParams)]
#[serde(deny_unknown_fields)]
#[into_params(parameter_in = Query)]
pub(crate) struct PageParams {
    /// Readings logged after this one.
    #[param(value_type = Option<String>, format = "uuid",
        example = "01975c1e-7a58-7b3e-9d2c-5d1f0a4b6c7d")]
    after: Option<ReadingId>,
    /// At most this many readings; 100 where nothing is said.
    #[param(value_type = Option<u16>, minimum = 1, maximum = 500, example = 100)]
    limit: Option<PageSize>,
}

/// List a site's readings.
#[utoipa::path(
    tag = "work",
    params(SitePath, PageParams),
    responses(
        (status = 200, description = "Readings, in the order of logging.", body = ReadingList),
        ListProblems
    )
)]
#[get("/v1/sites/{site}/readings")]
pub(crate) async fn list_site_readings(
    service: web::Data<Service>,
    TypedPath(SitePath { site: id }): TypedPath<SitePath>,
    Params(PageParams { after, limit }): Params<PageParams>,
) -> Result<HttpResponse, Problem> {
    let limit = limit.unwrap_or_default();
    let mut found = service
        .store
        .read(move |conn| {
            let zone = sites::load(conn, &id)?.time_zone;
            let list = readings::of_site(conn, &id, after, limit.and_one(), zone)?;
            Ok::<_, Refusal>(list)
        })
        .await?;
    let next = limit.next(&mut found, |reading| reading.id);
    Ok(HttpResponse::Ok().json(ReadingList {
        readings: found,
        next,
    }))
}
