//! Stock: a ledger of counts and movements.

use actix_web::{HttpResponse, get, post, web};
use chrono::{DateTime, FixedOffset};
use scheduler::scenario::SiteId;
use serde::{Deserialize, Serialize};
use utoipa::{IntoParams, ToSchema};
use utoipa_actix_web::service_config::ServiceConfig;

use crate::app;
use crate::app::stock::Recorded;
use crate::domain::codes::Grai;
use crate::domain::page::PageSize;
use crate::domain::stock::{
    Balance, Correction, Count, KegAt, KegState, Movement, Reference, StockEntry, corrections,
};
use crate::domain::{Refusal, time};
use crate::http::{Body, Params, SitePath, TypedPath, answering};
use crate::problem::{Problem, problems};
use crate::service::Service;
use crate::storage::{Connection, sites, stock};

problems! {
    ReadProblems: BadPath, BadQuery, UnknownSite, NoStock, Internal;
    CorrectionProblems: BadPath, UnknownSite, UnknownCount, Internal;
    ListProblems: BadPath, BadQuery, UnknownSite, Internal;
    KegProblems: BadPath, UnknownSite, UnknownKeg, Invalid, Internal;
    RecordProblems: BadJson, BadPath, UnknownSite, NoSetup, ReferenceReused, BelowZero,
        BodyTooLarge, UnsupportedMediaType, Invalid, Internal;
}

/// Entries of the ledger.
#[derive(Debug, Serialize, ToSchema)]
pub(crate) struct StockEntryList {
    /// The entries, in the order of recording.
    entries: Vec<StockEntry>,
    /// What to send as `after` for the entries that follow; none at the end.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(example = 100)]
    next: Option<i64>,
}

/// What a count put right.
#[derive(Debug, Serialize, ToSchema)]
pub(crate) struct CorrectionList {
    /// The count.
    counted: Reference,
    /// What was found to be different, by name; what agrees is not listed.
    corrections: Vec<Correction>,
}

/// A path that names a count.
#[derive(Debug, Deserialize, IntoParams)]
#[into_params(parameter_in = Path)]
pub(crate) struct CountPath {
    /// The site's id.
    #[param(value_type = String, pattern = "^[a-z0-9_-]{1,64}$", example = "harbour-bar")]
    site: SiteId,
    /// The `seq` of the count.
    #[param(value_type = i64, minimum = 1, maximum = 4294967295_i64, example = 1)]
    seq: u32,
}

/// At which instant.
#[derive(Debug, Deserialize, IntoParams)]
#[serde(deny_unknown_fields)]
#[into_params(parameter_in = Query)]
pub(crate) struct InstantParams {
    /// What was on hand then (RFC 3339; a plus sign is written %2B); now where nothing is said.
    #[param(value_type = Option<String>, format = DateTime, example = "2026-06-02T08:00:00Z")]
    #[serde(
        default,
        deserialize_with = "scheduler::scenario::instants::instant_if_any"
    )]
    at: Option<DateTime<FixedOffset>>,
}

/// Kegs that are known one by one.
#[derive(Debug, Serialize, ToSchema)]
pub(crate) struct KegList {
    /// The kegs, by GRAI.
    kegs: Vec<KegAt>,
}

/// Where a keg is, and how it got there.
#[derive(Debug, Serialize, ToSchema)]
pub(crate) struct KegHistory {
    /// Where it is now, and in what state.
    keg: KegAt,
    /// The entries of the ledger that name it, in order of time; 2000 at the most.
    entries: Vec<StockEntry>,
}

/// A path that names a keg.
#[derive(Debug, Deserialize, IntoParams)]
#[into_params(parameter_in = Path)]
pub(crate) struct KegPath {
    /// The site's id.
    #[param(value_type = String, pattern = "^[a-z0-9_-]{1,64}$", example = "harbour-bar")]
    site: SiteId,
    /// The keg's GRAI.
    #[param(value_type = String, pattern = "^0[0-9]{13}[A-Za-z0-9]{1,16}$",
        example = "06291041500213A117")]
    grai: String,
}

/// Which kegs, and at which instant.
#[derive(Debug, Deserialize, IntoParams)]
#[serde(deny_unknown_fields)]
#[into_params(parameter_in = Query)]
pub(crate) struct KegParams {
    /// Where they were then (RFC 3339; a plus sign is written %2B); now where nothing is said.
    #[param(value_type = Option<String>, format = DateTime, example = "2026-06-02T08:00:00Z")]
    #[serde(
        default,
        deserialize_with = "scheduler::scenario::instants::instant_if_any"
    )]
    at: Option<DateTime<FixedOffset>>,
    /// Only kegs in this state.
    #[param(inline, example = "ready")]
    state: Option<KegState>,
}

