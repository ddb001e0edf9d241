//! Setup: the main numbers of a site, with what the physics makes of them beside them.

mod form;
mod names;
mod numbers;
pub(super) mod part;
mod physics;
mod reading;
mod shape;

use actix_web::{HttpResponse, web};
use askama::Template;
use scheduler::draft::Assumption;
use scheduler::scenario::{Site, SiteId};
use serde_json::{Value, json};

use super::error_page::{ErrorPage, Told};
use super::fields::{Fields, through};
use super::go_to;
use super::page::{Nav, Shell, shown};
use super::principal::Principal;
use crate::app;
use crate::domain::assumed as assumptions;
use crate::domain::setup::SetupDocument;
use crate::domain::{Refusal, Revised};
use crate::http::{SitePath, TypedPath};
use crate::service::Service;
use crate::storage::{Connection, assumed, setup, sites};
use crate::text::units::Units;
use model::units::{Unit, converted};
use numbers::{ICE, LISTS, Numbers, POLICY, WASH};
use physics::{Physics, physics};

/// A number that can be changed.
struct Field {
    /// Where it is in the document, as a JSON pointer.
    pointer: String,
    label: &'static str,
    unit: String,
    value: String,
    /// What is said of it where nobody told it yet.
    assumed: String,
}

/// A thing with its numbers.
struct Group {
    name: String,
    fields: Vec<Field>,
}

/// A part of the setup.
struct Part {
    title: &'static str,
    groups: Vec<Group>,
}

#[derive(Template)]
#[template(path = "board/setup.html")]
struct Page {
    shell: Shell,
    revision: String,
    parts: Vec<Part>,
    links: Vec<(&'static str, &'static str)>,
    physics: Option<Physics>,
    no_physics: String,
    only_looked: bool,
    /// Values that nobody told yet.
    assumptions: usize,
}

pub(super) async fn read(
    service: web::Data<Service>,
    visitor: Principal,
    TypedPath(SitePath { site }): TypedPath<SitePath>,
) -> Result<HttpResponse, ErrorPage> {
    let known = service.store.read(move |conn| known(conn, &site)).await?;
    show(&visitor, &known, None, Told::nothing()).await
}

/// What the pages of a site's setup are made of.
struct Known {
    site: Site,
    found: Revised<SetupDocument>,
    /// What nobody told yet.
    assumed: Vec<Assumption>,
}

fn known(conn: &mut Connection, site: &SiteId) -> Result<Known, Refusal> {
    let site = sites::load(conn, site)?;
    Ok(Known {
        found: setup::load(conn, &site.id)?,
        assumed: assumed::list(conn, &site.id)?,
        site,
    })
}

/// The page with the numbers that are stored, or that somebody tries out.
async fn show(
    visitor: &Principal,
    Known {
        site,
        found,
        assumed,
    }: &Known,
    tried: Option<SetupDocument>,
    told: Told,
) -> Result<HttpResponse, ErrorPage> {
    let only_looked = tried.is_some();
    let document = tried.unwrap_or_else(|| found.document.clone());
    let value = serde_json::to_value(&document).map_err(Refusal::internal)?;
    let (at, units) = (site.clone(), visitor.units);
    let looked = crate::blocking::slow(move || Ok(physics(&at, &document, units))).await?;
    let (physics, no_physics) = match looked {
        Ok(physics) => (Some(physics), String::new()),
        Err(why) => (None, why),
    };
    let page = Page {
        shell: Shell::of(visitor, site, Nav::Setup).saying(told.notice),
        revision: found.revision.to_string(),
        parts: marked(parts(&value, visitor.units), assumed),
        assumptions: assumed.len(),
        links: part::links(),
        physics,
        no_physics,
        only_looked,
    };
    shown(told.status, &page)
}

fn parts(document: &Value, units: Units) -> Vec<Part> {
    let group = |name: &str, pointer: &str, numbers: Numbers| Group {
        name: name.to_owned(),
        fields: fields(document, pointer, numbers, units),
    };
    let mut found: Vec<Part> = LISTS
        .iter()
        .map(|(title, pointer, numbers)| {
            let list = document.pointer(pointer).and_then(Value::as_array);
            let groups = list
                .into_iter()
                .flatten()
                .enumerate()
                .map(|(n, thing)| group(&name(thing), &format!("{pointer}/{n}"), numbers));
            Part {
                title,
                groups: groups.collect(),
            }
        })
        .collect();
    found.push(Part {
        title: "Ice, wash, how soda is made",
        groups: vec![
            group("Ice machine", "/setup/ice", ICE),
            group("Wash", "/setup/wash", WASH),
            group("Policy", "/policy", POLICY),
        ],
    });
    found
}

/// The parts with a mark at each number that nobody told yet.
fn marked(mut parts: Vec<Part>, all: &[Assumption]) -> Vec<Part> {
    let groups = parts.iter_mut().flat_map(|part| &mut part.groups);
    for field in groups.flat_map(|group| &mut group.fields) {
        let found = assumptions::of(all, &field.pointer);
        field.assumed = found.map_or_else(String::new, assumptions::said);
    }
    parts
}

/// What people call a thing; a shift by its days and hours.
fn name(thing: &Value) -> String {
    if let Some(name) = thing["name"].as_str() {
        return name.to_owned();
    }
    let days: Vec<&str> = thing["days"]
        .as_array()
        .into_iter()
        .flatten()
        .filter_map(Value::as_str)
        .collect();
    let hour = |at: &Value| {
        at.as_str()
            .unwrap_or_default()
            .chars()
            .take(5)
            .collect::<String>()
    };
    format!(
        "{} {} to {}",
        days.join(" "),
        hour(&thing["from"]),
        hour(&thing["to"])
    )
}

