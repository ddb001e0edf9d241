//! Plans: asked for, made in the background.

use scheduler::scenario::SiteId;

use super::queue::{Search, enqueue, wanted};
use crate::domain::Refusal;
use crate::domain::plans::{PlanRequest, PlanResource};
use crate::domain::questions::Task;
use crate::domain::queue::Admission;
use crate::storage::{Connection, plans};

/// Assembles the scenario of a request and queues its plan.
pub(crate) fn queue(
    conn: &mut Connection,
    admission: &Admission,
    site: &SiteId,
    request: &PlanRequest,
) -> Result<PlanResource, Refusal> {
    let (checked, revision) = wanted(conn, site, request)?;
    let search = Search {
        site,
        setup_revision: revision,
        request,
        scenario: &checked,
        task: &Task::Plan,
        parent: None,
    };
    let id = enqueue(conn, admission, &search)?;
    plans::load(conn, id)
}
