//! The audit trail: who changed what, and when.

use actix_web::{HttpResponse, get, web};
use scheduler::scenario::SiteId;
use serde::{Deserialize, Serialize};
use utoipa::{IntoParams, ToSchema};
use utoipa_actix_web::service_config::ServiceConfig;

use crate::domain::Refusal;
use crate::domain::access::Actor;
use crate::domain::audit::AuditEntry;
use crate::domain::page::PageSize;
use crate::http::Params;
use crate::problem::{Problem, problems};
use crate::service::Service;
use crate::storage::audit;

problems! {
    ListProblems: BadQuery, UnknownSite, Internal;
}

/// Entries of the audit trail.
#[derive(Debug, Serialize, ToSchema)]
pub(crate) struct AuditList {
    /// The entries, in the order of the changes.
    entries: Vec<AuditEntry>,
    /// What to send as `after` for the entries that follow; none at the end.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(example = 100)]
    next: Option<i64>,
}

/// Which entries.
#[derive(Debug, Deserialize, IntoParams)]
#[serde(deny_unknown_fields)]
#[into_params(parameter_in = Query)]
pub(crate) struct AuditParams {
    /// Entries after this `seq`.
    #[param(value_type = Option<i64>, minimum = 0, maximum = 4294967295_i64, example = 0)]
    after: Option<u32>,
    /// At most this many entries; 100 where nothing is said.
    #[param(value_type = Option<u16>, minimum = 1, maximum = 500, example = 100)]
    limit: Option<PageSize>,
    /// Only changes about this site.
    #[param(value_type = Option<String>, pattern = "^[a-z0-9_-]{1,64}$", example = "harbour-bar")]
    site: Option<SiteId>,
}

pub(super) fn configure(app: &mut ServiceConfig<'_>) {
    app.service(list_audit);
}

/// List who changed what, and when.
///
/// Every request that changed something is an entry, written in the same transaction as the change;
/// so is everybody who signed in. What was refused is there too: sign-ins that failed, keys and
/// sessions that open nothing, and what somebody may not do. Of refusals that are alike within a
/// minute the first is an entry, and the rest another one that says how often. Entries are never
/// rewritten.
#[utoipa::path(
    tag = "access",
    extensions(("x-anywhere" = json!(true))),
    security(("key" = ["admin"])),
    params(AuditParams),
    responses(
        (status = 200, description = "Entries, in the order of the changes.", body = AuditList),
        ListProblems
    )
)]
#[get("/v1/audit")]
pub(crate) async fn list_audit(
    service: web::Data<Service>,
    actor: Actor,
    Params(AuditParams { after, limit, site }): Params<AuditParams>,
) -> Result<HttpResponse, Problem> {
    let sites = match site {
        Some(site) if actor.grant.reaches(&site) => Some(vec![site]),
        Some(site) => return Err(Refusal::UnknownSite(site).into()),
        None => actor.grant.sites,
    };
    let after = i64::from(after.unwrap_or(0));
    let limit = limit.unwrap_or_default();
    let mut entries = service
        .store
        .read(move |conn| {
            let list = audit::list(conn, sites.as_deref(), after, limit.and_one())?;
            Ok::<_, Refusal>(list)
        })
        .await?;
    let next = limit.next(&mut entries, |entry| entry.seq);
    Ok(HttpResponse::Ok().json(AuditList { entries, next }))
}
