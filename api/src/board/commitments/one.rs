//! One question whether something more can be taken: its answer; held, accepted or let go.

use actix_web::{HttpResponse, web};
use askama::Template;
use chrono::{DateTime, FixedOffset};
use scheduler::answer::{Can, CommitmentAnswer};
use scheduler::scenario::{DemandId, SiteId};
use serde::Deserialize;

use super::super::error_page::{ErrorPage, Notice};
use super::super::fields::Fields;
use super::super::go_to;
use super::super::page::{Nav, Shell, shown};
use super::super::principal::Principal;
use super::super::work::who;
use super::{named, word};
use crate::app;
use crate::domain::commitments::{
    AcceptRequest, Commitment, HoldRequest, ReleaseRequest, Standing,
};
use crate::domain::plans::{PlanId, PlanState};
use crate::domain::{Refusal, time};
use crate::http::TypedPath;
use crate::service::Service;
use crate::storage::{Connection, commitments, setup, sites};
use crate::text::changes;
use crate::text::units::Units;

/// A path that names a commitment of a site.
#[derive(Debug, Clone, Deserialize)]
pub(in crate::board) struct CommitmentOfSite {
    site: SiteId,
    commitment: PlanId,
}

/// A service that would be served less.
struct Touched {
    line: String,
    before: String,
    after: String,
}

struct Answer {
    yes: bool,
    /// Whether the search came to an answer.
    settled: bool,
    yield_: bool,
    word: &'static str,
    most: String,
    at_most: String,
    earliest: String,
    not_before: String,
    cost: String,
    touched: Vec<Touched>,
    changes: Vec<String>,
}

#[derive(Template)]
#[template(path = "board/commitment.html")]
struct One {
    shell: Shell,
    href: String,
    what: String,
    open: bool,
    failure: String,
    answer: Option<Answer>,
    standing: &'static str,
    can_hold: bool,
    is_held: bool,
    can_release: bool,
    held_until: String,
    demand: String,
}

pub(in crate::board) async fn one(
    service: web::Data<Service>,
    visitor: Principal,
    TypedPath(path): TypedPath<CommitmentOfSite>,
) -> Result<HttpResponse, ErrorPage> {
    show(&service, visitor, path, 200, None).await
}

async fn show(
    service: &Service,
    visitor: Principal,
    path: CommitmentOfSite,
    status: u16,
    notice: Option<Notice>,
) -> Result<HttpResponse, ErrorPage> {
    let page = service
        .store
        .read(move |conn| {
            let commitment = of_site(conn, &path)?;
            page(conn, &visitor, &path, &commitment, notice)
        })
        .await?;
    shown(status, &page)
}

fn of_site(conn: &mut Connection, path: &CommitmentOfSite) -> Result<Commitment, Refusal> {
    let (commitment, _) = commitments::load(conn, path.commitment, time::now())?;
    if commitment.question.site == path.site {
        Ok(commitment)
    } else {
        Err(Refusal::UnknownQuestion(path.commitment))
    }
}

fn page(
    conn: &mut Connection,
    visitor: &Principal,
    path: &CommitmentOfSite,
    commitment: &Commitment,
    notice: Option<Notice>,
) -> Result<One, Refusal> {
    let site = sites::load(conn, &path.site)?;
    let setup = setup::load(conn, &site.id)?.document;
    let question = &commitment.question;
    let found = question.commitment.as_ref();
    let standing = commitment.standing;
    let open = matches!(question.state, PlanState::Queued | PlanState::Running);
    let again = matches!(
        standing,
        Standing::Asked | Standing::Held | Standing::Expired
    );
    Ok(One {
        href: format!("/board/{}/commitments/{}", path.site, path.commitment),
        what: found.map_or_else(
            || "Something more".to_owned(),
            |answer| named(answer, &setup, visitor.units),
        ),
        open,
        failure: question
            .failure
            .as_ref()
            .map_or_else(String::new, |f| f.detail.clone()),
        can_hold: again && found.is_some_and(|answer| answer.can != Can::No),
        is_held: standing == Standing::Held,
        can_release: matches!(standing, Standing::Asked | Standing::Held) && found.is_some(),
        standing: standing.into_str(),
        held_until: commitment.held_until.map_or_else(String::new, |until| {
            visitor
                .units
                .day_and_time(until.with_timezone(&site.time_zone).fixed_offset())
        }),
        demand: commitment
            .demand
            .as_ref()
            .map_or_else(String::new, ToString::to_string),
        answer: found.map(|answer| told(answer, &setup, visitor.units)),
        shell: Shell::of(visitor, &site, Nav::Commitments).saying(notice),
    })
}

