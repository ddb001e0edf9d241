//! A new site from ten questions: what a person knows is asked, the rest is assumed, and the first plan
//! is made at once.

mod asked;
mod form;

use actix_web::{HttpResponse, web};
use askama::Template;
use scheduler::draft::{self, Draft};
use scheduler::scenario::{Fault, Faults, SiteId, Unreadable, read_as};
use serde::Deserialize;

use super::error_page::{ErrorPage, Notice, Told};
use super::fields::Fields;
use super::page::shown;
use super::principal::Principal;
use super::{assets, go_to};
use crate::app;
use crate::blocking::slow;
use crate::domain::Refusal;
use crate::domain::bundle::SiteBundle;
use crate::http::Params;
use crate::service::Service;
use crate::text::typed::{Typed, answers, as_typed};
use crate::text::units::Units;
use form::Question;

#[derive(Template)]
#[template(path = "board/new_site.html")]
struct Page {
    css: &'static str,
    js: &'static str,
    csrf: String,
    us: bool,
    notice: Option<Notice>,
    /// What is wrong: where on the page, what it is called there, and what was found.
    faults: Vec<(String, String, String)>,
    questions: Vec<Question>,
    /// Bars to start from.
    shelf: Vec<(&'static str, &'static str)>,
    /// A file that could not be put in, to be put right.
    file: String,
}

/// Which bar to start from.
#[derive(Debug, Default, Deserialize)]
pub(super) struct Like {
    like: Option<String>,
    #[serde(rename = "units")]
    _units: Option<String>,
}

pub(super) async fn read(
    visitor: Principal,
    Params(asked): Params<Like>,
) -> Result<HttpResponse, ErrorPage> {
    let like = asked.like.unwrap_or_default();
    let known = draft::shelf().into_iter().find(|one| one.id == like);
    let typed = known.map(|one| Typed::of(&one.answers));
    show(visitor, typed.as_ref(), Told::nothing(), Vec::new())
}

fn show(
    visitor: Principal,
    typed: Option<&Typed>,
    told: Told,
    faults: Vec<Fault>,
) -> Result<HttpResponse, ErrorPage> {
    with_file(visitor, typed, told, faults, String::new())
}

fn with_file(
    visitor: Principal,
    typed: Option<&Typed>,
    told: Told,
    faults: Vec<Fault>,
    file: String,
) -> Result<HttpResponse, ErrorPage> {
    let questions = form::questions(typed, &faults, visitor.units);
    let page = Page {
        css: assets::css(),
        js: assets::js(),
        csrf: visitor.csrf,
        us: visitor.units.is_us(),
        notice: told.notice,
        faults: form::told(faults, &questions),
        questions,
        shelf: draft::shelf().map(|one| (one.id, one.title)).into(),
        file,
    };
    shown(told.status, &page)
}

pub(super) async fn create(
    service: web::Data<Service>,
    visitor: Principal,
    fields: Fields,
) -> Result<HttpResponse, ErrorPage> {
    let all = fields.under("").filter(|(name, _)| *name != "csrf");
    let typed = Typed(
        all.map(|(name, text)| (name.to_owned(), text.to_owned()))
            .collect(),
    );
    let (said, units) = (typed.clone(), visitor.units);
    let drafted = slow(move || drafted(&said, units)).await;
    let made = match drafted {
        Ok(draft) => store(&service, draft).await,
        Err(refusal) => Err(refusal),
    };
    match made {
        Ok(path) => Ok(go_to(path)),
        Err(Refusal::Invalid(faults)) => show(visitor, Some(&typed), Told::only(422), faults),
        // The name makes the id.
        Err(Refusal::SiteExists(id)) => {
            let what = format!("there is a site \"{id}\" already; another name is allowed");
            let fault = Fault {
                field: "name".to_owned(),
                what,
            };
            show(visitor, Some(&typed), Told::only(409), vec![fault])
        }
        Err(refusal) => show(visitor, Some(&typed), Told::of(refusal), Vec::new()),
    }
}

fn drafted(typed: &Typed, units: Units) -> Result<Draft, Refusal> {
    let said = answers(typed, units)?;
    app::drafts::look(&said).map_err(|refusal| match refusal {
        Refusal::Invalid(faults) => as_typed(Faults(faults), typed).into(),
        other => other,
    })
}

/// Stores the site, queues its plan, and says where that is shown.
async fn store(service: &Service, draft: Draft) -> Result<String, Refusal> {
    let draft = app::drafts::fits(service, draft).await?;
    let admission = service.admission();
    let (site, plan) = service
        .store
        .write(move |conn| app::drafts::create(conn, &admission, &draft))
        .await?;
    service.jobs.wake();
    Ok(format!("/board/{}/plans/{}", site.id, plan.summary.id))
}

/// Puts a site in from a file.
pub(super) async fn import(
    service: web::Data<Service>,
    visitor: Principal,
    fields: Fields,
) -> Result<HttpResponse, ErrorPage> {
    let text = fields.get("file").unwrap_or_default().to_owned();
    let read = bundle(&fields);
    let made = match read {
        Ok(bundle) => {
            let put_in = service
                .store
                .write(move |conn| app::bundles::import(conn, bundle));
            put_in.await
        }
        Err(refusal) => Err(refusal),
    };
    match made {
        Ok(site) => Ok(go_to(format!("/board/{site}/plans"))),
        Err(refusal) => with_file(visitor, None, Told::of(refusal), Vec::new(), text),
    }
}

fn bundle(fields: &Fields) -> Result<SiteBundle, Refusal> {
    let text = fields.get("file").unwrap_or_default();
    let bundle: SiteBundle = read_as(text).map_err(|error| match error {
        Unreadable::Field { field, what } => Refusal::field(field, what),
        other => Refusal::field("file", other.to_string()),
    })?;
    let id = fields
        .text("id")
        .map(|text| SiteId::parse(text).map_err(|error| Refusal::field("id", error.to_string())));
    Ok(bundle.named(id.transpose()?, fields.text("name").map(str::to_owned)))
}