/// Where to go on in the ledger.
#[derive(Debug, Deserialize, IntoParams)]
#[serde(deny_unknown_fields)]
#[into_params(parameter_in = Query)]
pub(crate) struct PageParams {
    /// Entries after this `seq`.
    #[param(value_type = Option<i64>, minimum = 0, maximum = 4294967295_i64, example = 100)]
    after: Option<u32>,
    /// At most this many entries; 100 where nothing is said.
    #[param(value_type = Option<u16>, minimum = 1, maximum = 500, example = 100)]
    limit: Option<PageSize>,
}

pub(super) fn configure(app: &mut ServiceConfig<'_>) {
    app.service(read_stock)
        .service(list_kegs)
        .service(read_keg)
        .service(list_stock_corrections)
        .service(list_stock_entries)
        .service(record_stock_count)
        .service(record_stock_movement);
}

fn until(at: Option<DateTime<FixedOffset>>) -> stock::Until {
    at.map_or(stock::Until::ALL, stock::Until::instant)
}

/// Read what is on hand, or was: the latest count, what moved since, and what finished work did.
///
/// Work of a published plan that is finished or failed is booked with the plan's amounts: kegs go
/// from clean to filled, to ready, to the tap, back dirty and clean again; syrups, ascorbate and CO2
/// are used up. Kegs on tap empty as the plan's services pass. Not booked are ice (made, drawn and
/// melting all the time) and what is under way: water in pots, kegs under gas or in the wash are
/// still what they were. A count puts everything right.
#[utoipa::path(
    tag = "stock",
    params(SitePath, InstantParams),
    responses((status = 200, description = "What is on hand.", body = Balance), ReadProblems)
)]
#[get("/v1/sites/{site}/stock")]
pub(crate) async fn read_stock(
    service: web::Data<Service>,
    TypedPath(SitePath { site: id }): TypedPath<SitePath>,
    Params(InstantParams { at }): Params<InstantParams>,
) -> Result<HttpResponse, Problem> {
    let balance: Balance = service
        .store
        .read(move |conn| {
            let site = sites::load(conn, &id)?;
            let zone = site.time_zone;
            let now = || time::now().with_timezone(&zone).fixed_offset();
            let found = stock::books(conn, &id, zone, until(at))?;
            let books = found.ok_or(Refusal::NoStock(id))?;
            Ok::<_, Refusal>(books.balance(at.unwrap_or_else(now)))
        })
        .await?;
    Ok(HttpResponse::Ok().json(balance))
}

/// List the kegs that are known one by one: where each is, or was, and in what state.
///
/// A keg is known from the first count, movement or report of work that names its GRAI.
#[utoipa::path(
    tag = "stock",
    params(SitePath, KegParams),
    responses((status = 200, description = "The kegs, by GRAI.", body = KegList), ListProblems)
)]
#[get("/v1/sites/{site}/stock/kegs")]
pub(crate) async fn list_kegs(
    service: web::Data<Service>,
    TypedPath(SitePath { site: id }): TypedPath<SitePath>,
    Params(KegParams { at, state }): Params<KegParams>,
) -> Result<HttpResponse, Problem> {
    let kegs = service
        .store
        .read(move |conn| {
            let zone = sites::load(conn, &id)?.time_zone;
            let books = stock::books(conn, &id, zone, until(at))?;
            let kegs = books.iter().flat_map(|books| books.kegs().cloned());
            let wanted = |keg: &KegAt| state.is_none_or(|state| keg.place.state == state);
            Ok::<_, Refusal>(kegs.filter(wanted).collect::<Vec<KegAt>>())
        })
        .await?;
    Ok(HttpResponse::Ok().json(KegList { kegs }))
}

/// Read where a keg is, and every entry of the ledger that names it.
#[utoipa::path(
    tag = "stock",
    params(KegPath),
    responses((status = 200, description = "The keg.", body = KegHistory), KegProblems)
)]
#[get("/v1/sites/{site}/stock/kegs/{grai}")]
pub(crate) async fn read_keg(
    service: web::Data<Service>,
    TypedPath(KegPath { site: id, grai }): TypedPath<KegPath>,
) -> Result<HttpResponse, Problem> {
    let grai = Grai::try_from(grai).map_err(|error| Refusal::field("grai", error.to_string()))?;
    let history = service
        .store
        .read(move |conn| {
            let zone = sites::load(conn, &id)?.time_zone;
            let books = stock::books(conn, &id, zone, stock::Until::ALL)?;
            let keg = books.as_ref().and_then(|books| books.keg(&grai)).cloned();
            let keg = keg.ok_or_else(|| Refusal::UnknownKeg(grai.clone()))?;
            let entries = stock::naming(conn, &id, &grai, zone)?;
            Ok::<_, Refusal>(KegHistory { keg, entries })
        })
        .await?;
    Ok(HttpResponse::Ok().json(history))
}

