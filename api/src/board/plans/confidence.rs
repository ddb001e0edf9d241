//! How sure a plan is, and what to measure first to be surer.

use actix_web::{HttpResponse, web};
use askama::Template;
use scheduler::answer::{ConfidenceAnswer, ConfidenceQuestion, Measure, Unknown, confidence};
use scheduler::milp::Watch;
use scheduler::plan::{Plan, Step};
use scheduler::scenario::Site;

use super::super::error_page::ErrorPage;
use super::super::page::{Nav, Shell, shown};
use super::super::principal::Principal;
use super::PlanOfSite;
use super::one::of_site;
use crate::blocking::slow;
use crate::domain::Refusal;
use crate::http::TypedPath;
use crate::service;
use crate::storage::plans::Made;
use crate::storage::{plans, sites};
use crate::text::measure;
use crate::text::names::Names;
use crate::text::units::Units;

/// Enough to rank unknowns by, and quick enough to be waited for.
const REPLAYS: u32 = 300;

/// Something to measure.
struct Unknowing {
    title: &'static str,
    cost: String,
    how: &'static str,
    href: String,
    form: &'static str,
}

/// How sure a service is.
struct Service {
    due: String,
    product: String,
    chance: String,
    unsure: bool,
    missing: String,
}

#[derive(Template)]
#[template(path = "board/confidence.html")]
struct Page {
    shell: Shell,
    plan: String,
    met: String,
    of: usize,
    replays: u32,
    measures: Vec<Unknowing>,
    services: Vec<Service>,
}

pub(in crate::board) async fn read(
    service: web::Data<service::Service>,
    visitor: Principal,
    TypedPath(path): TypedPath<PlanOfSite>,
) -> Result<HttpResponse, ErrorPage> {
    let asked = path.clone();
    let (site, made) = service
        .store
        .read(move |conn| {
            let _ = of_site(conn, &asked)?;
            let site = sites::load(conn, &asked.site)?;
            Ok::<_, Refusal>((site, plans::made(conn, asked.plan)?))
        })
        .await?;
    let (made, answer) = slow(move || asked_of(made)).await?;
    let page = page(&visitor, &site, &path, (&made, &answer));
    shown(200, &page)
}

fn asked_of(made: Made) -> Result<(Made, ConfidenceAnswer), Refusal> {
    let question = ConfidenceQuestion {
        replays: REPLAYS,
        ..ConfidenceQuestion::default()
    };
    let scenario = made.scenario.clone().check()?;
    let answer = confidence(&scenario, &made.plan, &question, Watch::default())?;
    Ok((made, answer))
}

fn page(
    visitor: &Principal,
    site: &Site,
    path: &PlanOfSite,
    (made, answer): (&Made, &ConfidenceAnswer),
) -> Page {
    let shell = Shell::of(visitor, site, Nav::Plans);
    let names = Names::of(&made.scenario).reading(visitor.units);
    let plan = path.href();
    let measures = answer.measure.iter().take(measure::TOLD);
    let measures = measures.map(|one| unknowing(one, &shell.base, &plan, &made.plan));
    Page {
        measures: measures.collect(),
        met: visitor.units.fixed(answer.services_met, 1),
        of: answer.services.len(),
        replays: answer.replays,
        services: services(answer, &names, visitor.units),
        plan,
        shell,
    }
}

fn services(answer: &ConfidenceAnswer, names: &Names<'_>, units: Units) -> Vec<Service> {
    let services = answer.services.iter().map(|service| Service {
        due: units.day_and_time(service.due),
        product: names.product(&service.product).to_owned(),
        chance: format!("{} %", units.fixed(service.chance * 100.0, 0)),
        unsure: service.chance < 0.9,
        missing: units.litres(service.missing_l).to_string(),
    });
    services.collect()
}

fn unknowing(one: &Measure, base: &str, plan: &str, work: &Plan) -> Unknowing {
    let first = |is: fn(&Step) -> bool| {
        let item = work.work.iter().find(|item| is(&item.step));
        item.map_or_else(
            || plan.to_owned(),
            |item| format!("{plan}/work/{}", item.id),
        )
    };
    let (href, form) = match one.what {
        Unknown::Heating | Unknown::IceNeed => (
            first(|step| matches!(step, Step::Boil(_))),
            "Log it at the boil",
        ),
        Unknown::Cooling => (
            first(|step| matches!(step, Step::Fill(_))),
            "Log it at the fill",
        ),
        Unknown::Resting | Unknown::Shaking => (
            first(|step| matches!(step, Step::Gas(_))),
            "Log it at the gassing",
        ),
        Unknown::IceRate | Unknown::BarDraw => {
            (format!("{base}/setup/ice"), "Put it into the setup")
        }
        Unknown::Hands => (format!("{base}/setup/crew"), "Put it into the setup"),
        Unknown::StoreAir => (format!("{base}/setup/cold-stores"), "Put it into the setup"),
        Unknown::TapWater => (format!("{base}/setup"), "Setup"),
    };
    Unknowing {
        title: measure::title(one.what),
        cost: measure::cost(one),
        how: measure::how(one.what),
        href,
        form,
    }
}
