//! One plan: how far it is, what it serves, what is short and why; published, replanned, cancelled.

use actix_web::{HttpResponse, web};
use askama::Template;
use scheduler::plan::{Plan, Reason, Served, Status};
use scheduler::scenario::{DemandKind, SiteId};
use serde::Deserialize;

use super::super::error_page::{ErrorPage, Notice};
use super::super::fields::{Fields, LOCAL};
use super::super::go_to;
use super::super::limit::{Limit, NOTHING_HELPS};
use super::super::page::{Nav, Shell, shown};
use super::super::principal::Principal;
use super::super::work::who;
use crate::app;
use crate::domain::plans::{PlanId, PlanResource, PlanState};
use crate::domain::publications::PublicationRequest;
use crate::domain::replanning::{ReplanRequest, Replanning};
use crate::domain::{Refusal, time};
use crate::http::TypedPath;
use crate::service::Service;
use crate::storage::plans::jobs;
use crate::storage::{Connection, plans, publications, sites};
use crate::text::changes;
use crate::text::names::Names;
use crate::text::units::Units;

/// A path that names a plan of a site.
#[derive(Debug, Clone, Deserialize)]
pub(in crate::board) struct PlanOfSite {
    pub(in crate::board) site: SiteId,
    pub(in crate::board) plan: PlanId,
}

impl PlanOfSite {
    pub(super) fn href(&self) -> String {
        format!("/board/{}/plans/{}", self.site, self.plan)
    }
}

/// A line of demand as the plan serves it.
pub(super) struct Line {
    due: String,
    product: String,
    booking: bool,
    wanted: String,
    served: String,
    short: String,
    why: Vec<String>,
}

/// What is used up.
struct Use {
    material: String,
    uses: String,
    on_hand: String,
    order: String,
    runs_out: String,
}

/// What a plan says.
struct Made {
    served: String,
    short: String,
    is_short: bool,
    kegs: u32,
    boils: u32,
    cost: String,
    proof: String,
    lines: Vec<Line>,
    uses: Vec<Use>,
}

/// What a replanning changed.
struct Changed {
    because: Vec<String>,
    changes: Vec<(String, Vec<String>)>,
    kept: u32,
}

#[derive(Template)]
#[template(path = "board/plan.html")]
struct Page {
    shell: Shell,
    id: PlanId,
    days: String,
    made: String,
    open: bool,
    failure: String,
    best: String,
    bound: String,
    seconds: String,
    published: bool,
    /// The plan that is published now, if it is another one.
    other: Option<PlanId>,
    can_publish: bool,
    result: Option<Made>,
    changed: Option<Changed>,
    as_of: String,
}

pub(in crate::board) async fn read(
    service: web::Data<Service>,
    visitor: Principal,
    TypedPath(path): TypedPath<PlanOfSite>,
) -> Result<HttpResponse, ErrorPage> {
    show(&service, visitor, path, 200, None).await
}

async fn show(
    service: &Service,
    visitor: Principal,
    path: PlanOfSite,
    status: u16,
    notice: Option<Notice>,
) -> Result<HttpResponse, ErrorPage> {
    let progress = service.jobs.progress(path.plan);
    let page = service
        .store
        .read(move |conn| {
            let mut plan = of_site(conn, &path)?;
            plan.summary.progress = progress.unwrap_or(plan.summary.progress);
            page(conn, &visitor, plan, notice)
        })
        .await?;
    shown(status, &page)
}

pub(super) fn of_site(conn: &mut Connection, path: &PlanOfSite) -> Result<PlanResource, Refusal> {
    let plan = plans::load(conn, path.plan)?;
    if plan.summary.site == path.site {
        Ok(plan)
    } else {
        Err(Refusal::UnknownPlan(path.plan))
    }
}

