//! Can we take it? Something more is asked for; held, accepted or let go.

pub(super) mod one;

use actix_web::{HttpResponse, web};
use askama::Template;
use chrono::{DateTime, Duration, FixedOffset};
use scheduler::answer::{Can, CommitmentAnswer};
use scheduler::scenario::{Site, SiteId};
use serde_json::json;

use super::error_page::{ErrorPage, Notice};
use super::fields::{Fields, LOCAL, through};
use super::go_to;
use super::page::{Nav, Shell, shown};
use super::plans::usual_start;
use super::principal::Principal;
use super::ready::{Choice, choices};
use crate::app;
use crate::domain::commitments::CommitmentRequest;
use crate::domain::plans::PlanId;
use crate::domain::{Refusal, time};
use crate::http::{SitePath, TypedPath};
use crate::service::Service;
use crate::storage::{Connection, commitments, setup, sites};
use crate::text::units::Units;
use model::units::{Unit, converted};

/// Something that is held now.
struct Held {
    id: PlanId,
    what: String,
}

/// Something that was asked lately, and what came of it.
struct Asked {
    id: PlanId,
    what: String,
    answer: &'static str,
    standing: &'static str,
}

/// How many questions are looked back on.
const LATELY: i64 = 8;

#[derive(Template)]
#[template(path = "board/commitments.html")]
struct Asking {
    shell: Shell,
    products: Vec<Choice>,
    due: String,
    start: String,
    unit: &'static str,
    held: Vec<Held>,
    lately: Vec<Asked>,
}

pub(super) async fn read(
    service: web::Data<Service>,
    visitor: Principal,
    TypedPath(SitePath { site }): TypedPath<SitePath>,
) -> Result<HttpResponse, ErrorPage> {
    let page = service
        .store
        .read(move |conn| asking(conn, &visitor, &site, None))
        .await?;
    shown(200, &page)
}

fn asking(
    conn: &mut Connection,
    visitor: &Principal,
    site: &SiteId,
    notice: Option<Notice>,
) -> Result<Asking, Refusal> {
    let site = sites::load(conn, site)?;
    let setup = setup::load(conn, &site.id)?.document;
    let start = usual_start(conn, &site.id, site.time_zone)?;
    let holds = commitments::holds(conn, &site.id, time::now())?;
    let held = holds.iter().map(|hold| Held {
        id: hold.id,
        what: named(&hold.answer, &setup, visitor.units),
    });
    let lately = commitments::lately(conn, &site.id, LATELY, time::now())?;
    let lately = lately.iter().map(|asked| {
        let answer = asked.question.commitment.as_ref();
        Asked {
            id: asked.question.id,
            what: answer.map_or_else(
                || "Something more".to_owned(),
                |answer| named(answer, &setup, visitor.units),
            ),
            answer: answer.map_or("no answer yet", word),
            standing: asked.standing.into_str(),
        }
    });
    Ok(Asking {
        lately: lately.collect(),
        products: choices(&setup, None),
        due: (start + Duration::hours(5 * 24 + 12))
            .format(LOCAL)
            .to_string(),
        start: start.format(LOCAL).to_string(),
        unit: visitor.units.litres(1.0).unit,
        held: held.collect(),
        shell: Shell::of(visitor, &site, Nav::Commitments).saying(notice),
    })
}

/// The answer in a word.
fn word(answer: &CommitmentAnswer) -> &'static str {
    match answer.can {
        Can::Yes => "Yes",
        Can::IfOthersYield => "If others yield",
        Can::No if !answer.settled() => "Not settled yet",
        Can::No => "No",
    }
}

/// `24 L of Tonic for Sat 6 June 18:00`.
fn named(
    answer: &CommitmentAnswer,
    setup: &crate::domain::setup::SetupDocument,
    units: Units,
) -> String {
    let product = setup.setup.products.iter().find(|p| p.id == answer.product);
    let product = product.map_or(answer.product.as_str(), |p| p.name.as_str());
    format!(
        "{} of {product} for {}",
        units.litres(answer.wanted_l),
        units.day_and_time(answer.due)
    )
}

pub(super) async fn take(
    service: web::Data<Service>,
    visitor: Principal,
    TypedPath(SitePath { site }): TypedPath<SitePath>,
    fields: Fields,
) -> Result<HttpResponse, ErrorPage> {
    let admission = service.admission();
    let (asked, units) = (site.clone(), visitor.units);
    let queued = service
        .store
        .write(move |conn| {
            let site = sites::load(conn, &asked)?;
            let request = request(&fields, &site, units)?;
            app::commitments::ask(conn, &admission, &asked, request)
        })
        .await;
    match queued {
        Ok(commitment) => {
            service.jobs.wake();
            let id = commitment.question.id;
            Ok(go_to(format!("/board/{site}/commitments/{id}")))
        }
        Err(refusal @ Refusal::UnknownSite(_)) => Err(refusal.into()),
        Err(refusal) => {
            let (status, notice) = Notice::of(refusal);
            let page = service
                .store
                .read(move |conn| asking(conn, &visitor, &site, Some(notice)))
                .await?;
            shown(status, &page)
        }
    }
}

/// What a form asks, through the same door as JSON.
fn request(fields: &Fields, site: &Site, units: Units) -> Result<CommitmentRequest, Refusal> {
    let zone = site.time_zone;
    let needed = |name: &str, at: Option<DateTime<FixedOffset>>| {
        at.ok_or_else(|| Refusal::field(name, "nothing found; a time is needed"))
    };
    let start = needed("start", fields.time("start", zone)?)?;
    let due = needed("due", fields.time("due", zone)?)?;
    let amount: Option<f64> = fields.number("amount")?;
    let amount =
        amount.ok_or_else(|| Refusal::field("amount", "nothing found; a number is needed"))?;
    let days = ((due - start).num_days() + 2).clamp(1, 56);
    let mut said = json!({
        "start": start,
        "days": days,
        "grid_minutes": 30,
        "product": fields.get("product").unwrap_or_default(),
        "due": due,
    });
    if fields.get("in") == Some("kegs") {
        said["kegs"] = json!(amount.round() as i64);
    } else {
        let unit = units.read_in(Unit::L);
        said["litres"] = json!(converted(amount, unit, Unit::L));
    }
    through(said)
}
