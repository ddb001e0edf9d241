//! Calculators: each calculation of the contract as a page, with its sources and a graph.
//!
//! Nothing is listed here: names, fields, ranges and sources come from the contract and the cards.

mod answer;
mod form;
mod graph;

use actix_web::{HttpRequest, HttpResponse, web};
use askama::Template;
use scheduler::scenario::SiteId;
use serde::Deserialize;
use serde_json::Value;

use super::error_page::{ErrorPage, Notice};
use super::fields::Fields;
use super::page::{Nav, Shell, shown};
use super::principal::Principal;
use crate::app::calculations;
use crate::app::calculations::Card;
use crate::domain::Refusal;
use crate::http::{SitePath, TypedPath};
use crate::service::Service;
use crate::storage::sites;
use crate::text::units::Units;
use answer::Row;
use form::{Field, Form};

/// A path that names a calculation.
#[derive(Debug, Clone, Deserialize)]
pub(super) struct CalculatorPath {
    site: SiteId,
    part: String,
    name: String,
}

/// A part of the physics with its calculations.
struct Part {
    name: String,
    cards: Vec<Entry>,
}

struct Entry {
    href: String,
    title: &'static str,
    answers: String,
}

#[derive(Template)]
#[template(path = "board/calculators.html")]
struct List {
    shell: Shell,
    parts: Vec<Part>,
}

/// An equation with its source.
struct Source {
    gives: &'static str,
    form: &'static str,
    source: &'static str,
    valid: &'static str,
    uncertainty: &'static str,
}

#[derive(Template)]
#[template(path = "board/calculator.html")]
struct One {
    shell: Shell,
    title: &'static str,
    answers: String,
    href: String,
    fields: Vec<Field>,
    over: Vec<(String, String, bool)>,
    answer: Vec<Row>,
    cautions: Vec<String>,
    sources: Vec<Source>,
    graph: String,
}

pub(super) async fn list(
    service: web::Data<Service>,
    visitor: Principal,
    TypedPath(SitePath { site }): TypedPath<SitePath>,
) -> Result<HttpResponse, ErrorPage> {
    let site = service
        .store
        .read(move |conn| sites::load(conn, &site))
        .await?;
    let shell = Shell::of(&visitor, &site, Nav::Calculators);
    let mut parts: Vec<Part> = Vec::new();
    for card in calculations::cards() {
        let part = card.name.split('/').next().unwrap_or_default();
        let part = super::schema::words(part);
        let entry = Entry {
            href: format!("{}/calculators/{}", shell.base, card.name),
            title: card.title,
            answers: card.answers.replace('`', ""),
        };
        match parts.iter_mut().find(|known| known.name == part) {
            Some(known) => known.cards.push(entry),
            None => parts.push(Part {
                name: part,
                cards: vec![entry],
            }),
        }
    }
    shown(200, &List { shell, parts })
}

/// A calculation with what the address says, or with its example.
pub(super) async fn one(
    request: HttpRequest,
    service: web::Data<Service>,
    visitor: Principal,
    TypedPath(path): TypedPath<CalculatorPath>,
) -> Result<HttpResponse, ErrorPage> {
    let CalculatorPath { site, part, name } = path;
    let site = service
        .store
        .read(move |conn| sites::load(conn, &site))
        .await?;
    let full = format!("{part}/{name}");
    let mut cards = calculations::cards();
    let card = cards
        .find(|card| card.name == full)
        .ok_or_else(ErrorPage::nowhere)?;
    let asked = Fields::parse(request.query_string().as_bytes());
    let form = Form::of(&full).ok_or_else(ErrorPage::nowhere)?;
    let units = visitor.units;
    let (form, answered) = crate::blocking::slow(move || {
        let answered = answered(card, &form, &asked, units)?;
        Ok((form, answered))
    })
    .await?;
    let (status, notice) = match answered.refused {
        Some((status, notice)) => (status, Some(notice)),
        None => (200, None),
    };
    let shell = Shell::of(&visitor, &site, Nav::Calculators).saying(notice);
    let sources = card.equations.iter().map(|equation| Source {
        gives: equation.gives,
        form: equation.form,
        source: equation.source,
        valid: equation.valid,
        uncertainty: equation.uncertainty.says,
    });
    let page = One {
        href: format!("{}/calculators/{full}", shell.base),
        title: card.title,
        answers: card.answers.replace('`', ""),
        over: form.choices(answered.over.as_deref()),
        fields: form.filled(&answered.inputs),
        answer: answered.rows,
        cautions: answered.cautions,
        sources: sources.collect(),
        graph: answered.graph,
        shell,
    };
    shown(status, &page)
}

/// What a calculation says to what somebody wrote.
#[derive(Default)]
struct Answered {
    inputs: Value,
    over: Option<String>,
    rows: Vec<Row>,
    cautions: Vec<String>,
    graph: String,
    refused: Option<(u16, Notice)>,
}

fn answered(card: &Card, form: &Form, asked: &Fields, units: Units) -> Result<Answered, Refusal> {
    let example: Value = serde_json::from_str(card.example).map_err(Refusal::internal)?;
    let given = asked.get("go").is_some();
    let read = if given { form.read(asked) } else { Ok(example) };
    let mut told = Answered::default();
    let found = match read {
        Ok(inputs) => {
            told.inputs = inputs.clone();
            calculations::calculate(card.name, inputs)
        }
        Err(refusal) => {
            told.inputs = form.kept(asked);
            Err(refusal)
        }
    };
    let over = asked.get("over").map(str::to_owned);
    told.over = over.or_else(|| form.graphed(&told.inputs));
    match found {
        Ok(reply) => {
            told.rows = answer::rows(&reply["answer"], units);
            told.cautions = answer::cautions(&reply);
            if let Some(over) = told.over.as_deref().and_then(|name| form.field(name)) {
                told.graph = graph::graph(card.name, &told.inputs, over, units);
            }
        }
        Err(refusal) => told.refused = Some(Notice::of(refusal)),
    }
    Ok(told)
}
