//! One part of the setup with everything in it, to be changed, added to and taken from.

use actix_web::{HttpResponse, web};
use askama::Template;
use scheduler::draft::Assumption;
use scheduler::scenario::{Site, SiteId};
use serde::Deserialize;
use serde_json::Value;

use super::super::error_page::{ErrorPage, Told};
use super::super::fields::{Fields, through};
use super::super::go_to;
use super::super::page::{Nav, Shell, shown};
use super::super::principal::Principal;
use super::form::{About, Node};
use super::physics::{Physics, physics};
use super::reading::{add, take_out};
use super::shape::Member;
use super::{Known, keep, known};
use crate::domain::setup::{SetupDocument, check};
use crate::domain::{Refusal, Revised};
use crate::http::TypedPath;
use crate::service::Service;

/// The parts: how each is called in an address and by people, and where in the document it is.
pub(super) const PARTS: [(&str, &str, &str); 16] = [
    ("pots", "Pots", "/setup/pots"),
    ("circuits", "Circuits", "/setup/circuits"),
    ("routes", "Ways to chill", "/setup/routes"),
    ("cold-stores", "Cold stores", "/setup/cold_stores"),
    ("ice", "Ice", "/setup/ice"),
    ("kegs", "Kegs", "/setup/keg_types"),
    ("gas-stations", "Gassing points", "/setup/gas_stations"),
    ("cylinders", "CO2 cylinders", "/setup/cylinders"),
    ("cylinder-room", "Room of the CO2", "/setup/cylinder_room"),
    ("products", "Products", "/setup/products"),
    ("materials", "Materials", "/setup/materials"),
    ("crew", "Crew", "/setup/crew"),
    ("wash", "Wash", "/setup/wash"),
    ("hours", "Quiet hours", "/setup/quiet_hours"),
    ("outages", "Out of service", "/setup/outages"),
    ("policy", "Policy", "/policy"),
];

/// A path that names a part of a site's setup.
#[derive(Debug, Clone, Deserialize)]
pub(in crate::board) struct PartPath {
    site: SiteId,
    part: String,
}

/// A part, as the address names it.
struct Part {
    slug: &'static str,
    title: &'static str,
    pointer: &'static str,
    member: Member,
}

#[derive(Template)]
#[template(path = "board/setup_part.html")]
struct Page {
    shell: Shell,
    title: &'static str,
    slug: &'static str,
    parts: Vec<(&'static str, &'static str, bool)>,
    revision: String,
    /// What the form was made from, for when it is sent.
    was: String,
    node: Node,
    physics: Option<Physics>,
    no_physics: String,
    tried: bool,
}

/// What a page is made of.
struct Shown<'a> {
    found: &'a Revised<SetupDocument>,
    /// The part as it is tried.
    value: &'a Value,
    typed: Option<&'a Fields>,
    tried: bool,
    /// What nobody told yet.
    assumed: &'a [Assumption],
}

/// The parts, to lead there.
pub(super) fn links() -> Vec<(&'static str, &'static str)> {
    PARTS
        .iter()
        .map(|(slug, title, _)| (*slug, *title))
        .collect()
}

impl Part {
    fn named(name: &str) -> Result<Self, ErrorPage> {
        let found = PARTS.iter().find(|(slug, _, _)| *slug == name);
        let (slug, title, pointer) = *found.ok_or_else(ErrorPage::nowhere)?;
        let member = Member::of_setup(pointer).ok_or_else(ErrorPage::nowhere)?;
        Ok(Self {
            slug,
            title,
            pointer,
            member,
        })
    }

    fn of(&self, document: &Value) -> Value {
        document.pointer(self.pointer).cloned().unwrap_or_default()
    }

    /// Puts the part into a document; nothing takes it away.
    fn put(&self, document: &mut Value, value: Value) {
        let (parent, name) = self.pointer.rsplit_once('/').unwrap_or_default();
        if let Some(Value::Object(parent)) = document.pointer_mut(parent) {
            if value.is_null() {
                parent.remove(name);
            } else {
                parent.insert(name.to_owned(), value);
            }
        }
    }
}

pub(in crate::board) async fn read(
    service: web::Data<Service>,
    visitor: Principal,
    TypedPath(path): TypedPath<PartPath>,
) -> Result<HttpResponse, ErrorPage> {
    let part = Part::named(&path.part)?;
    let Known {
        site,
        found,
        assumed,
    } = service
        .store
        .read(move |conn| known(conn, &path.site))
        .await?;
    let document = serde_json::to_value(&found.document).map_err(Refusal::internal)?;
    let shown = Shown {
        found: &found,
        value: &part.of(&document),
        typed: None,
        tried: false,
        assumed: &assumed,
    };
    show(&visitor, site, &part, shown, Told::nothing()).await
}

