//! The one table from refusals to codes, statuses and titles.

use crate::domain::Refusal;

macro_rules! kinds {
    ($($kind:ident: $code:literal, $status:literal, $title:literal, $advice:literal;)*) => {
        /// A kind of problem.
        #[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
        pub(crate) enum Kind {
            $(#[doc = $title] $kind,)*
        }

        impl Kind {
            /// Every kind there is.
            pub(crate) const ALL: &[Self] = &[$(Self::$kind,)*];

            /// The stable code programs look at.
            pub(crate) fn code(self) -> &'static str {
                match self { $(Self::$kind => $code,)* }
            }

            /// The HTTP status.
            pub(crate) fn status(self) -> u16 {
                match self { $(Self::$kind => $status,)* }
            }

            /// What kind of problem it is, in a few words.
            pub(crate) fn title(self) -> &'static str {
                match self { $(Self::$kind => $title,)* }
            }

            /// What to do about it.
            pub(crate) fn advice(self) -> &'static str {
                match self { $(Self::$kind => $advice,)* }
            }
        }
    };
}

kinds! {
    BadJson: "bad_json", 400, "The body is not JSON",
        "Send one complete JSON document in UTF-8; the detail names line and column.";
    BadQuery: "bad_query", 400, "The query is not understood",
        "Correct the parameter that `errors` names; a plus sign in a query is written %2B.";
    BadPath: "bad_path", 400, "The path is not understood",
        "Correct the part of the path that `errors` names.";
    BadHeader: "bad_header", 400, "A header is not understood",
        "Send If-Match and If-None-Match with an ETag as it was received, or with *.";
    Unauthenticated: "unauthenticated", 401, "Who asks is not known",
        "Send an API key as Authorization: Bearer KEY, or sign in at POST /v1/session.";
    BadSignIn: "bad_sign_in", 401, "Name or password is wrong",
        "Try again, or ask somebody with the scope admin for a new password.";
    Forbidden: "forbidden", 403, "The key or person may not do this",
        "Use a key with the scope the detail names, or ask somebody with the scope admin.";
    CsrfRequired: "csrf_required", 403, "The X-CSRF-Token is missing",
        "Send the csrf_token of the session as X-CSRF-Token with every change.";
    UnknownPath: "unknown_path", 404, "There is nothing at this path",
        "Look at /openapi.json for the paths there are.";
    UnknownSite: "unknown_site", 404, "There is no such site",
        "GET /v1/sites lists the sites there are.";
    UnknownPlan: "unknown_plan", 404, "There is no such plan",
        "GET /v1/sites/{site}/plans lists a site's plans.";
    UnknownWork: "unknown_work", 404, "There is no such work item",
        "GET /v1/plans/{plan}/work lists a plan's work.";
    UnknownQuestion: "unknown_question", 404, "There is no such question",
        "Use the Location that was sent when the question was asked.";
    UnknownWebhook: "unknown_webhook", 404, "There is no such webhook",
        "GET /v1/webhooks lists the webhooks there are.";
    UnknownDelivery: "unknown_delivery", 404, "There is no such delivery",
        "GET /v1/webhooks/{webhook}/deliveries lists the deliveries there are.";
    UnknownCalendar: "unknown_calendar", 404, "There is no such calendar",
        "POST /v1/sites/{site}/calendars makes a feed with a new address.";
    NothingPublished: "nothing_published", 404, "No plan is published",
        "POST /v1/plans/{plan}/publish publishes one.";
    UnknownDemand: "unknown_demand", 404, "There is no such line of demand",
        "GET /v1/sites/{site}/demand lists a site's lines.";
    UnknownCount: "unknown_count", 404, "There is no such count",
        "GET /v1/sites/{site}/stock/entries lists counts and movements with their seq.";
    UnknownKeg: "unknown_keg", 404, "No keg is known by this GRAI",
        "GET /v1/sites/{site}/stock/kegs lists the kegs that are known one by one.";
    UnknownKey: "unknown_key", 404, "There is no such key",
        "GET /v1/keys lists the keys there are.";
    UnknownPerson: "unknown_person", 404, "There is no such person",
        "GET /v1/people lists the people there are.";
    UnknownRevision: "unknown_revision", 404, "There is no such revision",
        "GET /v1/sites/{site}/setup/revisions lists the revisions there are.";
    UnknownProblem: "unknown_problem", 404, "There is no such problem code",
        "GET /v1/problems lists the codes there are.";
    NoSetup: "no_setup", 404, "The site has no setup yet",
        "PUT /v1/sites/{site}/setup stores one.";
    NoStock: "no_stock", 404, "Nothing was counted yet",
        "POST /v1/sites/{site}/stock/counts records a count.";
    MethodNotAllowed: "method_not_allowed", 405, "This path does not take this method",
        "Use one of the methods the Allow header lists.";
    RequestTimeout: "request_timeout", 408, "The body did not arrive in time",
        "Send it again, at once and whole.";
    SiteExists: "site_exists", 409, "The site exists already",
        "Choose another id, or PUT the site to replace it.";
    PersonExists: "person_exists", 409, "Somebody has that name already",
        "Choose another name.";
    RepeatUnderway: "repeat_underway", 409, "The first of two equal requests is being answered",
        "Send it again after a second; the answer will be that of the first.";
    AnswerLost: "answer_lost", 409, "It was done, but the answer is lost",
        "Look at what the request was to change; it was carried out.";
    SecretShown: "secret_shown", 409, "It was done, and its secret is shown once",
        "If the secret did not arrive, take away what was made, and make another.";
    NotReady: "not_ready", 409, "The site is not ready to be planned",
        "Store what `errors` lists, then ask again.";
    ReferenceReused: "reference_reused", 409, "The reference was used for something else",
        "Repeat an entry exactly, or give a new one a reference of its own.";
    BelowZero: "below_zero", 409, "There would be less than nothing",
        "Check the amount, or record a count of what is really there.";
    PlanUnfinished: "plan_unfinished", 409, "There is no plan yet",
        "GET /v1/plans/{plan} until its state is done.";
    PlanFinished: "plan_finished", 409, "The plan is finished",
        "Nothing: a finished plan cannot be cancelled.";
    QuestionFinished: "question_finished", 409, "The question is finished",
        "Nothing: a finished question cannot be cancelled.";
    NotPublished: "not_published", 409, "The plan is not published",
        "Use the plan that GET /v1/sites/{site}/published names.";
    OtherPublished: "other_published", 409, "Another plan is published",
        "Look at the plan that is published now, and decide whether to publish this one.";
    Outdated: "outdated", 409, "More has happened since",
        "Ask again, so that what has happened since is taken into account.";
    WrongWorkState: "wrong_work_state", 409, "The work is not in a state that allows this",
        "Read the work item; what is finished, failed or skipped stays so.";
    Unanswered: "unanswered", 409, "There is no answer yet",
        "Poll the question until its state is done.";
    CannotBeTaken: "cannot_be_taken", 409, "It cannot be taken",
        "Ask for less, or for a later service; the answer says how much and when.";
    WrongStanding: "wrong_standing", 409, "The commitment does not stand so that this is allowed",
        "Hold it first; what is accepted or let go stays so.";
    EventsGone: "events_gone", 410, "Events after this one are gone",
        "Read anew what you keep of them, then go on with the number the detail names.";
    ChangedSince: "changed_since", 412, "It has changed since it was read",
        "Read it again, decide whether the change still holds, and send it with the new ETag.";
    BodyTooLarge: "body_too_large", 413, "The body is too large",
        "Send less at once; the detail states the limit.";
    UnsupportedMediaType: "unsupported_media_type", 415, "The body is not marked as JSON",
        "Send Content-Type: application/json.";
    UnsupportedEncoding: "unsupported_encoding", 415, "The body is packed",
        "Send the body as it is, without Content-Encoding.";
    Invalid: "invalid", 422, "Fields cannot be used",
        "Correct the fields that `errors` names; each says what was found and what is allowed.";
    NoAnswer: "no_answer", 422, "These inputs have no answer together",
        "Each is in range by itself; change one of the fields that `errors` names.";
    NoDemand: "no_demand", 422, "There is nothing to plan",
        "Put lines of demand inside the horizon, or choose other days.";
    RepeatDiffers: "repeat_differs", 422, "The Idempotency-Key was used for something else",
        "Repeat a request exactly, or give a new one a key of its own.";
    PreconditionRequired: "precondition_required", 428, "If-Match is required",
        "Send If-Match with the ETag that was read, so that no other change is lost.";
    TooMany: "too_many_requests", 429, "Too many requests",
        "Send the next one after the seconds Retry-After states.";
    TooManyOpen: "too_many_open", 429, "Too many searches are open",
        "Wait for some to end, or cancel them; Retry-After states when to look again.";
    SetAside: "set_aside", 500, "The search was set aside",
        "Ask again, for fewer days or a coarser grid if the detail says so.";
    Internal: "internal", 500, "Something went wrong inside the service",
        "Ask again; if it stays, give the X-Request-Id to whoever runs the service.";
    Busy: "busy", 503, "Too many questions are waiting",
        "Ask again after the seconds Retry-After states.";
    StorageUnavailable: "storage_unavailable", 503, "The database cannot take it now",
        "Nothing was changed; send it again after the seconds Retry-After states.";
    OutcomeUnknown: "outcome_unknown", 503, "The database did not say whether it was done",
        "Look whether it was done, or send it again with the same Idempotency-Key.";
    Stopped: "stopped", 503, "The search was stopped before it had an answer",
        "Ask again, with a larger time limit if there was one.";
    Unavailable: "unavailable", 503, "The service cannot work at the moment",
        "Wait for /readyz to answer 200.";
}

