//! What a person reads when a page cannot be shown, and what a form says when it is refused.

use std::fmt;

use actix_web::http::StatusCode;
use actix_web::{HttpResponse, ResponseError};
use askama::Template;

use super::assets;
use crate::domain::Refusal;
use crate::problem::{Kind, Problem};

/// Why a page is not shown.
#[derive(Debug)]
pub(super) struct ErrorPage {
    status: u16,
    notice: Notice,
}

/// Something to say above a page: what happened, and which fields it is about.
#[derive(Debug, Clone, PartialEq, Default)]
pub(super) struct Notice {
    pub(super) title: String,
    pub(super) detail: String,
    pub(super) fields: Vec<(String, String)>,
}

/// How a page is answered: its status, and what is said above it.
#[derive(Debug)]
pub(super) struct Told {
    pub(super) status: u16,
    pub(super) notice: Option<Notice>,
}

impl Told {
    /// All is well.
    pub(super) fn nothing() -> Self {
        Self::only(200)
    }

    /// What is wrong is said beside the fields.
    pub(super) fn only(status: u16) -> Self {
        Self {
            status,
            notice: None,
        }
    }

    /// Why nothing was changed.
    pub(super) fn of(refusal: Refusal) -> Self {
        let (status, notice) = Notice::of(refusal);
        Self {
            status,
            notice: Some(notice),
        }
    }
}

#[derive(Template)]
#[template(path = "board/trouble.html")]
struct Page<'a> {
    css: &'static str,
    notice: &'a Notice,
}

impl Notice {
    /// What a refusal says, to a person at a page.
    pub(super) fn of(refusal: Refusal) -> (u16, Self) {
        let problem = Problem::from(refusal);
        Self::told(&problem)
    }

    fn told(problem: &Problem) -> (u16, Self) {
        let document = problem.document();
        let fields: Vec<(String, String)> = document
            .errors
            .into_iter()
            .map(|error| (error.field, error.message))
            .collect();
        // One field says all there is to say.
        let detail = if fields.is_empty() {
            problem.fact().to_owned()
        } else {
            String::new()
        };
        let notice = Self {
            title: document.title,
            detail,
            fields,
        };
        (document.status, notice)
    }
}

impl ErrorPage {
    fn simple(status: u16, title: &str, detail: &str) -> Self {
        Self {
            status,
            notice: Notice {
                title: title.to_owned(),
                detail: detail.to_owned(),
                fields: Vec::new(),
            },
        }
    }

    pub(super) fn nowhere() -> Self {
        Self::simple(404, "Nothing here", "The board has no such page.")
    }

    pub(super) fn from_elsewhere() -> Self {
        Self::simple(
            403,
            "This form came from another site",
            "Open the board itself, and send it from there. Nothing was changed.",
        )
    }

    pub(super) fn stale_form() -> Self {
        Self::simple(
            403,
            "This form is no longer good",
            "It is of a session that has ended. Open the page again, and send it from there. \
             Nothing was changed.",
        )
    }
}

impl From<Problem> for ErrorPage {
    fn from(problem: Problem) -> Self {
        if problem.kind() == Kind::Internal {
            tracing::error!("a page could not be shown");
        }
        let (status, notice) = Notice::told(&problem);
        Self { status, notice }
    }
}

impl From<Refusal> for ErrorPage {
    fn from(refusal: Refusal) -> Self {
        Problem::from(refusal).into()
    }
}

impl From<askama::Error> for ErrorPage {
    fn from(error: askama::Error) -> Self {
        Refusal::internal(error).into()
    }
}

impl fmt::Display for ErrorPage {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}: {}", self.notice.title, self.notice.detail)
    }
}

impl ResponseError for ErrorPage {
    fn status_code(&self) -> StatusCode {
        StatusCode::from_u16(self.status).unwrap_or(StatusCode::INTERNAL_SERVER_ERROR)
    }

    fn error_response(&self) -> HttpResponse {
        let page = Page {
            css: assets::css(),
            notice: &self.notice,
        };
        HttpResponse::build(self.status_code())
            .content_type("text/html; charset=utf-8")
            .body(page.render().unwrap_or_else(|_| self.notice.title.clone()))
    }
}

/// The page at a path that has none.
pub(super) async fn nothing_here() -> Result<HttpResponse, ErrorPage> {
    Err(ErrorPage::nowhere())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn people_are_not_told_what_concerns_programs() {
        let site = scheduler::scenario::SiteId::parse("harbour").unwrap();
        let (status, notice) = Notice::of(Refusal::UnknownSite(site));
        assert_eq!(status, 404);
        assert_eq!(notice.detail, "there is no site \"harbour\"");
    }

    #[test]
    fn fields_are_named_with_what_was_found() {
        let (status, notice) = Notice::of(Refusal::field("days", "57 found; 1 to 56 is allowed"));
        assert_eq!((status, notice.detail.as_str()), (422, ""));
        assert_eq!(notice.fields[0].1, "57 found; 1 to 56 is allowed");
    }
}