async fn show(
    visitor: &Principal,
    site: Site,
    part: &Part,
    from: Shown<'_>,
    told: Told,
) -> Result<HttpResponse, ErrorPage> {
    let stored = serde_json::to_value(&from.found.document).map_err(Refusal::internal)?;
    let mut document = stored.clone();
    part.put(&mut document, from.value.clone());
    let about = About {
        document: &document,
        stored: &stored,
        units: visitor.units,
        typed: from.typed,
        assumed: from.assumed,
    };
    let node = about.node(&part.member, part.pointer, "", from.value);
    let (at, units, tried) = (site.clone(), visitor.units, document.clone());
    let looked = crate::blocking::slow(move || {
        let document: Result<SetupDocument, Refusal> = through(tried);
        Ok(match document {
            Ok(document) => physics(&at, &document, units),
            Err(refusal) => Err(refusal.to_string()),
        })
    })
    .await?;
    let (physics, no_physics) = match looked {
        Ok(physics) => (Some(physics), String::new()),
        Err(why) => (None, why),
    };
    let page = Page {
        shell: Shell::of(visitor, &site, Nav::Setup).saying(told.notice),
        title: part.title,
        slug: part.slug,
        parts: PARTS
            .map(|(slug, title, _)| (slug, title, slug == part.slug))
            .into(),
        revision: from.found.revision.to_string(),
        was: from.value.to_string(),
        node,
        physics,
        no_physics,
        tried: from.tried,
    };
    shown(told.status, &page)
}

/// What a form does to a part.
struct Changed {
    document: Value,
    /// Whether it is only shown: something was added or taken out, or needs more to be said.
    only_shown: bool,
}

impl Part {
    fn changed(
        &self,
        stored: &Value,
        was: &Value,
        visitor: &Principal,
        fields: &Fields,
    ) -> Result<Changed, Refusal> {
        let mut document = stored.clone();
        self.put(&mut document, was.clone());
        let about = About {
            document: &document,
            stored,
            units: visitor.units,
            typed: None,
            assumed: &[],
        };
        let value = about.read(&self.member, self.pointer, was, fields)?;
        // Another kind of thing needs other things to be said.
        let kinds = fields.under("").filter(|(name, _)| name.ends_with("/kind"));
        let other = kinds
            .filter(|(name, kind)| document.pointer(name).is_some_and(|is| is != kind))
            .count();
        let (added, out) = (fields.text("add"), fields.text("out"));
        self.put(&mut document, value);
        if let Some(place) = added {
            add(&self.member, self.pointer, place, &mut document);
        }
        if let Some(place) = out {
            take_out(place, &mut document);
        }
        Ok(Changed {
            document,
            only_shown: other > 0 || added.is_some() || out.is_some(),
        })
    }
}

pub(in crate::board) async fn change(
    service: web::Data<Service>,
    visitor: Principal,
    TypedPath(path): TypedPath<PartPath>,
    fields: Fields,
) -> Result<HttpResponse, ErrorPage> {
    let part = Part::named(&path.part)?;
    let asked = path.site.clone();
    let Known {
        site,
        found,
        assumed,
    } = service.store.read(move |conn| known(conn, &asked)).await?;
    let stored = serde_json::to_value(&found.document).map_err(Refusal::internal)?;
    let was = match fields.text("was").map(serde_json::from_str) {
        Some(was) => was.map_err(|error| Refusal::field("was", error.to_string()))?,
        None => part.of(&stored),
    };
    let tried = |value, typed| Shown {
        found: &found,
        value,
        typed,
        tried: true,
        assumed: &assumed,
    };
    let changed = match part.changed(&stored, &was, &visitor, &fields) {
        Ok(changed) => changed,
        Err(refusal) => {
            let shown = tried(&was, Some(&fields));
            return show(&visitor, site, &part, shown, Told::of(refusal)).await;
        }
    };
    let value = part.of(&changed.document);
    if changed.only_shown {
        let shown = tried(&value, None);
        return show(&visitor, site, &part, shown, Told::nothing()).await;
    }
    let done = match through::<SetupDocument>(changed.document.clone()) {
        Err(refusal) => Err(refusal),
        Ok(document) if fields.get("only_look").is_some() => {
            check(&site, &document).map(|()| false)
        }
        Ok(document) => {
            let seen = fields.get("revision").map(str::to_owned);
            keep(&service, path.site.clone(), seen, document)
                .await
                .map(|()| true)
        }
    };
    match done {
        Ok(true) => Ok(go_to(format!("/board/{}/setup/{}", path.site, part.slug))),
        Ok(false) => {
            let shown = tried(&value, None);
            show(&visitor, site, &part, shown, Told::nothing()).await
        }
        Err(refusal) => {
            let shown = tried(&value, Some(&fields));
            show(&visitor, site, &part, shown, Told::of(refusal)).await
        }
    }
}
