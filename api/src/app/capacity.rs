//! Capacity: questions about what can be ready, answered while the caller waits.

use scheduler::answer::NoAnswer;
use scheduler::check::Checked;
use scheduler::milp::Watch;
use scheduler::scenario::{Horizon, Scenario, SiteId};
use scheduler::search::Limits;
use serde::Serialize;

use crate::domain::Refusal;
use crate::domain::access::{Actor, hash};
use crate::domain::plans::PlanRequest;
use crate::domain::scenario::assemble;
use crate::jobs::Asked;
use crate::service::Service;
use crate::storage::scenario;

/// Which days of which site a question is about, and how long and far to search.
pub(crate) struct Stretch {
    site: SiteId,
    horizon: Horizon,
    limits: Limits,
}

impl Stretch {
    pub(crate) fn of(site: SiteId, request: &PlanRequest) -> Self {
        Self {
            site,
            horizon: request.horizon(),
            limits: request.limits(),
        }
    }
}

/// Works out an answer from what the site has, while the caller waits. Whoever asks the same about
/// the same meanwhile gets the same answer; `question` is what tells questions apart.
pub(crate) async fn answered<T: Clone + Send + Sync + 'static>(
    service: &Service,
    actor: &Actor,
    stretch: Stretch,
    question: &impl Serialize,
    ask: impl FnOnce(&Checked, Watch<'_>) -> Result<T, NoAnswer> + Send + 'static,
) -> Result<T, Refusal> {
    let Stretch {
        site,
        horizon,
        limits,
    } = stretch;
    let question = serde_json::to_vec(question).map_err(Refusal::internal)?;
    let (known, key) = service
        .store
        .read(move |conn| {
            let known = scenario::known(conn, &site, &horizon)?;
            let checked = assemble(known, horizon)?.0;
            let key = key(&checked, &question, limits).map_err(Refusal::internal)?;
            Ok::<_, Refusal>((checked, key))
        })
        .await?;
    let asked = Asked {
        caller: actor.id.clone(),
        key,
    };
    let answer = service
        .jobs
        .ask(asked, move |cancel| {
            let watch = Watch::quiet(cancel);
            ask(&known, watch)
        })
        .await?;
    answer.map_err(Refusal::from)
}

/// The same for the same question about the same scenario.
fn key(known: &Scenario, question: &[u8], limits: Limits) -> serde_json::Result<String> {
    let known = serde_json::to_vec(known)?;
    let limits = format!("{limits:?}");
    Ok(hash(&[&known, question, limits.as_bytes()]))
}
