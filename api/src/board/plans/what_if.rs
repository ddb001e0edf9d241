//! What if: a plan beside what it would be with something different.

use actix_web::{HttpResponse, web};
use askama::Template;
use scheduler::answer::{Case, Outcome, ServiceDifference, WhatIfAnswer};
use scheduler::scenario::SiteId;
use serde::Deserialize;

use super::super::error_page::ErrorPage;
use super::super::fields::Fields;
use super::super::go_to;
use super::super::page::{Nav, Shell, shown};
use super::super::principal::Principal;
use super::compare::{line_name, refused};
use super::one::{PlanOfSite, of_site};
use super::variations::asked;
use crate::app::questions::what_if_of;
use crate::domain::Refusal;
use crate::domain::plans::{PlanId, PlanState};
use crate::http::TypedPath;
use crate::service::Service;
use crate::storage::plans::{Made, questions};
use crate::storage::{Connection, plans};
use crate::text::names::Names;

/// A path that names a what-if question about a plan of a site.
#[derive(Debug, Clone, Deserialize)]
pub(in crate::board) struct QuestionOfPlan {
    site: SiteId,
    plan: PlanId,
    question: PlanId,
}

/// A figure as it is and with each change, and by how much it is different.
struct Row {
    name: &'static str,
    base: String,
    cases: Vec<(String, String)>,
}

/// What a change makes different, beyond the figures.
struct VariationText {
    label: String,
    between: String,
    /// Services: which, litres before and after.
    services: Vec<(String, String, String)>,
    work: Vec<String>,
    uses: Vec<String>,
}

#[derive(Template)]
#[template(path = "board/what_if.html")]
struct Page {
    shell: Shell,
    plan: PlanId,
    plan_name: String,
    open: bool,
    failure: String,
    labels: Vec<String>,
    rows: Vec<Row>,
    cases: Vec<VariationText>,
}

pub(in crate::board) async fn ask(
    service: web::Data<Service>,
    visitor: Principal,
    TypedPath(path): TypedPath<PlanOfSite>,
    fields: Fields,
) -> Result<HttpResponse, ErrorPage> {
    let admission = service.admission();
    let (about, said, units) = (path.clone(), fields.clone(), visitor.units);
    let queued = service
        .store
        .write(move |conn| {
            of_site(conn, &about)?;
            what_if_of(conn, &admission, about.plan, |scenario| {
                asked(scenario, &said, units)
            })
        })
        .await;
    match queued {
        Ok(question) => {
            service.jobs.wake();
            let PlanOfSite { site, plan } = path;
            let id = question.id;
            Ok(go_to(format!("/board/{site}/plans/{plan}/what-if/{id}")))
        }
        Err(refusal @ (Refusal::UnknownPlan(_) | Refusal::UnknownSite(_))) => Err(refusal.into()),
        Err(refusal) => refused(&service, visitor, path, fields, refusal).await,
    }
}

pub(in crate::board) async fn read(
    service: web::Data<Service>,
    visitor: Principal,
    TypedPath(path): TypedPath<QuestionOfPlan>,
) -> Result<HttpResponse, ErrorPage> {
    let page = service
        .store
        .read(move |conn| page(conn, &visitor, &path))
        .await?;
    shown(200, &page)
}

fn page(
    conn: &mut Connection,
    visitor: &Principal,
    path: &QuestionOfPlan,
) -> Result<Page, Refusal> {
    let question = questions::load(conn, path.question)?;
    if question.site != path.site || question.plan != Some(path.plan) {
        return Err(Refusal::UnknownQuestion(path.question));
    }
    let made = plans::made(conn, path.plan)?;
    let names = Names::of(&made.scenario).reading(visitor.units);
    let answer = question.what_if.as_ref();
    let cases = answer.map_or(&[][..], |answer| &answer.cases);
    Ok(Page {
        plan: path.plan,
        plan_name: format!(
            "made {}",
            visitor.units.day_and_time(made.summary.created_at)
        ),
        open: matches!(question.state, PlanState::Queued | PlanState::Running),
        failure: question
            .failure
            .map_or_else(String::new, |failure| failure.detail),
        labels: cases.iter().map(|case| case.label.clone()).collect(),
        rows: answer.map_or_else(Vec::new, |answer| rows(&names, answer)),
        cases: cases.iter().map(|case| told(&names, &made, case)).collect(),
        shell: Shell::of(visitor, &made.site, Nav::Plans),
    })
}

fn rows(names: &Names<'_>, answer: &WhatIfAnswer) -> Vec<Row> {
    let currency = &answer.base.verdict.currency;
    let reads = names.reads();
    let money = |x: f64| format!("{} {currency}", reads.fixed(x, 2));
    let litres = |x: f64| names.litres(x);
    let whole = |x: f64| format!("{x:.0}");
    let row = |name, of: fn(&Outcome) -> f64, said: &dyn Fn(f64) -> String| {
        let base = of(&answer.base);
        let case = |case: &Case| {
            let with = of(&case.outcome);
            (said(with), signed(with - base, said))
        };
        Row {
            name,
            base: said(base),
            cases: answer.cases.iter().map(case).collect(),
        }
    };
    vec![
        row("Served", |o| o.verdict.served_l, &litres),
        row("Short", |o| o.verdict.short_l, &litres),
        row("Kegs gassed", |o| f64::from(o.verdict.kegs_gassed), &whole),
        row("Boils", |o| f64::from(o.verdict.boils), &whole),
        row("Cost", |o| o.verdict.cost, &money),
        row("Score", |o| o.verdict.worth, &whole),
    ]
}

/// A difference with its sign, in words that do not change with the eye that reads them.
fn signed(difference: f64, said: &dyn Fn(f64) -> String) -> String {
    match difference {
        x if x.abs() < 0.005 => "same".to_owned(),
        x if x > 0.0 => format!("+{}", said(x)),
        x => format!("−{}", said(-x)),
    }
}

fn told(names: &Names<'_>, made: &Made, case: &Case) -> VariationText {
    let difference = &case.difference;
    let litres = |litres: Option<f64>| litres.map_or_else(|| "–".to_owned(), |l| names.litres(l));
    let mut lines: Vec<&ServiceDifference> = difference.services.iter().collect();
    lines.sort_by_key(|line| {
        let mut known = made.plan.services.iter();
        known.find(|s| s.demand == line.demand).map(|s| s.due)
    });
    let services = lines.into_iter().map(|line| {
        (
            line_name(names, made, made, &line.demand),
            litres(line.before_l),
            litres(line.after_l),
        )
    });
    let reads = names.reads();
    let plain = |x: f64| reads.number(x);
    let work = difference.work.iter().map(|(kind, more)| {
        let more = *more as f64;
        format!("{kind}: {}", signed(more, &plain))
    });
    let needs = case.outcome.needs.iter();
    let unit = |material: &String| {
        let mut needs = needs.clone();
        let found = needs.find(|need| need.material == *material);
        found.map_or("", |need| need.unit.as_str())
    };
    let uses = difference.uses.iter().map(|(material, more)| {
        let name = names.material(material);
        format!("{name}: {} {}", signed(*more, &plain), unit(material))
    });
    let (least, most) = difference.worth_between;
    let score = |x: f64| reads.fixed(x, 2);
    VariationText {
        label: case.label.clone(),
        between: format!(
            "{} and {}",
            signed(least, &score).replace("same", "nothing"),
            signed(most, &score).replace("same", "nothing")
        ),
        services: services.collect(),
        work: work.collect(),
        uses: uses.collect(),
    }
}
