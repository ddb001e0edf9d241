//! What other systems call a site's products, kegs and materials.

use scheduler::scenario::SiteId;

use crate::domain::codes::Codes;
use crate::domain::{Expected, Refusal, Revision, Stored};
use crate::storage::{Connection, codes, setup, sites};

/// Stores the codes of a site in the place of those before.
pub(crate) fn replace(
    conn: &mut Connection,
    site: &SiteId,
    expected: &Expected,
    document: &Codes,
) -> Result<Stored, Refusal> {
    sites::load(conn, site)?;
    let known = setup::load(conn, site)?;
    document.check(&known.document)?;
    let current = codes::find(conn, site)?.map(|found| found.revision);
    expected.admit(current)?;
    let revision = current.map_or(Revision::FIRST, Revision::next);
    codes::store(conn, site, revision, document)?;
    let first = current.is_none();
    Ok(Stored { revision, first })
}
