//! Requests no handler takes: 404 for an unknown path, 405 with Allow for a known one.

use actix_web::dev::ResourceDef;
use actix_web::{HttpRequest, HttpResponse, web};
use utoipa::openapi::OpenApi;

use crate::problem::{Kind, Problem};

/// The paths there are and the methods each takes, from the contract.
#[derive(Debug)]
pub(crate) struct Paths(Vec<(ResourceDef, Vec<&'static str>)>);

/// Paths that are not part of the contract.
const PAGES: [&str; 4] = ["/", "/openapi.json", "/docs", "/docs/{rest}*"];

impl Paths {
    pub(crate) fn of(contract: &OpenApi) -> Self {
        let listed = contract.paths.paths.iter().map(|(path, item)| {
            let methods = [
                ("GET", &item.get),
                ("HEAD", &item.get),
                ("PUT", &item.put),
                ("POST", &item.post),
                ("DELETE", &item.delete),
                ("PATCH", &item.patch),
            ];
            let taken = methods.into_iter().filter(|(_, operation)| operation.is_some());
            (ResourceDef::new(path.as_str()), taken.map(|(name, _)| name).collect())
        });
        let pages = PAGES.iter().map(|path| (ResourceDef::new(*path), vec!["GET", "HEAD"]));
        Self(listed.chain(pages).collect())
    }

    /// The methods a path takes; none if there is no such path.
    fn methods(&self, path: &str) -> Vec<&'static str> {
        let matching = self.0.iter().filter(|(known, _)| known.is_match(path));
        matching.flat_map(|(_, methods)| methods.iter().copied()).collect()
    }
}

/// Answers what no handler took.
pub(crate) async fn unmatched(
    request: HttpRequest,
    paths: web::Data<Paths>,
) -> Result<HttpResponse, Problem> {
    let methods = paths.methods(request.path()).join(", ");
    if methods.is_empty() {
        return Err(Problem::new(
            Kind::UnknownPath,
            format!("there is nothing at {}; /openapi.json lists the paths", request.path()),
        ));
    }
    Err(Problem::new(
        Kind::MethodNotAllowed,
        format!("{} found; {methods} is allowed at {}", request.method(), request.path()),
    )
    .allowing(methods))
}
