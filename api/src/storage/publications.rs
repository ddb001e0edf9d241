//! Publications of plans in the database: one at a time for each site, and those before.

use chrono::NaiveDateTime;
use chrono_tz::Tz;
use diesel::prelude::*;
use scheduler::scenario::SiteId;

use super::row::{self, Row};
use super::schema::publications;
use super::{Connection, StorageError};
use crate::domain::plans::PlanId;
use crate::domain::publications::Publication;
use crate::domain::time;
use crate::domain::words::Who;

#[derive(Queryable, Selectable)]
#[diesel(table_name = publications)]
struct Line {
    site: String,
    number: i64,
    plan: String,
    published_by: Option<String>,
    published_at: NaiveDateTime,
    withdrawn_at: Option<NaiveDateTime>,
}

/// What is published at a site now.
pub(crate) fn current(
    conn: &mut Connection,
    site: &SiteId,
    zone: Tz,
) -> Result<Option<Publication>, StorageError> {
    let latest = list(conn, site, None, 1, zone)?.pop();
    Ok(latest.filter(|publication| publication.withdrawn_at.is_none()))
}

/// A site's publications, latest first, from before a number.
pub(crate) fn list(
    conn: &mut Connection,
    site: &SiteId,
    before: Option<i64>,
    limit: i64,
    zone: Tz,
) -> Result<Vec<Publication>, StorageError> {
    let mut query = publications::table
        .filter(publications::site.eq(site.as_str()))
        .order(publications::number.desc())
        .limit(limit)
        .select(Line::as_select())
        .into_boxed();
    if let Some(before) = before {
        query = query.filter(publications::number.lt(before));
    }
    let rows: Vec<Line> = query.load(conn)?;
    rows.into_iter().map(|line| line.checked(zone)).collect()
}

/// Whether a plan was ever published.
pub(crate) fn was_published(conn: &mut Connection, plan: PlanId) -> Result<bool, StorageError> {
    let count: i64 = publications::table
        .filter(publications::plan.eq(plan.to_string()))
        .count()
        .get_result(conn)?;
    Ok(count > 0)
}

/// Publishes a plan in place of the one before.
pub(crate) fn publish(
    conn: &mut Connection,
    site: &SiteId,
    plan: PlanId,
    by: Option<&Who>,
) -> Result<(), StorageError> {
    let now = row::stored(time::now());
    diesel::update(
        publications::table
            .filter(publications::site.eq(site.as_str()))
            .filter(publications::withdrawn_at.is_null()),
    )
    .set(publications::withdrawn_at.eq(now))
    .execute(conn)?;
    let latest: Option<i64> = publications::table
        .filter(publications::site.eq(site.as_str()))
        .select(diesel::dsl::max(publications::number))
        .first(conn)?;
    diesel::insert_into(publications::table)
        .values((
            publications::site.eq(site.as_str()),
            publications::number.eq(latest.unwrap_or(0) + 1),
            publications::plan.eq(plan.to_string()),
            publications::published_by.eq(by.map(Who::as_str)),
            publications::published_at.eq(now),
        ))
        .execute(conn)?;
    Ok(())
}

impl Line {
    fn checked(self, zone: Tz) -> Result<Publication, StorageError> {
        let row = Row {
            table: "publications",
            key: &self.plan,
        };
        Ok(Publication {
            number: self.number,
            plan: PlanId::parse(&self.plan).map_err(|error| row.bad(error))?,
            site: row.value(self.site)?,
            published_by: self.published_by.map(|by| row.value(by)).transpose()?,
            published_at: row::local(self.published_at, zone),
            withdrawn_at: self.withdrawn_at.map(|at| row::local(at, zone)),
        })
    }
}
