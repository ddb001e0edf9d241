//! What other systems call things, in the database: one document for each site.

use diesel::prelude::*;
use scheduler::scenario::SiteId;

use super::parsed_cache::ParsedCache;
use super::row::{self, Row};
use super::schema::codes;
use super::{Connection, StorageError};
use crate::domain::codes::Codes;
use crate::domain::{Revised, Revision, time};

static CODES: ParsedCache<Codes> = ParsedCache::new();

/// A site's codes, if it has any.
pub(crate) fn find(
    conn: &mut Connection,
    site: &SiteId,
) -> Result<Option<Revised<Codes>>, StorageError> {
    let found: Option<(i64, String)> = codes::table
        .find(site.as_str())
        .select((codes::revision, codes::document))
        .first(conn)
        .optional()?;
    let row = Row {
        table: "codes",
        key: site,
    };
    let Some((revision, text)) = found else {
        return Ok(None);
    };
    Ok(Some(Revised {
        revision: row.value(revision)?,
        document: CODES.document(row, &text)?,
    }))
}

/// Stores a site's codes at a revision.
pub(crate) fn store(
    conn: &mut Connection,
    site: &SiteId,
    revision: Revision,
    document: &Codes,
) -> Result<(), StorageError> {
    let text = row::text("codes", document)?;
    let now = row::stored(time::now());
    let replaced = diesel::update(codes::table.find(site.as_str()))
        .set((
            codes::revision.eq(revision.number()),
            codes::document.eq(&text),
            codes::changed_at.eq(now),
        ))
        .execute(conn)?;
    if replaced == 0 {
        diesel::insert_into(codes::table)
            .values((
                codes::site.eq(site.as_str()),
                codes::revision.eq(revision.number()),
                codes::document.eq(&text),
                codes::changed_at.eq(now),
            ))
            .execute(conn)?;
    }
    Ok(())
}