fn fields(document: &Value, pointer: &str, numbers: Numbers, units: Units) -> Vec<Field> {
    let one = |(name, label, unit): &(&str, &'static str, Option<Unit>)| {
        let pointer = format!("{pointer}/{name}");
        let number = document.pointer(&pointer)?.as_f64()?;
        let shown = unit.map_or(number, |unit| converted(number, unit, units.read_in(unit)));
        Some(Field {
            label,
            unit: match unit {
                Some(unit) => units.read_in(*unit).symbol().to_owned(),
                None if *name == "carbonation_g_per_l" => units.volumes(number),
                None => String::new(),
            },
            value: plain(shown, units),
            pointer,
            assumed: String::new(),
        })
    };
    numbers.iter().filter_map(one).collect()
}

/// A number as it is written into a field: as short as it can be.
fn plain(number: f64, units: Units) -> String {
    let text = format!("{number:.4}");
    units
        .locale
        .typed(text.trim_end_matches('0').trim_end_matches('.'))
}

/// The metric unit of a number of the document, if it has one that is converted.
fn unit_of(pointer: &str) -> Option<Unit> {
    let (_, name) = pointer.rsplit_once('/')?;
    let singles = [ICE, WASH, POLICY];
    let all = LISTS.iter().map(|(_, _, numbers)| *numbers).chain(singles);
    let mut found = all.flatten().filter(|(known, _, _)| *known == name);
    found.next().and_then(|(_, _, unit)| *unit)
}

/// The document with what a form says in its place.
fn changed(
    document: &SetupDocument,
    fields: &Fields,
    units: Units,
) -> Result<SetupDocument, Refusal> {
    let mut value = serde_json::to_value(document).map_err(Refusal::internal)?;
    let before = parts(&value, units);
    for field in before
        .iter()
        .flat_map(|part| &part.groups)
        .flat_map(|group| &group.fields)
    {
        let Some(text) = fields
            .text(&field.pointer)
            .filter(|text| *text != field.value)
        else {
            continue;
        };
        let number: Option<f64> = fields.number(&field.pointer)?;
        let number =
            number.ok_or_else(|| Refusal::field(&field.pointer, format!("{text} found")))?;
        let unit = unit_of(&field.pointer);
        let number = unit.map_or(number, |unit| converted(number, units.read_in(unit), unit));
        if let Some(place) = value.pointer_mut(&field.pointer) {
            *place = if place.is_u64() && number.fract().abs() < 1e-9 && number >= 0.0 {
                json!(number as u64)
            } else {
                json!(number)
            };
        }
    }
    through(value)
}

pub(super) async fn store(
    service: web::Data<Service>,
    visitor: Principal,
    TypedPath(SitePath { site }): TypedPath<SitePath>,
    fields: Fields,
) -> Result<HttpResponse, ErrorPage> {
    let asked = site.clone();
    let known = service.store.read(move |conn| known(conn, &asked)).await?;
    let document = match changed(&known.found.document, &fields, visitor.units) {
        Ok(document) => document,
        Err(refusal) => {
            return show(&visitor, &known, None, Told::of(refusal)).await;
        }
    };
    if fields.get("only_look").is_some() {
        return show(&visitor, &known, Some(document), Told::nothing()).await;
    }
    let seen = fields.get("revision").map(str::to_owned);
    let done = keep(&service, site.clone(), seen, document.clone()).await;
    match done {
        Ok(()) => Ok(go_to(format!("/board/{site}/setup"))),
        Err(refusal) => show(&visitor, &known, Some(document), Told::of(refusal)).await,
    }
}

/// Stores a document in the place of the revision that somebody saw, and of no other.
async fn keep(
    service: &Service,
    site: SiteId,
    seen: Option<String>,
    document: SetupDocument,
) -> Result<(), Refusal> {
    service
        .store
        .write(move |conn| app::setup::keep(conn, &site, seen.as_deref(), &document))
        .await
}

#[cfg(test)]
mod tests {
    use super::*;

    fn document() -> SetupDocument {
        let scenario = scheduler::sample::fixed();
        SetupDocument {
            setup: scenario.setup,
            policy: scenario.policy,
        }
    }

    #[test]
    fn what_is_not_touched_stays_to_the_last_digit() {
        let document = document();
        for units in [Units::METRIC, Units::US] {
            let value = serde_json::to_value(&document).unwrap();
            let mut form = form_urlencoded::Serializer::new(String::new());
            let parts = parts(&value, units);
            for field in parts.iter().flat_map(|p| &p.groups).flat_map(|g| &g.fields) {
                form.append_pair(&field.pointer, &field.value);
            }
            let fields = Fields::parse(form.finish().as_bytes());
            assert_eq!(changed(&document, &fields, units).unwrap(), document);
        }
    }

    #[test]
    fn a_number_is_stored_in_its_own_unit() {
        let fields = Fields::parse(
            b"%2Fsetup%2Fpots%2F0%2Fvolume_l=10&%2Fsetup%2Fcold_stores%2F0%2Fplaces=30",
        );
        let found = changed(&document(), &fields, Units::US).unwrap();
        // 10 US gal are 37.854 L (NIST SP 811, table B.8).
        assert!((found.setup.pots[0].volume_l.litres() - 37.854_12).abs() < 1e-3);
        assert_eq!(found.setup.cold_stores[0].places, 30);
        let wrong = Fields::parse(b"%2Fsetup%2Fpots%2F0%2Fpower_w=-5");
        let refused = changed(&document(), &wrong, Units::METRIC).unwrap_err();
        assert!(refused.to_string().contains("power_w"), "{refused}");
    }
}
