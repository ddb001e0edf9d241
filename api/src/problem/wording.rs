//! What programs read of a refusal: the facts, and which paths and headers help.

use crate::domain::Refusal;
use crate::domain::refusal::changed;

/// What to do where something is not as it was read.
const READ_AGAIN: &str =
    "read it again, decide whether the change still holds, and send it with the new ETag";

/// The detail of a problem document.
pub(super) fn detail(refusal: &Refusal) -> String {
    match refusal {
        Refusal::ChangedSince { current } => format!("{}; {READ_AGAIN}", changed(*current)),
        Refusal::ChangedTag => format!("it is not as you read it; {READ_AGAIN}"),
        _ => match (of_repeat(refusal), advice(refusal)) {
            (Some(text), _) => text.to_owned(),
            (None, Some(advice)) => format!("{refusal}{advice}"),
            (None, None) => refusal.to_string(),
        },
    }
}

/// What is said of a repeat, by the header that marks it.
fn of_repeat(refusal: &Refusal) -> Option<&'static str> {
    Some(match refusal {
        Refusal::RepeatUnderway => {
            "a request with this Idempotency-Key is being answered at this moment; ask again in a \
             second"
        }
        Refusal::RepeatDiffers => {
            "this Idempotency-Key was used for another request within the last 24 hours; a repeat \
             must be the same to the byte, and something new needs a key of its own"
        }
        Refusal::AnswerLost => {
            "the request with this Idempotency-Key was carried out, but the service was stopped \
             before its answer was kept; look at what it was to change"
        }
        Refusal::SecretShown => {
            "the request with this Idempotency-Key was carried out; its answer held a secret, which \
             was shown once and is not kept"
        }
        _ => return None,
    })
}

/// What is added to the facts: where to look, or what to send.
fn advice(refusal: &Refusal) -> Option<String> {
    let fixed = |text: &str| text.to_owned();
    Some(match refusal {
        Refusal::UnknownSite(_) => fixed("; GET /v1/sites lists those there are"),
        Refusal::UnknownPlan(_) => fixed("; GET /v1/sites/SITE/plans lists a site's plans"),
        Refusal::UnknownWork { plan, .. } => format!("; GET /v1/plans/{plan}/work lists them"),
        Refusal::Unanswered { .. } => fixed("; GET it until it is"),
        Refusal::UnknownWebhook(_) => fixed("; GET /v1/webhooks lists those there are"),
        Refusal::NothingPublished(_) => fixed("; POST /v1/plans/PLAN/publish publishes one"),
        Refusal::NotPublished(_) => fixed("; GET /v1/sites/SITE/published names that one"),
        Refusal::UnknownKey(_) => fixed("; GET /v1/keys lists those there are"),
        Refusal::UnknownPerson(_) => fixed("; GET /v1/people lists those there are"),
        Refusal::NoSetup(site) => format!("; PUT /v1/sites/{site}/setup stores one"),
        Refusal::NoStock(site) => format!("; POST /v1/sites/{site}/stock/counts records a count"),
        Refusal::SiteExists(site) => format!("; PUT /v1/sites/{site} replaces it"),
        Refusal::Unconditional { .. } => fixed(
            "; send If-Match with the ETag you read, so that no change made since then is lost",
        ),
        Refusal::NotReady(_) => fixed("; store what `errors` lists first"),
        Refusal::Invalid(faults) if faults.len() != 1 => fixed("; `errors` lists them"),
        Refusal::PlanUnfinished { id, .. } => format!("; GET /v1/plans/{id} tells when it is"),
        Refusal::Unsure(_) => fixed(", or send it again with the same Idempotency-Key"),
        Refusal::EventsGone { resume, .. } => format!(", then go on with after={resume}"),
        _ => return None,
    })
}

#[cfg(test)]
mod tests {
    use scheduler::scenario::{Fault, SiteId};

    use super::*;
    use crate::domain::Revision;
    use crate::domain::plans::{PlanId, PlanState};

    #[test]
    fn programs_are_told_where_to_look_and_people_only_the_facts() {
        let site = || SiteId::parse("harbour").unwrap();
        let fault = || Fault {
            field: "days".to_owned(),
            what: "0 found; 1 to 56 is allowed".to_owned(),
        };
        let id = PlanId::new();
        let unfinished = Refusal::PlanUnfinished {
            id,
            state: PlanState::Running,
        };
        for (refusal, fact, all) in [
            (
                Refusal::UnknownSite(site()),
                "there is no site \"harbour\"".to_owned(),
                "there is no site \"harbour\"; GET /v1/sites lists those there are".to_owned(),
            ),
            (
                Refusal::NoStock(site()),
                "nothing was counted at \"harbour\" yet".to_owned(),
                "nothing was counted at \"harbour\" yet; POST /v1/sites/harbour/stock/counts \
                 records a count"
                    .to_owned(),
            ),
            (
                Refusal::NotReady(Vec::new()),
                "the site is not ready to be planned".to_owned(),
                "the site is not ready to be planned; store what `errors` lists first".to_owned(),
            ),
            (
                Refusal::Invalid(vec![fault(), fault()]),
                "2 fields cannot be used".to_owned(),
                "2 fields cannot be used; `errors` lists them".to_owned(),
            ),
            (
                unfinished,
                format!("the plan {id} is running, not done"),
                format!("the plan {id} is running, not done; GET /v1/plans/{id} tells when it is"),
            ),
            (
                Refusal::Busy,
                "too many questions are waiting already; ask again in a few seconds".to_owned(),
                "too many questions are waiting already; ask again in a few seconds".to_owned(),
            ),
        ] {
            assert_eq!(refusal.to_string(), fact);
            assert_eq!(detail(&refusal), all);
        }
    }

    #[test]
    fn headers_are_named_to_programs_alone() {
        let current = Some(Revision::FIRST.next());
        for (refusal, all) in [
            (
                Refusal::ChangedSince { current },
                "it has changed since you read it and is at revision 2 now; read it again, decide \
                 whether the change still holds, and send it with the new ETag",
            ),
            (
                Refusal::ChangedSince { current: None },
                "it does not exist; read it again, decide whether the change still holds, and send \
                 it with the new ETag",
            ),
            (
                Refusal::ChangedTag,
                "it is not as you read it; read it again, decide whether the change still holds, \
                 and send it with the new ETag",
            ),
            (
                Refusal::Unconditional {
                    current: Revision::FIRST,
                },
                "it exists, at revision 1; send If-Match with the ETag you read, so that no change \
                 made since then is lost",
            ),
            (
                Refusal::Unsure("late".into()),
                "the database did not say in time whether the change was made; look whether it \
                 was, or send it again with the same Idempotency-Key",
            ),
            (
                Refusal::RepeatUnderway,
                "a request with this Idempotency-Key is being answered at this moment; ask again in \
                 a second",
            ),
            (
                Refusal::EventsGone {
                    after: 3,
                    resume: 9,
                    why: "no longer kept",
                },
                "the events after 3 are no longer kept; read anew what you keep of them, then go on \
                 with after=9",
            ),
        ] {
            assert_eq!(detail(&refusal), all);
            let fact = refusal.to_string();
            for header in ["ETag", "If-Match", "Idempotency-Key", "after="] {
                assert!(!fact.contains(header), "{fact}");
            }
        }
    }
}
