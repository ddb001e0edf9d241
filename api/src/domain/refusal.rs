//! Why the service does not do what it was asked to: facts, as people read them. No HTTP here: one
//! table maps these to it, and `problem` adds what concerns programs.

use std::error::Error;

use scheduler::answer::NoAnswer;
use scheduler::check::{Fault, Faults};
use scheduler::plan::WorkId;
use scheduler::scenario::{DemandId, SiteId};

use super::Revision;
use super::access::{KeyId, PersonId};
use super::codes::Grai;
use super::commitments::Standing;
use super::plans::{PlanId, PlanState};
use super::stock::Reference;
use super::webhooks::{DeliveryId, WebhookId};
use super::work::WorkState;

/// Why the service does not do what it was asked to.
#[derive(Debug, thiserror::Error)]
pub(crate) enum Refusal {
    #[error("there is no site \"{0}\"")]
    UnknownSite(SiteId),
    #[error("there is no plan {0}")]
    UnknownPlan(PlanId),
    #[error("there is no work item \"{item}\" in the plan {plan}")]
    UnknownWork { plan: PlanId, item: WorkId },
    #[error("the question {id} is {state}, not done")]
    Unanswered { id: PlanId, state: PlanState },
    #[error(
        "the answer is not yes, so it cannot be held; {most_l} L can be had with nobody served less"
    )]
    CannotBeTaken { most_l: f64 },
    #[error(
        "demand, stock, setup or what is held for others has changed since {0} was asked; ask again"
    )]
    BasisChanged(PlanId),
    #[error("the commitment {id} is {}, so it cannot be {wanted}", .standing.into_str())]
    WrongStanding {
        id: PlanId,
        standing: Standing,
        wanted: &'static str,
    },
    #[error("there is no webhook {0}")]
    UnknownWebhook(WebhookId),
    #[error("there is no delivery {0} to this webhook")]
    UnknownDelivery(DeliveryId),
    #[error("there is no such calendar; it may have been revoked")]
    UnknownCalendar,
    #[error("there is no question {0}")]
    UnknownQuestion(PlanId),
    #[error("no plan is published at \"{0}\"")]
    NothingPublished(SiteId),
    #[error("the plan {0} is not the one that is published at its site now")]
    NotPublished(PlanId),
    #[error(
        "{}; look at what is published now, and decide whether to publish this",
        other_published(.published.as_ref())
    )]
    OtherPublished { published: Option<PlanId> },
    #[error(
        "since this plan was made from what had happened, \"{item}\" of the published plan was \
         {}, which does not go with it; replan again",
        .state.into_str()
    )]
    Outdated { item: WorkId, state: WorkState },
    #[error(
        "\"{item}\" is {}, so it cannot be {}; {}",
        .state.into_str(), .wanted.into_str(), next(*.state)
    )]
    WrongWorkState {
        item: WorkId,
        state: WorkState,
        wanted: WorkState,
    },
    #[error("there is no line of demand \"{0}\" at this site")]
    UnknownDemand(DemandId),
    #[error("there is no count {0} in this site's ledger")]
    UnknownCount(i64),
    #[error("no entry of this site's ledger names the keg {}", .0.as_str())]
    UnknownKeg(Grai),
    #[error("there is no key {0}")]
    UnknownKey(KeyId),
    #[error("there is no person {0}")]
    UnknownPerson(PersonId),
    #[error("there already is somebody called \"{0}\"; choose another name")]
    PersonExists(String),
    #[error("{what}; ask somebody with the scope admin")]
    Forbidden { what: String },
    #[error("name or password is wrong")]
    BadSignIn,
    #[error("too many requests; the next can be sent in {seconds} s")]
    TooMany { seconds: u64 },
    #[error("the same request is being answered at this moment; ask again in a second")]
    RepeatUnderway,
    #[error(
        "another request was marked as the same within the last 24 hours; a repeat must be the same to \
         the byte"
    )]
    RepeatDiffers,
    #[error(
        "the same request was carried out, but the service was stopped before its answer was kept; \
         look at what it was to change"
    )]
    AnswerLost,
    #[error(
        "the same request was carried out; its answer held a secret, which was shown once and is not \
         kept"
    )]
    SecretShown,
    #[error("there is no revision {0} of this site's setup")]
    UnknownRevision(Revision),
    #[error("the site \"{0}\" has no setup yet")]
    NoSetup(SiteId),
    #[error("nothing was counted at \"{0}\" yet")]
    NoStock(SiteId),
    #[error("there already is a site \"{0}\"")]
    SiteExists(SiteId),
    #[error("{}; read it again, and decide whether the change still holds", changed(*.current))]
    ChangedSince { current: Option<Revision> },
    #[error("it is not as you read it; read it again, and decide whether the change still holds")]
    ChangedTag,
    #[error("it exists, at revision {current}")]
    Unconditional { current: Revision },
    #[error(
        "the reference \"{0}\" was used before for something else; a repeat must say the same, and \
         something new needs a reference of its own"
    )]
    ReferenceReused(Reference),
    #[error("{what}; check the amount, or record a count of what is really there")]
    BelowZero { what: String },
    #[error("{}", summary(.0))]
    Invalid(Vec<Fault>),
    #[error("{}", together(.0))]
    NoAnswer(Vec<Fault>),
    #[error("the site is not ready to be planned")]
    NotReady(Vec<Fault>),
    #[error(
        "no demand lies inside the horizon, so there is nothing to plan; put lines of demand first \
         or choose other days"
    )]
    NoDemand,
    #[error("the plan {id} is {state}, not done")]
    PlanUnfinished { id: PlanId, state: PlanState },
    #[error("the plan {id} is {state}; only a plan that is queued or running can be cancelled")]
    PlanFinished { id: PlanId, state: PlanState },
    #[error(
        "the question {id} is {state}; only a question that is queued or running can be cancelled"
    )]
    QuestionFinished { id: PlanId, state: PlanState },
    #[error(
        "{open} searches of {whose} are queued or running already, and {most} are allowed; wait for \
         some to end, or cancel them"
    )]
    TooManyOpen {
        whose: &'static str,
        open: i64,
        most: u32,
    },
    #[error("too many questions are waiting already; ask again in a few seconds")]
    Busy,
    #[error("the search was stopped before it had an answer; ask again, or allow more time")]
    Stopped,
    #[error(
        "the database cannot take this now, because it is locked, out of reach or has no room; \
         nothing was changed, so send it again in a few seconds"
    )]
    Unavailable(#[source] Box<dyn Error + Send + Sync>),
    #[error("the database did not say in time whether the change was made; look whether it was")]
    Unsure(#[source] Box<dyn Error + Send + Sync>),
    #[error("the events after {after} are {why}; read anew what you keep of them")]
    EventsGone {
        after: i64,
        resume: i64,
        why: &'static str,
    },
    #[error("something went wrong inside the service; its log has the details")]
    Internal(#[source] Box<dyn Error + Send + Sync>),
}

impl Refusal {
    /// One field is wrong.
    pub(crate) fn field(field: impl Into<String>, what: impl Into<String>) -> Self {
        Self::Invalid(vec![Fault {
            field: field.into(),
            what: what.into(),
        }])
    }

    /// Somebody may not do this.
    pub(crate) fn forbidden(what: impl Into<String>) -> Self {
        Self::Forbidden { what: what.into() }
    }

    /// Something that must not happen did.
    pub(crate) fn internal(source: impl Into<Box<dyn Error + Send + Sync>>) -> Self {
        Self::Internal(source.into())
    }
}

fn other_published(published: Option<&PlanId>) -> String {
    published.map_or_else(
        || "no plan is published at the site now".to_owned(),
        |plan| format!("the plan {plan} is published at the site now"),
    )
}

/// What can still be done to work in a state.
fn next(state: WorkState) -> &'static str {
    match state {
        WorkState::Planned => "it can be started, finished, failed or skipped",
        WorkState::Started => "it can be finished or failed",
        WorkState::Finished | WorkState::Failed | WorkState::Skipped => "that is its end",
    }
}

/// What became of a document that is not as somebody read it.
pub(crate) fn changed(current: Option<Revision>) -> String {
    current.map_or("it does not exist".to_owned(), |revision| {
        format!("it has changed since you read it and is at revision {revision} now")
    })
}

fn summary(faults: &[Fault]) -> String {
    match faults {
        [only] => only.to_string(),
        many => format!("{} fields cannot be used", many.len()),
    }
}

/// The fields of a combination, and what is wrong with them, said once.
fn together(faults: &[Fault]) -> String {
    let fields: Vec<&str> = faults.iter().map(|fault| fault.field.as_str()).collect();
    let what = faults.first().map_or("", |fault| fault.what.as_str());
    format!("{}: {what}", fields.join(", "))
}

impl From<Faults> for Refusal {
    fn from(Faults(faults): Faults) -> Self {
        Self::Invalid(faults)
    }
}

impl From<NoAnswer> for Refusal {
    fn from(error: NoAnswer) -> Self {
        match error {
            NoAnswer::NoDemand => Self::NoDemand,
            NoAnswer::BadQuestion { field, what } => Self::field(field, what),
            NoAnswer::Physics(reason) => Self::field("setup", reason.to_string()),
            NoAnswer::Stopped(_) => Self::Stopped,
            other => Self::internal(other),
        }
    }
}
