//! Problem documents (RFC 9457): what a caller reads when something is refused.

mod document;
mod responses;
mod table;
mod wording;

use std::error::Error;
use std::fmt;

use actix_web::http::{StatusCode, header};
use actix_web::{HttpResponse, ResponseError};
use scheduler::check::Fault;

use crate::domain::Refusal;

pub(crate) use document::ProblemDocument;
pub(crate) use responses::{problems, responses};
pub(crate) use table::Kind;

/// The media type of problem documents.
pub(crate) const MEDIA_TYPE: &str = "application/problem+json";

/// Seconds after which to look again whether a search has ended: about what one takes.
const OPEN_AGAIN: u64 = 10;

/// A refusal on its way to the caller. It holds nothing the caller must not read.
#[derive(Debug)]
pub(crate) struct Problem {
    kind: Kind,
    /// What programs read.
    detail: String,
    /// What people read: the same without paths and headers.
    fact: String,
    errors: Vec<Fault>,
    allow: Option<String>,
    retry_after: Option<u64>,
}

impl Problem {
    pub(crate) fn new(kind: Kind, detail: impl Into<String>) -> Self {
        let detail = detail.into();
        Self {
            kind,
            fact: detail.clone(),
            detail,
            errors: Vec::new(),
            allow: None,
            retry_after: None,
        }
    }

    /// Names the fields that are wrong.
    pub(crate) fn with(mut self, errors: Vec<Fault>) -> Self {
        self.errors = errors;
        self
    }

    /// Says which methods a path takes.
    pub(crate) fn allowing(mut self, methods: String) -> Self {
        self.allow = Some(methods);
        self
    }

    /// Says after how many seconds to ask again.
    pub(crate) fn retrying_after(mut self, seconds: u64) -> Self {
        self.retry_after = Some(seconds);
        self
    }

    /// What happened, as people read it.
    pub(crate) fn fact(&self) -> &str {
        &self.fact
    }

    /// What kind it is.
    pub(crate) fn kind(&self) -> Kind {
        self.kind
    }

    /// The document that is sent.
    pub(crate) fn document(&self) -> ProblemDocument {
        ProblemDocument::of(self.kind, &self.detail, &self.errors)
    }
}

impl From<Refusal> for Problem {
    fn from(refusal: Refusal) -> Self {
        let problem = Self {
            fact: refusal.to_string(),
            ..Self::new(Kind::of(&refusal), wording::detail(&refusal))
        };
        match refusal {
            Refusal::Internal(cause) => {
                tracing::error!(cause = %Chain(cause.as_ref()), "a request failed");
                problem
            }
            Refusal::Unavailable(cause) | Refusal::Unsure(cause) => {
                tracing::error!(cause = %Chain(cause.as_ref()), "the database cannot be used");
                Self {
                    retry_after: Some(5),
                    ..problem
                }
            }
            Refusal::Invalid(faults) | Refusal::NotReady(faults) | Refusal::NoAnswer(faults) => {
                problem.with(faults)
            }
            Refusal::TooMany { seconds } => Self {
                retry_after: Some(seconds),
                ..problem
            },
            Refusal::RepeatUnderway => Self {
                retry_after: Some(1),
                ..problem
            },
            Refusal::TooManyOpen { .. } => Self {
                retry_after: Some(OPEN_AGAIN),
                ..problem
            },
            Refusal::Busy => Self {
                retry_after: Some(5),
                ..problem
            },
            _ => problem,
        }
    }
}

impl fmt::Display for Problem {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}: {}", self.kind.code(), self.detail)
    }
}

impl ResponseError for Problem {
    fn status_code(&self) -> StatusCode {
        StatusCode::from_u16(self.kind.status()).unwrap_or(StatusCode::INTERNAL_SERVER_ERROR)
    }

    fn error_response(&self) -> HttpResponse {
        let mut response = HttpResponse::build(self.status_code());
        response.content_type(MEDIA_TYPE);
        if let Some(allow) = &self.allow {
            response.insert_header((header::ALLOW, allow.as_str()));
        }
        if let Some(seconds) = self.retry_after {
            response.insert_header((header::RETRY_AFTER, seconds.to_string()));
        }
        if self.status_code() == StatusCode::UNAUTHORIZED {
            response.insert_header((header::WWW_AUTHENTICATE, "Bearer realm=\"fizzwright\""));
        }
        if self.kind == Kind::RequestTimeout {
            // What is left of the body is not waited for (RFC 9110, 15.5.9).
            response.force_close();
        }
        // The type is set already, and `json` keeps it.
        response.json(self.document())
    }
}

/// An error and what caused it, on one line, for the log.
pub(crate) struct Chain<'a>(pub(crate) &'a dyn Error);

impl fmt::Display for Chain<'_> {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}", self.0)?;
        let mut next = self.0.source();
        while let Some(cause) = next {
            write!(f, ": {cause}")?;
            next = cause.source();
        }
        Ok(())
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::domain::plans::{PlanId, PlanState};

    #[test]
    fn the_cause_of_an_internal_error_stays_in_the_log() {
        let refusal = Refusal::internal("the disk at /secret is full");
        let problem = Problem::from(refusal);
        assert_eq!(problem.status_code(), StatusCode::INTERNAL_SERVER_ERROR);
        assert!(!problem.document().detail.contains("secret"));
    }

    #[test]
    fn faults_become_field_errors() {
        let problem = Problem::from(Refusal::field("days", "57 found; 1 to 56 are allowed"));
        let document = problem.document();
        assert_eq!(document.status, 422);
        assert_eq!(document.errors[0].field, "days");
        assert!(document.detail.contains("1 to 56"));
    }

    #[test]
    fn a_plan_that_is_not_done_is_a_conflict() {
        let id = PlanId::new();
        let refusal = Refusal::PlanUnfinished {
            id,
            state: PlanState::Running,
        };
        assert_eq!(Problem::from(refusal).status_code(), StatusCode::CONFLICT);
    }
}
