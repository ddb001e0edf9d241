//! Sites: created and replaced.

use scheduler::scenario::{Site, SiteId};

use super::drafts::settle;
use crate::domain::access::Actor;
use crate::domain::sites::check;
use crate::domain::{Expected, Refusal, Revision};
use crate::storage::{Connection, Store, setup, sites};

/// The sites somebody may see, by id.
pub(crate) fn list(conn: &mut Connection, actor: &Actor) -> Result<Vec<Site>, Refusal> {
    let mut known = sites::list(conn)?;
    known.retain(|site| actor.grant.reaches(&site.id));
    Ok(known)
}

/// Creates a site under the id it chose.
pub(crate) fn create(conn: &mut Connection, site: Site) -> Result<Site, Refusal> {
    check(&site)?;
    match sites::insert(conn, &site)? {
        true => Ok(site),
        false => Err(Refusal::SiteExists(site.id)),
    }
}

/// Replaces a site's facts. Those that say the same make no new revision.
pub(crate) async fn replace(
    store: &Store,
    id: SiteId,
    expected: Expected,
    site: &Site,
) -> Result<Revision, Refusal> {
    if site.id != id {
        let what = format!("\"{}\" found; the id stays \"{id}\"", site.id);
        return Err(Refusal::field("id", what));
    }
    check(site)?;
    let stored = site.clone();
    store
        .write(move |conn| {
            let found = sites::find(conn, &id)?.ok_or(Refusal::UnknownSite(id.clone()))?;
            expected.admit(Some(found.revision))?;
            if found.document == stored {
                return Ok(found.revision);
            }
            sites::replace(conn, &stored, found.revision.next())?;
            if let Some(document) = setup::latest(conn, &id)? {
                settle(conn, &stored, &document.document)?;
            }
            Ok::<_, Refusal>(found.revision.next())
        })
        .await
}
