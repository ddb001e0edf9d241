//! Requests no handler takes: 404 for an unknown path, 405 with Allow for a known one.

use actix_web::{HttpRequest, HttpResponse, web};

use super::Operations;
use super::route::plain;
use crate::problem::{Kind, Problem};

/// Answers what no handler took.
pub(crate) async fn unmatched(
    request: HttpRequest,
    operations: web::Data<Operations>,
) -> Result<HttpResponse, Problem> {
    Err(none(&request, &operations))
}

/// Characters of a path that are shown at most.
const SHOWN: usize = 200;

/// Why nothing takes a request.
pub(super) fn none(request: &HttpRequest, operations: &Operations) -> Problem {
    let path = request.match_info().as_str();
    if !plain(path) {
        let what = "the path has empty parts, dots, control characters or encoded slashes, or is too \
                    long; /openapi.json lists the paths";
        return Problem::new(Kind::UnknownPath, what);
    }
    let methods = operations.methods(path).join(", ");
    if methods.is_empty() {
        let path: String = path.chars().take(SHOWN).collect();
        let what = format!("there is nothing at {path}; /openapi.json lists the paths");
        return Problem::new(Kind::UnknownPath, what);
    }
    let method = request.method();
    let what = format!("{method} found; {methods} is allowed at {path}");
    Problem::new(Kind::MethodNotAllowed, what).allowing(methods)
}
