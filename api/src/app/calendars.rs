//! Calendar feeds: made, revoked, and written from the published plan.

use scheduler::scenario::SiteId;
use uuid::Uuid;

use crate::domain::access::Actor;
use crate::domain::calendars::{CalendarFeed, CalendarId, CalendarRequest};
use crate::domain::trace::whole;
use crate::domain::{Refusal, secret};
use crate::storage::plans::lineage;
use crate::storage::{Connection, calendars, publications, sites};
use crate::text::calendar::{self, Feed};

/// Makes a feed, and gives its secret path.
pub(crate) fn make(
    conn: &mut Connection,
    site: &SiteId,
    request: &CalendarRequest,
    maker: &Actor,
) -> Result<(CalendarFeed, String), Refusal> {
    let secret = secret::address()?;
    let path = format!("/v1/calendars/{secret}.ics");
    let zone = sites::load(conn, site)?.time_zone;
    let feed = CalendarId(Uuid::now_v7());
    calendars::insert(conn, feed, site, request, &secret, maker)?;
    let made = calendars::list(conn, site, zone)?;
    let made = made.into_iter().find(|known| known.id == feed);
    let feed = made.ok_or_else(|| Refusal::internal("a calendar feed is not there"))?;
    Ok((feed, path))
}

/// Revokes a feed of a site: its address leads nowhere from now on.
pub(crate) fn revoke(
    conn: &mut Connection,
    site: &SiteId,
    calendar: CalendarId,
) -> Result<(), Refusal> {
    sites::load(conn, site)?;
    match calendars::revoke(conn, site, calendar)? {
        true => Ok(()),
        false => Err(Refusal::UnknownCalendar),
    }
}

/// The calendar behind a secret address, as text.
pub(crate) fn written(conn: &mut Connection, secret: &str) -> Result<String, Refusal> {
    let (id, role) = calendars::behind(conn, secret)?.ok_or(Refusal::UnknownCalendar)?;
    let site = sites::load(conn, &id)?;
    let Some(published) = publications::current(conn, &id, site.time_zone)? else {
        return Ok(calendar::empty(&site.name));
    };
    let generations = lineage::generations(conn, published.plan)?;
    let (Some(first), Some(last)) = (generations.first(), generations.last()) else {
        return Ok(calendar::empty(&site.name));
    };
    let feed = Feed {
        site: &site.name,
        role,
        root: first.id,
        number: published.number,
        published_at: published.published_at,
        scenario: &last.scenario,
    };
    Ok(calendar::calendar(&feed, &whole(&generations)))
}
