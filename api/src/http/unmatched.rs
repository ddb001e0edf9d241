//! Requests no handler takes: 404 for an unknown path, 405 with Allow for a known one.

use actix_web::{HttpRequest, HttpResponse, web};

use super::Operations;
use crate::problem::{Kind, Problem};

/// Answers what no handler took.
pub(crate) async fn unmatched(
    request: HttpRequest,
    operations: web::Data<Operations>,
) -> Result<HttpResponse, Problem> {
    Err(none(&request, &operations))
}

/// Why nothing takes a request.
pub(super) fn none(request: &HttpRequest, operations: &Operations) -> Problem {
    let path = request.path();
    let methods = operations.methods(path).join(", ");
    if methods.is_empty() {
        let what = format!("there is nothing at {path}; /openapi.json lists the paths");
        return Problem::new(Kind::UnknownPath, what);
    }
    let method = request.method();
    let what = format!("{method} found; {methods} is allowed at {path}");
    Problem::new(Kind::MethodNotAllowed, what).allowing(methods)
}
