//! Two plans beside each other: what moved, what is served more or less, what it costs.

use actix_web::{HttpResponse, web};
use askama::Template;
use chrono::{DateTime, FixedOffset};
use scheduler::answer::{Change, ChangeKind};
use serde::Deserialize;

use super::super::error_page::{ErrorPage, Notice};
use super::super::fields::Fields;
use super::super::page::{Nav, Shell, shown};
use super::super::principal::Principal;
use super::one::PlanOfSite;
use super::variations::{Way, ways};
use crate::app::comparison::{comparison, pair};
use crate::domain::Refusal;
use crate::domain::plans::{PlanId, PlanState, PlanSummary};
use crate::http::{Params, TypedPath};
use crate::service::Service;
use crate::storage::plans::Made;
use crate::storage::{Connection, plans};
use crate::text::changes;
use crate::text::figures::counted;
use crate::text::names::Names;
use crate::text::units::Units;

/// Which plan to compare with.
#[derive(Debug, Deserialize)]
pub(in crate::board) struct CompareParams {
    with: Option<PlanId>,
}

/// A figure of both plans.
struct Figure {
    name: &'static str,
    before: String,
    after: String,
    difference: String,
}

/// A service that is served more or less.
struct Difference {
    line: String,
    before: String,
    after: String,
}

/// What was done to an item.
struct Row {
    mark: &'static str,
    word: &'static str,
    text: String,
}

/// A plan to choose.
struct Choice {
    id: PlanId,
    name: String,
    chosen: bool,
}

#[derive(Template)]
#[template(path = "board/compare.html")]
struct Page {
    shell: Shell,
    before: PlanId,
    before_name: String,
    after_name: String,
    choices: Vec<Choice>,
    figures: Vec<Figure>,
    services: Vec<Difference>,
    days: Vec<(String, Vec<Row>)>,
    same: usize,
    compared: bool,
    ways: Vec<Way>,
    kegs: Vec<(String, String)>,
    products: Vec<(String, String)>,
    mass: &'static str,
    /// What was asked and refused, to be put right.
    asked: Fields,
}

pub(in crate::board) async fn read(
    service: web::Data<Service>,
    visitor: Principal,
    TypedPath(path): TypedPath<PlanOfSite>,
    Params(params): Params<CompareParams>,
) -> Result<HttpResponse, ErrorPage> {
    let page = service
        .store
        .read(move |conn| page(conn, &visitor, &path, params.with))
        .await?;
    shown(200, &page)
}

/// The page again, with what is wrong with what was asked.
pub(super) async fn refused(
    service: &Service,
    visitor: Principal,
    path: PlanOfSite,
    asked: Fields,
    refusal: Refusal,
) -> Result<HttpResponse, ErrorPage> {
    let (status, notice) = Notice::of(refusal);
    let page = service
        .store
        .read(move |conn| page(conn, &visitor, &path, None))
        .await?;
    let shell = page.shell.saying(Some(notice));
    shown(
        status,
        &Page {
            shell,
            asked,
            ..page
        },
    )
}

impl Page {
    /// What was written into a field.
    fn was(&self, name: &str) -> &str {
        self.asked.get(name).unwrap_or_default()
    }

    fn chose(&self, name: &str, value: &str) -> bool {
        self.was(name) == value
    }
}

