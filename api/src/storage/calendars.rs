//! Calendar feeds in the database.

use chrono::NaiveDateTime;
use chrono_tz::Tz;
use diesel::prelude::*;
use scheduler::scenario::SiteId;
use sha2::{Digest, Sha256};
use uuid::Uuid;

use super::row::{self, Row};
use super::schema::calendars;
use super::{Connection, StorageError, makers};
use crate::domain::access::{Actor, Scope};
use crate::domain::calendars::{CalendarFeed, CalendarId, CalendarRequest};
use crate::domain::roles::Role;
use crate::domain::time;

#[derive(Queryable, Selectable)]
#[diesel(table_name = calendars)]
struct Line {
    id: String,
    site: String,
    crew_role: Option<String>,
    note: Option<String>,
    created_at: NaiveDateTime,
}

/// Adds a feed.
pub(crate) fn insert(
    conn: &mut Connection,
    id: CalendarId,
    site: &SiteId,
    request: &CalendarRequest,
    secret: &str,
    maker: &Actor,
) -> Result<(), StorageError> {
    diesel::insert_into(calendars::table)
        .values((
            calendars::id.eq(id.0.to_string()),
            calendars::site.eq(site.as_str()),
            calendars::crew_role.eq(request.role.map(|role| role.into_str())),
            calendars::note.eq(request.note.as_ref().map(|note| note.as_str())),
            calendars::secret_hash.eq(hash(secret)),
            calendars::created_at.eq(row::stored(time::now())),
            calendars::made_by.eq(makers::kept(maker)),
        ))
        .execute(conn)?;
    Ok(())
}

/// A site's feeds, oldest first.
pub(crate) fn list(
    conn: &mut Connection,
    site: &SiteId,
    zone: Tz,
) -> Result<Vec<CalendarFeed>, StorageError> {
    let rows: Vec<Line> = calendars::table
        .filter(calendars::site.eq(site.as_str()))
        .order(calendars::id)
        .select(Line::as_select())
        .load(conn)?;
    rows.into_iter().map(|line| line.checked(zone)).collect()
}

/// Takes a feed away; false if the site has none with that id.
pub(crate) fn revoke(
    conn: &mut Connection,
    site: &SiteId,
    id: CalendarId,
) -> Result<bool, StorageError> {
    let gone = diesel::delete(
        calendars::table
            .filter(calendars::id.eq(id.0.to_string()))
            .filter(calendars::site.eq(site.as_str())),
    )
    .execute(conn)?;
    Ok(gone == 1)
}

/// The site and role behind a secret address, for as long as whoever made it lasts.
pub(crate) fn behind(
    conn: &mut Connection,
    secret: &str,
) -> Result<Option<(SiteId, Option<Role>)>, StorageError> {
    let found: Option<(Line, Option<String>)> = calendars::table
        .filter(calendars::secret_hash.eq(hash(secret)))
        .select((Line::as_select(), calendars::made_by))
        .first(conn)
        .optional()?;
    let Some((line, maker)) = found else {
        return Ok(None);
    };
    let feed = line.checked(Tz::UTC)?;
    let (site, now) = (Some(&feed.site), time::now());
    let lasts = makers::lasts(conn, maker.as_deref(), Scope::Plan, site, now)?;
    Ok(lasts.then_some((feed.site, feed.role)))
}

/// A secret is long and random, so that a plain hash of it is enough.
fn hash(secret: &str) -> String {
    let digest = Sha256::digest(secret.as_bytes());
    digest.iter().map(|byte| format!("{byte:02x}")).collect()
}

impl Line {
    fn checked(self, zone: Tz) -> Result<CalendarFeed, StorageError> {
        let row = Row {
            table: "calendars",
            key: &self.id,
        };
        let role = self.crew_role.as_deref().map(|role| row.word("role", role));
        Ok(CalendarFeed {
            id: CalendarId(Uuid::parse_str(&self.id).map_err(|error| row.bad(error))?),
            site: row.value(self.site)?,
            role: role.transpose()?,
            note: self.note.map(|note| row.value(note)).transpose()?,
            created_at: row::local(self.created_at, zone),
        })
    }
}
