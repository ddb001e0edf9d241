//! Plans: asked for, made in the background.

use scheduler::scenario::SiteId;

use super::queue::{enqueue, wanted};
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
    let about = (request, &*checked);
    let id = enqueue(conn, admission, (site, revision), about, &Task::Plan, None)?;
    plans::load(conn, id)
}
