//! Setup revisions in the database.

use chrono::NaiveDateTime;
use chrono_tz::Tz;
use diesel::prelude::*;
use scheduler::scenario::SiteId;

use super::parsed_cache::ParsedCache;
use super::row::{self, Row};
use super::schema::setup_revisions;
use super::{Connection, StorageError, events};
use crate::domain::events::{EventData, EventKind};
use crate::domain::setup::{SetupDocument, SetupRevision};
use crate::domain::{Refusal, Revised, Revision, time};

static SETUPS: ParsedCache<SetupDocument> = ParsedCache::new();

/// A site's latest setup.
pub(crate) fn latest(
    conn: &mut Connection,
    site: &SiteId,
) -> Result<Option<Revised<SetupDocument>>, StorageError> {
    let found: Option<(i64, String)> = setup_revisions::table
        .filter(setup_revisions::site.eq(site.as_str()))
        .order(setup_revisions::revision.desc())
        .select((setup_revisions::revision, setup_revisions::document))
        .first(conn)
        .optional()?;
    found.map(|row| revised(site, row)).transpose()
}

/// A site's latest setup, which is needed.
///
/// # Errors
/// [`Refusal::NoSetup`] if it has none.
pub(crate) fn load(
    conn: &mut Connection,
    site: &SiteId,
) -> Result<Revised<SetupDocument>, Refusal> {
    latest(conn, site)?.ok_or_else(|| Refusal::NoSetup(site.clone()))
}

/// A setup as it was at a revision.
pub(crate) fn at(
    conn: &mut Connection,
    site: &SiteId,
    revision: Revision,
) -> Result<Option<Revised<SetupDocument>>, StorageError> {
    let found: Option<(i64, String)> = setup_revisions::table
        .find((site.as_str(), revision.number()))
        .select((setup_revisions::revision, setup_revisions::document))
        .first(conn)
        .optional()?;
    found.map(|row| revised(site, row)).transpose()
}

/// A site's revisions, latest first.
pub(crate) fn list(
    conn: &mut Connection,
    site: &SiteId,
    zone: Tz,
) -> Result<Vec<SetupRevision>, StorageError> {
    let rows: Vec<(i64, NaiveDateTime)> = setup_revisions::table
        .filter(setup_revisions::site.eq(site.as_str()))
        .order(setup_revisions::revision.desc())
        .select((setup_revisions::revision, setup_revisions::created_at))
        .load(conn)?;
    rows.into_iter()
        .map(|(revision, at)| {
            Ok(SetupRevision {
                revision: named(&site).value(revision)?,
                created_at: row::local(at, zone),
            })
        })
        .collect()
}

/// Adds a revision.
pub(crate) fn insert(
    conn: &mut Connection,
    site: &SiteId,
    revision: Revision,
    document: &SetupDocument,
) -> Result<(), StorageError> {
    diesel::insert_into(setup_revisions::table)
        .values((
            setup_revisions::site.eq(site.as_str()),
            setup_revisions::revision.eq(revision.number()),
            setup_revisions::document.eq(row::text("a setup", document)?),
            setup_revisions::created_at.eq(row::stored(time::now())),
        ))
        .execute(conn)?;
    let data = EventData {
        revision: Some(revision),
        ..EventData::default()
    };
    events::append(conn, site, EventKind::SetupChanged, &data)?;
    Ok(())
}

fn revised(
    site: &SiteId,
    (revision, text): (i64, String),
) -> Result<Revised<SetupDocument>, StorageError> {
    Ok(Revised {
        revision: named(&site).value(revision)?,
        document: SETUPS.document(named(&site), &text)?,
    })
}

fn named(site: &dyn std::fmt::Display) -> Row<'_> {
    Row {
        table: "setup_revisions",
        key: site,
    }
}