fn page(
    conn: &mut Connection,
    visitor: &Principal,
    plan: PlanResource,
    notice: Option<Notice>,
) -> Result<Page, Refusal> {
    let summary = &plan.summary;
    let site = sites::load(conn, &summary.site)?;
    let current = publications::current(conn, &site.id, site.time_zone)?;
    let current = current.map(|publication| publication.plan);
    let scenario = plans::scenario(conn, summary.id)?;
    let units = visitor.units;
    let names = Names::of(&scenario).reading(units);
    let score = |score: Option<f64>| {
        score.map_or_else(|| "none yet".to_owned(), |score| units.fixed(score, 0))
    };
    let now = time::now().with_timezone(&site.time_zone).fixed_offset();
    let start = summary
        .request
        .start
        .with_timezone(&site.time_zone)
        .fixed_offset();
    let as_of = plan
        .result
        .as_ref()
        .map_or(now, |made| now.clamp(made.start, made.end));
    let published = current == Some(summary.id);
    Ok(Page {
        id: summary.id,
        days: format!(
            "{} days from {}",
            summary.request.days,
            units.day_and_time(start)
        ),
        made: units.day_and_time(summary.created_at),
        open: matches!(summary.state, PlanState::Queued | PlanState::Running),
        failure: summary
            .failure
            .as_ref()
            .map_or_else(String::new, |f| f.detail.clone()),
        best: score(summary.progress.best),
        bound: score(summary.progress.bound),
        seconds: units.fixed(summary.progress.seconds.unwrap_or(0.0), 0),
        published,
        other: current.filter(|_| !published),
        // A replanning takes the place of the plan it was made from, and of no other.
        can_publish: !published
            && plan.result.is_some()
            && summary.replans.is_none_or(|before| current == Some(before)),
        result: plan.result.as_ref().map(|made| result(&names, made)),
        changed: plan.replanning.as_ref().map(|r| changed(r, units)),
        as_of: as_of.format(LOCAL).to_string(),
        shell: Shell::of(visitor, &site, Nav::Plans).saying(notice),
    })
}

fn result(names: &Names<'_>, plan: &Plan) -> Made {
    let (verdict, reads) = (&plan.verdict, names.reads());
    let mut lines: Vec<&Served> = plan.services.iter().collect();
    lines.sort_by_key(|line| (line.due, line.product.clone()));
    let uses = plan.needs.iter().map(|need| Use {
        material: names.material(&need.material).to_owned(),
        uses: format!("{} {}", reads.number(need.uses), need.unit),
        on_hand: format!(
            "{} {}",
            reads.number(need.on_hand + need.arrives),
            need.unit
        ),
        order: if need.order > 0.0 {
            format!("{} {}", reads.number(need.order), need.unit)
        } else {
            String::new()
        },
        runs_out: need
            .runs_out
            .map_or_else(String::new, |at| reads.day_and_time(at)),
    });
    Made {
        served: names.litres(verdict.served_l),
        short: names.litres(verdict.short_l),
        is_short: verdict.short_l > 0.05,
        kegs: verdict.kegs_gassed,
        boils: verdict.boils,
        cost: format!("{} {}", reads.fixed(verdict.cost, 0), verdict.currency),
        proof: proof(verdict.status, verdict.gap, reads),
        lines: lines
            .into_iter()
            .map(|line| shown_line(names, line))
            .collect(),
        uses: uses.collect(),
    }
}

fn proof(status: Status, gap: f64, units: Units) -> String {
    let gap = format!("{} %", units.fixed(gap * 100.0, 2));
    match status {
        Status::Optimal => "Proven: no plan is better.".to_owned(),
        Status::WithinGap | Status::GapOpen => {
            format!("Proven: no plan is better by more than {gap}.")
        }
        Status::StoppedByTime => {
            format!("Time was over: no plan is better by more than {gap}.")
        }
        Status::StoppedByRequest => {
            format!("Somebody stopped the search: no plan is better by more than {gap}.")
        }
    }
}

