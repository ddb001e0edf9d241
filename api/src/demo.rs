//! Loading the demo site, so that a first look needs no data of one's own.

use chrono::Duration;
use scheduler::sample;
use scheduler::scenario::Scenario;

use crate::app;
use crate::domain::access::{MadeUp, Scope, made_up};
use crate::domain::demand::Range;
use crate::domain::plans::{PlanId, PlanRequest};
use crate::domain::setup::SetupDocument;
use crate::domain::stock::{Count, Record};
use crate::domain::{Refusal, Revision, time};
use crate::service::Service;
use crate::storage::{Connection, demand, people, setup, sites, stock};

/// Who may sign in to the board of the demo.
const PERSON: &str = "demo";

/// How long they may: their password was made up for them, and must not stay.
const LASTS: Duration = Duration::days(7);

/// What was loaded.
pub(crate) struct Loaded {
    /// The plan that was requested.
    pub(crate) plan: PlanId,
    /// Name and password to sign in with; the password is kept nowhere.
    pub(crate) person: (&'static str, String),
}

/// Loads the demo site with a person, and requests its first plan, unless there is a site already.
pub(crate) fn load(service: &Service) -> Result<Option<Loaded>, Refusal> {
    let now = time::now().with_timezone(&sample::ZONE);
    let scenario = sample::scenario(now);
    let MadeUp {
        mut person,
        hash,
        password,
    } = made_up(PERSON, Scope::Admin, None)?;
    person.ends_at = Some(person.created_at + LASTS);
    let admission = service.admission();
    let plan = service.store.write_now(|conn| {
        if !sites::list(conn)?.is_empty() {
            return Ok(None);
        }
        store(conn, &scenario)?;
        people::insert(conn, &person, &hash)?;
        let request = PlanRequest::of(&scenario.horizon);
        let plan = app::plans::queue(conn, &admission, &scenario.site.id, &request)?;
        Ok::<_, Refusal>(Some(plan.summary.id))
    })?;
    service.jobs.wake();
    Ok(plan.map(|plan| Loaded {
        plan,
        person: (PERSON, password),
    }))
}

fn store(conn: &mut Connection, scenario: &Scenario) -> Result<(), Refusal> {
    let site = &scenario.site;
    let document = SetupDocument {
        setup: scenario.setup.clone(),
        policy: scenario.policy.clone(),
    };
    let count = Count::now("demo", site.time_zone, scenario.stock.clone())?;
    sites::insert(conn, site)?;
    setup::insert(conn, &site.id, Revision::FIRST, &document)?;
    demand::replace(conn, &site.id, Range::ALWAYS, &scenario.demand)?;
    stock::book(
        conn,
        &site.id,
        &Record::Count(Box::new(count)),
        site.time_zone,
    )?;
    Ok(())
}