fn page(
    conn: &mut Connection,
    visitor: &Principal,
    path: &PlanOfSite,
    with: Option<PlanId>,
) -> Result<Page, Refusal> {
    let (before, after) = pair(conn, path.plan, with.unwrap_or(path.plan))?;
    if before.site.id != path.site {
        return Err(Refusal::UnknownPlan(path.plan));
    }
    if with == Some(path.plan) {
        let what = "the plan itself found; another plan is allowed";
        return Err(Refusal::field("with", what));
    }
    let units = visitor.units;
    let known = plans::list(conn, &before.site.id, None, 50, before.site.time_zone)?;
    let choices = known
        .iter()
        .filter(|plan| plan.state == PlanState::Done && plan.id != path.plan)
        .map(|plan| Choice {
            id: plan.id,
            name: choice(plan, units),
            chosen: with == Some(plan.id),
        });
    let compared = comparison(&before, &after);
    let names = Names::of(&after.scenario).reading(visitor.units);
    let litres = |litres: Option<f64>| litres.map_or_else(|| "–".to_owned(), |l| names.litres(l));
    let services = compared.difference.services.iter().map(|line| Difference {
        line: line_name(&names, &before, &after, &line.demand),
        before: litres(line.before_l),
        after: litres(line.after_l),
    });
    let setup = &before.scenario.setup;
    let kegs = setup.keg_types.iter();
    let products = setup.products.iter();
    Ok(Page {
        ways: ways(&before.scenario),
        kegs: kegs
            .map(|keg| (keg.id.to_string(), keg.name.clone()))
            .collect(),
        products: products
            .map(|product| (product.id.to_string(), product.name.clone()))
            .collect(),
        mass: visitor.units.mass(1.0).unit,
        asked: Fields::default(),
        before: path.plan,
        before_name: format!("made {}", units.day_and_time(before.summary.created_at)),
        after_name: format!("made {}", units.day_and_time(after.summary.created_at)),
        choices: choices.collect(),
        figures: figures(&names, &before, &after),
        services: services.collect(),
        days: days(&compared.changes, units),
        same: compared.same,
        compared: with.is_some(),
        shell: Shell::of(visitor, &before.site, Nav::Plans),
    })
}

/// A plan to choose, by when it was made and for which days.
fn choice(plan: &PlanSummary, units: Units) -> String {
    let start = plan
        .request
        .start
        .with_timezone(&plan.created_at.timezone());
    let replans = if plan.replans.is_some() {
        ", a replanning"
    } else {
        ""
    };
    format!(
        "made {}, {} from {}{replans}",
        units.day_and_time(plan.created_at),
        counted(u32::from(plan.request.days), "day"),
        units.day(start)
    )
}

/// What people call a line of demand.
pub(super) fn line_name(
    names: &Names<'_>,
    before: &Made,
    after: &Made,
    id: &scheduler::scenario::DemandId,
) -> String {
    let mut lines = after.plan.services.iter().chain(&before.plan.services);
    let found = lines.find(|line| line.demand == *id);
    found.map_or_else(
        || id.to_string(),
        |line| {
            format!(
                "{}, {}",
                names.product(&line.product),
                names.reads().day_and_time(line.due)
            )
        },
    )
}

fn figures(names: &Names<'_>, before: &Made, after: &Made) -> Vec<Figure> {
    let (one, two) = (&before.plan.verdict, &after.plan.verdict);
    let reads = names.reads();
    let signed = |x: f64| match x {
        x if x.abs() < 0.005 => "same".to_owned(),
        x if x > 0.0 => format!("+{}", reads.number(x)),
        x => format!("−{}", reads.number(-x)),
    };
    let litres = |name, a: f64, b: f64| Figure {
        name,
        before: names.litres(a),
        after: names.litres(b),
        difference: signed(b - a),
    };
    let counts = |name, a: u32, b: u32| Figure {
        name,
        before: a.to_string(),
        after: b.to_string(),
        difference: signed(f64::from(b) - f64::from(a)),
    };
    let money = |name, a: f64, b: f64| Figure {
        name,
        before: format!("{} {}", reads.fixed(a, 2), one.currency),
        after: format!("{} {}", reads.fixed(b, 2), two.currency),
        difference: signed(b - a),
    };
    vec![
        litres("Served", one.served_l, two.served_l),
        litres("Short", one.short_l, two.short_l),
        counts("Kegs gassed", one.kegs_gassed, two.kegs_gassed),
        counts("Boils", one.boils, two.boils),
        money("Cost", one.cost, two.cost),
    ]
}

/// The changes by day, in order of time.
fn days(list: &[Change], units: Units) -> Vec<(String, Vec<Row>)> {
    let mut found: Vec<(String, Vec<Row>)> = Vec::new();
    for change in list {
        let at: Option<DateTime<FixedOffset>> = change.from.or(change.to);
        let name = at.map_or_else(String::new, |at| units.day(at));
        let (mark, word) = match change.change {
            ChangeKind::Moved => ("→", "moved"),
            ChangeKind::Resized => ("≈", "resized"),
            ChangeKind::Dropped => ("−", "dropped"),
            ChangeKind::Added => ("+", "added"),
        };
        let row = Row {
            mark,
            word,
            text: changes::told(change, units),
        };
        match found.iter_mut().find(|(known, _)| *known == name) {
            Some((_, rows)) => rows.push(row),
            None => found.push((name, vec![row])),
        }
    }
    found
}
