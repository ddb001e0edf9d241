//! The kinds of problem there are.

use actix_web::{HttpResponse, get};
use serde::{Deserialize, Serialize};
use utoipa::{IntoParams, ToSchema};
use utoipa_actix_web::service_config::ServiceConfig;

use crate::http::TypedPath;
use crate::problem::{Kind, Problem, problems};

problems! {
    ReadProblems: UnknownProblem;
}

/// A kind of problem.
#[derive(Debug, Serialize, ToSchema)]
pub(crate) struct ProblemKind {
    /// The stable code programs look at.
    #[schema(example = "changed_since")]
    code: &'static str,
    /// The HTTP status it comes with.
    #[schema(minimum = 400, maximum = 599, example = 412)]
    status: u16,
    /// What kind of problem it is, in a few words.
    #[schema(example = "It has changed since it was read")]
    title: &'static str,
    /// What to do about it.
    #[schema(example = "Read it again, and send the change with the new ETag.")]
    advice: &'static str,
}

/// The kinds of problem there are.
#[derive(Debug, Serialize, ToSchema)]
pub(crate) struct ProblemKindList {
    /// All kinds, by status.
    problems: Vec<ProblemKind>,
}

/// A path that names a kind of problem.
#[derive(Debug, Deserialize, IntoParams)]
#[into_params(parameter_in = Path)]
pub(crate) struct ProblemPath {
    /// The code.
    #[param(example = "changed_since")]
    code: String,
}

impl From<Kind> for ProblemKind {
    fn from(kind: Kind) -> Self {
        Self {
            code: kind.code(),
            status: kind.status(),
            title: kind.title(),
            advice: kind.advice(),
        }
    }
}

pub(super) fn configure(app: &mut ServiceConfig<'_>) {
    app.service(list_problems).service(read_problem);
}

/// List the kinds of problem there are.
#[utoipa::path(
    tag = "service",
    security(()),
    responses((status = 200, description = "All kinds, by status.", body = ProblemKindList))
)]
#[get("/v1/problems")]
pub(crate) async fn list_problems() -> HttpResponse {
    let problems = Kind::ALL.iter().copied().map(ProblemKind::from).collect();
    HttpResponse::Ok().json(ProblemKindList { problems })
}

/// Read what a kind of problem means and what to do about it.
#[utoipa::path(
    tag = "service",
    security(()),
    params(ProblemPath),
    responses((status = 200, description = "The kind.", body = ProblemKind), ReadProblems)
)]
#[get("/v1/problems/{code}")]
pub(crate) async fn read_problem(
    TypedPath(ProblemPath { code }): TypedPath<ProblemPath>,
) -> Result<HttpResponse, Problem> {
    let kind = Kind::find(&code).ok_or_else(|| {
        let what = format!("there is no problem code \"{code}\"; GET /v1/problems lists them");
        Problem::new(Kind::UnknownProblem, what)
    })?;
    Ok(HttpResponse::Ok().json(ProblemKind::from(kind)))
}