impl Kind {
    /// What a refusal is to callers.
    pub(crate) fn of(refusal: &Refusal) -> Self {
        match refusal {
            Refusal::UnknownSite(_) => Self::UnknownSite,
            Refusal::UnknownPlan(_) => Self::UnknownPlan,
            Refusal::UnknownDemand(_) => Self::UnknownDemand,
            Refusal::UnknownWork { .. } => Self::UnknownWork,
            Refusal::UnknownQuestion(_) => Self::UnknownQuestion,
            Refusal::UnknownWebhook(_) => Self::UnknownWebhook,
            Refusal::UnknownDelivery(_) => Self::UnknownDelivery,
            Refusal::UnknownCalendar => Self::UnknownCalendar,
            Refusal::Unanswered { .. } => Self::Unanswered,
            Refusal::CannotBeTaken { .. } => Self::CannotBeTaken,
            Refusal::BasisChanged(_) => Self::Outdated,
            Refusal::WrongStanding { .. } => Self::WrongStanding,
            Refusal::NothingPublished(_) => Self::NothingPublished,
            Refusal::NotPublished(_) => Self::NotPublished,
            Refusal::OtherPublished { .. } => Self::OtherPublished,
            Refusal::Outdated { .. } => Self::Outdated,
            Refusal::WrongWorkState { .. } => Self::WrongWorkState,
            Refusal::UnknownCount(_) => Self::UnknownCount,
            Refusal::UnknownKeg(_) => Self::UnknownKeg,
            Refusal::UnknownKey(_) => Self::UnknownKey,
            Refusal::UnknownPerson(_) => Self::UnknownPerson,
            Refusal::PersonExists(_) => Self::PersonExists,
            Refusal::Forbidden { .. } => Self::Forbidden,
            Refusal::BadSignIn => Self::BadSignIn,
            Refusal::TooMany { .. } => Self::TooMany,
            Refusal::RepeatUnderway => Self::RepeatUnderway,
            Refusal::RepeatDiffers => Self::RepeatDiffers,
            Refusal::AnswerLost => Self::AnswerLost,
            Refusal::SecretShown => Self::SecretShown,
            Refusal::UnknownRevision(_) => Self::UnknownRevision,
            Refusal::NoSetup(_) => Self::NoSetup,
            Refusal::NoStock(_) => Self::NoStock,
            Refusal::SiteExists(_) => Self::SiteExists,
            Refusal::ChangedSince { .. } | Refusal::ChangedTag => Self::ChangedSince,
            Refusal::Unconditional { .. } => Self::PreconditionRequired,
            Refusal::ReferenceReused(_) => Self::ReferenceReused,
            Refusal::BelowZero { .. } => Self::BelowZero,
            Refusal::Invalid(_) => Self::Invalid,
            Refusal::NoAnswer(_) => Self::NoAnswer,
            Refusal::NotReady(_) => Self::NotReady,
            Refusal::NoDemand => Self::NoDemand,
            Refusal::PlanUnfinished { .. } => Self::PlanUnfinished,
            Refusal::PlanFinished { .. } => Self::PlanFinished,
            Refusal::QuestionFinished { .. } => Self::QuestionFinished,
            Refusal::TooManyOpen { .. } => Self::TooManyOpen,
            Refusal::Busy => Self::Busy,
            Refusal::EventsGone { .. } => Self::EventsGone,
            Refusal::Unavailable(_) => Self::StorageUnavailable,
            Refusal::Unsure(_) => Self::OutcomeUnknown,
            Refusal::Stopped => Self::Stopped,
            Refusal::Internal(_) => Self::Internal,
        }
    }

    /// The kind with a code.
    pub(crate) fn find(code: &str) -> Option<Self> {
        Self::ALL.iter().copied().find(|kind| kind.code() == code)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn codes_are_unique_and_statuses_are_errors() {
        for (n, kind) in Kind::ALL.iter().enumerate() {
            assert_eq!(Kind::find(kind.code()), Some(Kind::ALL[n]), "{kind:?}");
            assert!((400..600).contains(&kind.status()), "{kind:?}");
        }
    }
}