/// Read what a count put right: the books just before it, and what was found.
///
/// The first count of a site puts nothing right.
#[utoipa::path(
    tag = "stock",
    params(CountPath),
    responses(
        (status = 200, description = "What was found to be different.", body = CorrectionList),
        CorrectionProblems
    )
)]
#[get("/v1/sites/{site}/stock/counts/{seq}/corrections")]
pub(crate) async fn list_stock_corrections(
    service: web::Data<Service>,
    TypedPath(CountPath { site: id, seq }): TypedPath<CountPath>,
) -> Result<HttpResponse, Problem> {
    let found = service
        .store
        .read(move |conn| {
            let site = sites::load(conn, &id)?;
            stock::count_at(conn, &id, i64::from(seq), site.time_zone)
        })
        .await?;
    let (count, before) = found;
    let corrections = before.map_or_else(Vec::new, |books| corrections(&books.stock, &count.stock));
    Ok(HttpResponse::Ok().json(CorrectionList {
        counted: count.reference,
        corrections,
    }))
}

/// List the entries of a site's stock ledger.
#[utoipa::path(
    tag = "stock",
    params(SitePath, PageParams),
    responses(
        (status = 200, description = "Entries, in the order of recording.", body = StockEntryList),
        ListProblems
    )
)]
#[get("/v1/sites/{site}/stock/entries")]
pub(crate) async fn list_stock_entries(
    service: web::Data<Service>,
    TypedPath(SitePath { site: id }): TypedPath<SitePath>,
    Params(PageParams { after, limit }): Params<PageParams>,
) -> Result<HttpResponse, Problem> {
    let after = i64::from(after.unwrap_or(0));
    let limit = limit.unwrap_or_default();
    let mut entries = service
        .store
        .read(move |conn| {
            let site = sites::load(conn, &id)?;
            Ok::<_, Refusal>(stock::list(
                conn,
                &id,
                after,
                limit.and_one(),
                site.time_zone,
            )?)
        })
        .await?;
    let next = limit.next(&mut entries, |entry| entry.seq);
    Ok(HttpResponse::Ok().json(StockEntryList { entries, next }))
}

/// Record a count: everything that was found.
#[utoipa::path(
    tag = "stock",
    security(("key" = ["floor"])),
    params(SitePath),
    request_body(content = Count, description = "Everything that was found, by state."),
    responses(
        (status = 200, description = "This very count is recorded already.", body = StockEntry),
        (status = 201, description = "The entry.", body = StockEntry),
        RecordProblems
    )
)]
#[post("/v1/sites/{site}/stock/counts")]
pub(crate) async fn record_stock_count(
    service: web::Data<Service>,
    TypedPath(SitePath { site }): TypedPath<SitePath>,
    Body(count): Body<Count>,
) -> Result<HttpResponse, Problem> {
    let record = move |conn: &mut Connection| app::stock::record_count(conn, &site, count);
    answering(&service.store, record, reply).await
}

/// Record a movement: something that came in or went out since the last count.
#[utoipa::path(
    tag = "stock",
    security(("key" = ["floor"])),
    params(SitePath),
    request_body(content = Movement, description = "What came in or went out."),
    responses(
        (status = 200, description = "This very movement is recorded already.", body = StockEntry),
        (status = 201, description = "The entry.", body = StockEntry),
        RecordProblems
    )
)]
#[post("/v1/sites/{site}/stock/movements")]
pub(crate) async fn record_stock_movement(
    service: web::Data<Service>,
    TypedPath(SitePath { site }): TypedPath<SitePath>,
    Body(movement): Body<Movement>,
) -> Result<HttpResponse, Problem> {
    let record = move |conn: &mut Connection| app::stock::record_movement(conn, &site, movement);
    answering(&service.store, record, reply).await
}

fn reply((recorded, entry): &(Recorded, StockEntry)) -> HttpResponse {
    let mut response = match recorded {
        Recorded::New => HttpResponse::Created(),
        Recorded::Before => HttpResponse::Ok(),
    };
    response.json(entry)
}
