//! Whether somebody may do what they ask for, and where: the one place that decides.
//!
//! It goes by the path as the router matched it, and `TypedPath` gives handlers the parts of just that
//! path. For callers that are limited to sites, every site, plan and question in the path must be of
//! one of their sites, and of the same one. What names none is closed to them, but for what is
//! declared to be asked anywhere.

use std::sync::Arc;

use actix_web::HttpMessage;
use actix_web::dev::ServiceRequest;
use scheduler::check::Fault;
use scheduler::scenario::SiteId;

use super::operations::MatchedOperation;
use super::typed_path::Admitted;
use crate::domain::Refusal;
use crate::domain::access::{Actor, Scope};
use crate::domain::plans::PlanId;
use crate::problem::{Kind, Problem};
use crate::storage::{Store, plans};

/// Parts of a path that name a search of a site: plans, and questions, which are searches too.
const SEARCHES: [&str; 3] = ["plan", "question", "commitment"];

/// What a path is about.
#[derive(Default)]
pub(crate) struct PathSubject {
    pub(crate) site: Option<SiteId>,
    pub(crate) plan: Option<PlanId>,
}

/// Admits an actor to an operation, and says what it is about.
///
/// # Errors
/// Refused: the scope is missing, or it is about a site that is none of theirs.
pub(crate) async fn admitted(
    store: &Store,
    found: &Arc<MatchedOperation>,
    actor: &Actor,
    scope: Scope,
    request: &ServiceRequest,
) -> Result<PathSubject, Problem> {
    let who = format!("{}:{}", actor.kind.into_str(), actor.id);
    tracing::Span::current().record("actor", who.as_str());
    if !actor.grant.allows(scope) {
        return Err(Refusal::forbidden(format!(
            "this takes the scope {}; \"{}\" has {}",
            scope.into_str(),
            actor.name,
            held(actor)
        ))
        .into());
    }
    let site = found.parameter("site").map(SiteId::parse);
    let searches = SEARCHES.iter().filter_map(|name| found.parameter(name));
    let searches: Vec<_> = searches.map(PlanId::parse).collect();
    let unread = matches!(site, Some(Err(_))) || searches.iter().any(Result::is_err);
    let site = site.and_then(Result::ok);
    let searches: Vec<PlanId> = searches.into_iter().filter_map(Result::ok).collect();
    if actor.grant.sites.is_some() {
        // A part that cannot be read is the handler's to explain, but not to those it may not tell.
        if unread {
            return Err(illegible());
        }
        within(store, actor, site.as_ref(), &searches).await?;
        if site.is_none() && searches.is_empty() {
            anywhere(found, actor)?;
        }
    }
    let place = PathSubject {
        site,
        plan: searches.first().copied(),
    };
    if let Some(site) = &place.site {
        tracing::Span::current().record("site", site.as_str());
    }
    let mut extensions = request.extensions_mut();
    extensions.insert(Admitted(found.clone()));
    Ok(place)
}

/// A part of the path cannot be read, and so nobody can say whose it is.
fn illegible() -> Problem {
    let fault = Fault {
        field: "path".to_owned(),
        what: "the id of a site, a plan or a question in it is none".to_owned(),
    };
    Problem::new(Kind::BadPath, fault.to_string()).with(vec![fault])
}

/// Whether everything a path names is of one site, and that one of the caller's.
async fn within(
    store: &Store,
    actor: &Actor,
    site: Option<&SiteId>,
    searches: &[PlanId],
) -> Result<(), Problem> {
    if let Some(site) = site.filter(|site| !actor.grant.reaches(site)) {
        return Err(Refusal::UnknownSite(site.clone()).into());
    }
    for plan in searches.iter().copied() {
        let of = store
            .read(move |conn| Ok::<_, Refusal>(plans::site_of(conn, plan)?))
            .await?;
        let theirs =
            of.is_some_and(|of| actor.grant.reaches(&of) && site.is_none_or(|site| *site == of));
        if !theirs {
            return Err(Refusal::UnknownPlan(plan).into());
        }
    }
    Ok(())
}

/// Refuses callers limited to sites an operation that names none, unless it says that they may ask.
fn anywhere(found: &MatchedOperation, actor: &Actor) -> Result<(), Problem> {
    if found.operation.anywhere {
        return Ok(());
    }
    let what = format!(
        "\"{}\" is limited to sites, and this is about all of them",
        actor.name
    );
    Err(Refusal::forbidden(what).into())
}

fn held(actor: &Actor) -> String {
    let names: Vec<&str> = actor.grant.scopes.iter().map(|s| s.into_str()).collect();
    names.join(", ")
}
