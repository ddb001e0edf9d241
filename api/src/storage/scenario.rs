//! Everything the database knows about a site and a stretch of time, read in one go.

use scheduler::scenario::{Horizon, SiteId};

use super::{Connection, demand, setup, sites, stock};
use crate::domain::Refusal;
use crate::domain::demand::Range;
use crate::domain::scenario::SiteDocuments;

/// What is known about a site for a horizon.
pub(crate) fn known(
    conn: &mut Connection,
    id: &SiteId,
    horizon: &Horizon,
) -> Result<SiteDocuments, Refusal> {
    let site = sites::load(conn, id)?;
    let zone = site.time_zone;
    let timeline = horizon.timeline(zone);
    let range = Range {
        from: Some(horizon.start),
        to: Some(timeline.stamp(timeline.end())),
    };
    Ok(SiteDocuments {
        setup: setup::latest(conn, id)?,
        stock: stock::books(conn, id, zone, stock::Until::ALL)?
            .map(|books| books.stock_at(horizon.start)),
        demand: demand::list(conn, id, range, zone)?,
        site,
    })
}