fn told(
    answer: &CommitmentAnswer,
    setup: &crate::domain::setup::SetupDocument,
    units: Units,
) -> Answer {
    let when = |at: Option<DateTime<FixedOffset>>| {
        at.map_or_else(String::new, |at| units.day_and_time(at))
    };
    let touched = answer.touched.iter().map(|line| {
        let product = setup.setup.products.iter().find(|p| p.id == line.product);
        let product = product.map_or(line.product.as_str(), |p| p.name.as_str());
        Touched {
            line: format!("{product}, {}", units.day_and_time(line.due)),
            before: units.litres(line.before_l).to_string(),
            after: units.litres(line.after_l).to_string(),
        }
    });
    Answer {
        yes: answer.can == Can::Yes,
        settled: answer.settled(),
        yield_: answer.can == Can::IfOthersYield,
        word: word(answer),
        most: units.litres(answer.most_l).to_string(),
        at_most: units.litres(answer.at_most_l).to_string(),
        earliest: when(answer.earliest),
        not_before: when(answer.not_before),
        cost: format!("{} {}", units.number(answer.costs_more), answer.currency),
        touched: touched.collect(),
        changes: answer
            .changes
            .iter()
            .map(|change| changes::told(change, units))
            .collect(),
    }
}

pub(in crate::board) async fn hold(
    service: web::Data<Service>,
    visitor: Principal,
    TypedPath(path): TypedPath<CommitmentOfSite>,
    fields: Fields,
) -> Result<HttpResponse, ErrorPage> {
    let asked = path.clone();
    let done = service
        .store
        .write(move |conn| {
            of_site(conn, &asked)?;
            let request = HoldRequest {
                minutes: fields.number("minutes")?.unwrap_or(30),
                others_yield: fields.get("others_yield").is_some(),
            };
            app::commitments::hold(conn, asked.commitment, &request)
        })
        .await;
    answer(&service, visitor, path, done).await
}

pub(in crate::board) async fn accept(
    service: web::Data<Service>,
    visitor: Principal,
    TypedPath(path): TypedPath<CommitmentOfSite>,
    fields: Fields,
) -> Result<HttpResponse, ErrorPage> {
    let (asked, by) = (path.clone(), who(&fields, &visitor)?);
    let done = service
        .store
        .write(move |conn| {
            of_site(conn, &asked)?;
            let reference = fields.text("demand").map(str::to_owned);
            // The last part of the id is random.
            let id = asked.commitment.to_string();
            let usual = || format!("booking-{}", id.rsplit('-').next().unwrap_or(&id));
            let demand = DemandId::try_from(reference.unwrap_or_else(usual))
                .map_err(|error| Refusal::field("demand", error.to_string()))?;
            let request = AcceptRequest {
                demand,
                priority: None,
                note: fields.text("note").map(str::to_owned),
                by: Some(by),
            };
            app::commitments::accept(conn, asked.commitment, &request)
        })
        .await;
    answer(&service, visitor, path, done).await
}

pub(in crate::board) async fn release(
    service: web::Data<Service>,
    visitor: Principal,
    TypedPath(path): TypedPath<CommitmentOfSite>,
    fields: Fields,
) -> Result<HttpResponse, ErrorPage> {
    let (asked, by) = (path.clone(), who(&fields, &visitor)?);
    let done = service
        .store
        .write(move |conn| {
            of_site(conn, &asked)?;
            app::commitments::release(conn, asked.commitment, ReleaseRequest { by: Some(by) })
        })
        .await;
    answer(&service, visitor, path, done).await
}

async fn answer(
    service: &Service,
    visitor: Principal,
    path: CommitmentOfSite,
    done: Result<Commitment, Refusal>,
) -> Result<HttpResponse, ErrorPage> {
    match done {
        Ok(_) => Ok(go_to(format!(
            "/board/{}/commitments/{}",
            path.site, path.commitment
        ))),
        Err(refusal @ (Refusal::UnknownQuestion(_) | Refusal::UnknownSite(_))) => {
            Err(refusal.into())
        }
        Err(refusal) => {
            let (status, notice) = Notice::of(refusal);
            show(service, visitor, path, status, Some(notice)).await
        }
    }
}
