//! Calibration: readings in, fitted numbers out, accepted into the setup by a person.

use actix_web::{HttpResponse, get, post, web};
use scheduler::plan::WorkId;
use scheduler::scenario::{Site, SiteId};
use serde::Serialize;
use std::collections::BTreeMap;
use utoipa::ToSchema;
use utoipa_actix_web::service_config::ServiceConfig;

use crate::domain::calibration::{Batch, CalibrationAcceptance, FittedParameter, fitted, put};
use crate::domain::events::{EventData, EventKind};
use crate::domain::plans::PlanId;
use crate::domain::readings::Reading;
use crate::domain::setup::{SetupDocument, check};
use crate::domain::work::WorkRecord;
use crate::domain::{Refusal, Revised, Revision};
use crate::http::{Body, Precondition, SitePath, TypedPath, etag};
use crate::problem::{Problem, problems};
use crate::service::Service;
use crate::storage::{Connection, events, plans, readings, setup, sites, work};

problems! {
    ReadProblems: BadPath, UnknownSite, NoSetup, Internal;
    AcceptProblems: BadJson, BadPath, BadHeader, UnknownSite, NoSetup, ChangedSince, BodyTooLarge,
        UnsupportedMediaType, Invalid, PreconditionRequired, Internal;
}

/// The latest readings that are looked at.
const MOST_READINGS: i64 = 5000;

/// What a site's readings say about numbers in its setup.
#[derive(Debug, Serialize, ToSchema)]
pub(crate) struct Calibration {
    /// The revision of the setup the numbers in use are from.
    setup_revision: Revision,
    /// The numbers about which there are enough readings.
    parameters: Vec<FittedParameter>,
}

pub(super) fn configure(app: &mut ServiceConfig<'_>) {
    app.service(read_calibration).service(accept_calibration);
}

/// Read what the site's readings say about numbers in its setup.
///
/// Fitted are: the part of each pot's power that reaches the water, from at least three temperatures
/// logged against a boil while it warms (`pots/POT/efficiency`); the heat a route's pot gives to its
/// ice bath, from temperatures while it is chilled (`routes/ROUTE/conductance`); how fast kegs that
/// are shaken take up CO2, from contents logged against a gassing (`gas_stations/STATION/uptake`).
/// The latest 5000 readings are looked at. Nothing is changed by looking.
#[utoipa::path(
    tag = "calibration",
    params(SitePath),
    responses(
        (status = 200, description = "Each number, what is in use and what was fitted.",
            body = Calibration,
            headers(("ETag" = String, description = "The setup's revision, for If-Match."))),
        ReadProblems
    )
)]
#[get("/v1/sites/{site}/calibration")]
pub(crate) async fn read_calibration(
    service: web::Data<Service>,
    TypedPath(SitePath { site }): TypedPath<SitePath>,
) -> Result<HttpResponse, Problem> {
    let (found, _) = service.store.read(move |conn| look(conn, &site)).await?;
    Ok(HttpResponse::Ok()
        .insert_header(etag(found.setup_revision))
        .json(found))
}

/// Accept fitted numbers into the setup, as a new revision of it.
///
/// A person says which. They are fitted again from the same readings, so that what is accepted is
/// what is stored; plans made from then on reckon with it.
#[utoipa::path(
    tag = "calibration",
    params(
        SitePath,
        ("If-Match" = String, Header, example = "\"3\"",
            description = "The ETag that was read with the fitted numbers, or *.")
    ),
    request_body(content = CalibrationAcceptance, description = "Which numbers, and who says so."),
    responses(
        (status = 200, description = "What the readings say about the new setup.",
            body = Calibration,
            headers(("ETag" = String, description = "The setup's new revision."))),
        AcceptProblems
    )
)]
#[post("/v1/sites/{site}/calibration/accept")]
pub(crate) async fn accept_calibration(
    service: web::Data<Service>,
    TypedPath(SitePath { site }): TypedPath<SitePath>,
    Precondition(expected): Precondition,
    Body(acceptance): Body<CalibrationAcceptance>,
) -> Result<HttpResponse, Problem> {
    let found = service
        .store
        .write(move |conn| {
            let (found, latest) = look(conn, &site)?;
            let document = accepted(&found, latest.document, &acceptance)?;
            check(&sites::load(conn, &site)?, &document)?;
            expected.admit(Some(latest.revision))?;
            store(conn, &site, latest.revision.next(), &document, &acceptance)?;
            Ok::<_, Refusal>(look(conn, &site)?.0)
        })
        .await?;
    Ok(HttpResponse::Ok()
        .insert_header(etag(found.setup_revision))
        .json(found))
}

/// The setup with the numbers that are accepted put in.
fn accepted(
    found: &Calibration,
    mut document: SetupDocument,
    acceptance: &CalibrationAcceptance,
) -> Result<SetupDocument, Refusal> {
    if acceptance.parameters.is_empty() {
        return Err(Refusal::field(
            "parameters",
            "0 found; 1 to 100 are allowed",
        ));
    }
    for (n, name) in acceptance.parameters.iter().enumerate() {
        let fit = found.parameters.iter().find(|fit| fit.parameter == *name);
        let fit = fit.ok_or_else(|| {
            let known: Vec<&str> = found
                .parameters
                .iter()
                .map(|f| f.parameter.as_str())
                .collect();
            let what = format!("\"{name}\" found; fitted are: {}", known.join(", "));
            Refusal::field(format!("parameters[{n}]"), what)
        })?;
        put(&mut document, name, fit.fitted)?;
    }
    Ok(document)
}

/// Stores an accepted setup, and tells of it.
fn store(
    conn: &mut Connection,
    site: &SiteId,
    revision: Revision,
    document: &SetupDocument,
    acceptance: &CalibrationAcceptance,
) -> Result<(), Refusal> {
    setup::insert(conn, site, revision, document)?;
    let data = EventData {
        revision: Some(revision),
        by: Some(acceptance.by.clone()),
        note: acceptance.note.clone(),
        ..EventData::default()
    };
    events::append(conn, site, EventKind::CalibrationAccepted, &data)?;
    Ok(())
}

fn look(
    conn: &mut Connection,
    id: &SiteId,
) -> Result<(Calibration, Revised<SetupDocument>), Refusal> {
    let site = sites::load(conn, id)?;
    let latest = setup::load(conn, id)?;
    let batches = batches(conn, &site)?;
    let found = Calibration {
        setup_revision: latest.revision,
        parameters: fitted(&site, &latest.document, &batches),
    };
    Ok((found, latest))
}

/// The site's work that has readings, with them.
fn batches(conn: &mut Connection, site: &Site) -> Result<Vec<Batch>, Refusal> {
    let zone = site.time_zone;
    let all = readings::latest(conn, &site.id, MOST_READINGS, zone)?;
    let mut by_plan: BTreeMap<PlanId, BTreeMap<WorkId, Vec<Reading>>> = BTreeMap::new();
    for reading in all {
        let items = by_plan.entry(reading.plan).or_default();
        items.entry(reading.item.clone()).or_default().push(reading);
    }
    let mut batches = Vec::new();
    for (plan, mut items) in by_plan {
        let made = plans::made(conn, plan)?;
        let records = work::of_plan(conn, plan, zone)?;
        for item in made.plan.work {
            let Some(mut readings) = items.remove(&item.id) else {
                continue;
            };
            readings.sort_by_key(|reading| reading.at);
            batches.push(Batch {
                record: records
                    .get(&item.id)
                    .cloned()
                    .unwrap_or(WorkRecord::PLANNED),
                item,
                readings,
            });
        }
    }
    Ok(batches)
}
