//! Sites in the database.

use diesel::prelude::*;
use scheduler::scenario::{Site, SiteId};

use super::parsed_cache::ParsedCache;
use super::row::{self, Row};
use super::schema::sites;
use super::{Connection, StorageError, events};
use crate::domain::events::{EventData, EventKind};
use crate::domain::{Refusal, Revised, Revision, time};

static SITES: ParsedCache<Site> = ParsedCache::new();

/// All sites, by id.
pub(crate) fn list(conn: &mut Connection) -> Result<Vec<Site>, StorageError> {
    let rows: Vec<(String, String)> = sites::table
        .select((sites::id, sites::document))
        .order(sites::id)
        .load(conn)?;
    rows.iter()
        .map(|(id, text)| named(id).document(text))
        .collect()
}

/// A site and its revision.
pub(crate) fn find(
    conn: &mut Connection,
    id: &SiteId,
) -> Result<Option<Revised<Site>>, StorageError> {
    let found: Option<(i64, String)> = sites::table
        .find(id.as_str())
        .select((sites::revision, sites::document))
        .first(conn)
        .optional()?;
    let Some((revision, text)) = found else {
        return Ok(None);
    };
    Ok(Some(Revised {
        revision: named(&id).value(revision)?,
        document: SITES.document(named(&id), &text)?,
    }))
}

/// A site that must exist.
pub(crate) fn load(conn: &mut Connection, id: &SiteId) -> Result<Site, Refusal> {
    let found = find(conn, id)?;
    found
        .map(|site| site.document)
        .ok_or_else(|| Refusal::UnknownSite(id.clone()))
}

/// Adds a site; false if there is one with its id already.
pub(crate) fn insert(conn: &mut Connection, site: &Site) -> Result<bool, StorageError> {
    let there: Option<String> = sites::table
        .find(site.id.as_str())
        .select(sites::id)
        .first(conn)
        .optional()?;
    if there.is_some() {
        return Ok(false);
    }
    diesel::insert_into(sites::table)
        .values((
            sites::id.eq(site.id.as_str()),
            sites::revision.eq(Revision::FIRST.number()),
            sites::document.eq(row::text("a site", site)?),
            sites::changed_at.eq(row::stored(time::now())),
        ))
        .execute(conn)?;
    tell(conn, site, EventKind::SiteCreated, Revision::FIRST)?;
    Ok(true)
}

/// Replaces a site's facts.
pub(crate) fn replace(
    conn: &mut Connection,
    site: &Site,
    revision: Revision,
) -> Result<(), StorageError> {
    diesel::update(sites::table.find(site.id.as_str()))
        .set((
            sites::revision.eq(revision.number()),
            sites::document.eq(row::text("a site", site)?),
            sites::changed_at.eq(row::stored(time::now())),
        ))
        .execute(conn)?;
    tell(conn, site, EventKind::SiteChanged, revision)
}

fn tell(
    conn: &mut Connection,
    site: &Site,
    kind: EventKind,
    revision: Revision,
) -> Result<(), StorageError> {
    let data = EventData {
        revision: Some(revision),
        ..EventData::default()
    };
    events::append(conn, &site.id, kind, &data)?;
    Ok(())
}

fn named(id: &dyn std::fmt::Display) -> Row<'_> {
    Row {
        table: "sites",
        key: id,
    }
}
