//! What a draft assumed of a site, in the database: one document for each site that has any.

use diesel::prelude::*;
use scheduler::draft::Assumption;
use scheduler::scenario::SiteId;

use super::row::{self, Row};
use super::schema::assumed;
use super::{Connection, StorageError};

/// What is assumed of a site; nothing where it was not drafted or all of it was changed.
pub(crate) fn list(conn: &mut Connection, site: &SiteId) -> Result<Vec<Assumption>, StorageError> {
    let found: Option<String> = assumed::table
        .find(site.as_str())
        .select(assumed::document)
        .first(conn)
        .optional()?;
    let row = Row {
        table: "assumed",
        key: site,
    };
    found.map_or(Ok(Vec::new()), |text| row.document(&text))
}

/// Stores what is assumed of a site in the place of what was.
pub(crate) fn store(
    conn: &mut Connection,
    site: &SiteId,
    all: &[Assumption],
) -> Result<(), StorageError> {
    diesel::delete(assumed::table.find(site.as_str())).execute(conn)?;
    if all.is_empty() {
        return Ok(());
    }
    diesel::insert_into(assumed::table)
        .values((
            assumed::site.eq(site.as_str()),
            assumed::document.eq(row::text("assumed", &all)?),
        ))
        .execute(conn)?;
    Ok(())
}