fn shown_line(names: &Names<'_>, line: &Served) -> Line {
    let short = line.short_l > 0.05;
    Line {
        due: names.reads().day_and_time(line.due),
        product: names.product(&line.product).to_owned(),
        booking: line.kind == DemandKind::Booking,
        wanted: names.litres(line.wanted_l),
        served: names.litres(line.served_l),
        short: if short {
            names.litres(line.short_l)
        } else {
            String::new()
        },
        why: match short {
            true => reasons(names, &line.why),
            false => Vec::new(),
        },
    }
}

/// Why a line is short.
fn reasons(names: &Names<'_>, why: &[Reason]) -> Vec<String> {
    if why.is_empty() {
        return vec![NOTHING_HELPS.to_owned()];
    }
    let told = why.iter().map(|reason| {
        let limit = Limit::told(names.setup(), names.reads(), reason);
        let mut told = format!(
            "{}: {} would bring {}.",
            limit.resource, limit.one_more, limit.brings
        );
        if !limit.when.is_empty() {
            told += &format!(" It binds {}.", limit.when);
        }
        told
    });
    told.collect()
}

fn changed(replanning: &Replanning, units: Units) -> Changed {
    let changes = replanning.changes.iter();
    Changed {
        because: replanning.because.clone(),
        changes: changes
            .map(|change| (changes::told(change, units), change.why.clone()))
            .collect(),
        kept: replanning.kept,
    }
}

pub(in crate::board) async fn publish(
    service: web::Data<Service>,
    visitor: Principal,
    TypedPath(path): TypedPath<PlanOfSite>,
    fields: Fields,
) -> Result<HttpResponse, ErrorPage> {
    let (asked, by) = (path.clone(), who(&fields, &visitor)?);
    let done = service
        .store
        .write(move |conn| {
            of_site(conn, &asked)?;
            let request = PublicationRequest {
                by: Some(by),
                replaces: None,
            };
            app::publication::publish(conn, asked.plan, &request)
        })
        .await;
    match done {
        Ok(_) => Ok(go_to(format!("/board/{}/today", path.site))),
        Err(refusal) => refused(&service, visitor, path, refusal).await,
    }
}

pub(in crate::board) async fn replan(
    service: web::Data<Service>,
    visitor: Principal,
    TypedPath(path): TypedPath<PlanOfSite>,
    fields: Fields,
) -> Result<HttpResponse, ErrorPage> {
    let admission = service.admission();
    let asked = path.clone();
    let queued = service
        .store
        .write(move |conn| {
            of_site(conn, &asked)?;
            let zone = sites::load(conn, &asked.site)?.time_zone;
            let request = ReplanRequest {
                now: fields.time("now", zone)?,
                frozen_min: fields.number("frozen_min")?.unwrap_or(0),
                ..ReplanRequest::default()
            };
            app::replan::queue(conn, &admission, asked.plan, &request)
        })
        .await;
    match queued {
        Ok(plan) => {
            service.jobs.wake();
            Ok(go_to(format!(
                "/board/{}/plans/{}",
                path.site, plan.summary.id
            )))
        }
        Err(refusal) => refused(&service, visitor, path, refusal).await,
    }
}

pub(in crate::board) async fn cancel(
    service: web::Data<Service>,
    visitor: Principal,
    TypedPath(path): TypedPath<PlanOfSite>,
) -> Result<HttpResponse, ErrorPage> {
    let asked = path.clone();
    let done = service
        .store
        .write(move |conn| {
            of_site(conn, &asked)?;
            jobs::cancel(conn, asked.plan)
        })
        .await;
    match done {
        Ok(_) => {
            service.jobs.cancel(path.plan);
            Ok(go_to(path.href()))
        }
        Err(refusal) => refused(&service, visitor, path, refusal).await,
    }
}

/// The plan's page, with why it was not done.
async fn refused(
    service: &Service,
    visitor: Principal,
    path: PlanOfSite,
    refusal: Refusal,
) -> Result<HttpResponse, ErrorPage> {
    if matches!(refusal, Refusal::UnknownPlan(_) | Refusal::UnknownSite(_)) {
        return Err(refusal.into());
    }
    let (status, notice) = Notice::of(refusal);
    show(service, visitor, path, status, Some(notice)).await
}
