//! What a request is for: found once, from the path as the router matches it.
//!
//! Whoever judges a request and whoever answers it must read the same path. The router takes percent
//! codes out of a path before it matches it, all but those of `/`, `%` and `+`; so does everything
//! here, and a path that could still be read in another way than it stands there leads nowhere.

use std::sync::Arc;

use actix_web::dev::ServiceRequest;
use actix_web::{HttpMessage, web};

use super::operations::{MatchedOperation, Operations};

/// The longest path that leads anywhere; none there is comes near it.
const LONGEST: usize = 2048;

/// Parts of a path that are shown in the log at most.
const MOST_SHOWN: usize = 8;

/// What a request turned out to be for.
#[derive(Debug, Clone)]
pub(crate) struct Route {
    found: Option<Arc<MatchedOperation>>,
    /// What may be logged of a path that leads nowhere.
    shape: String,
}

impl Route {
    /// Finds out what a request is for, and remembers it.
    pub(super) fn find(request: &ServiceRequest, method: &str) -> Self {
        let path = path_of(request);
        let operations = request.app_data::<web::Data<Operations>>();
        let find = |list: &web::Data<Operations>| list.find(method, path);
        let found = operations.filter(|_| plain(path)).and_then(find);
        let shape = match &found {
            Some(_) => String::new(),
            None => shape(path, |part| operations.is_some_and(|list| list.knows(part))),
        };
        let route = Self {
            found: found.map(Arc::new),
            shape,
        };
        request.extensions_mut().insert(route.clone());
        route
    }

    /// The operation or page, if there is one.
    pub(crate) fn of(request: &ServiceRequest) -> Option<Arc<MatchedOperation>> {
        request.extensions().get::<Self>()?.found.clone()
    }

    /// What may be logged of its path: no part of it that somebody made up.
    pub(super) fn pattern(&self) -> &str {
        let found = self.found.as_ref();
        found.map_or(&self.shape, |found| &found.operation.path)
    }

    /// The name of the operation, for counters and traces.
    pub(super) fn operation(&self) -> &str {
        let found = self.found.as_ref();
        found.map_or("none", |found| &found.operation.id)
    }
}

/// The path of a request as the router matches it, without percent codes.
pub(crate) fn path_of(request: &ServiceRequest) -> &str {
    request.match_info().as_str()
}

/// Whether a path can be read in one way only.
pub(super) fn plain(path: &str) -> bool {
    let odd = |c: char| c.is_control() || matches!(c, '%' | '\\' | char::REPLACEMENT_CHARACTER);
    let dots = |part: &str| matches!(part, "." | "..");
    path.starts_with('/')
        && path.len() <= LONGEST
        && !path.contains("//")
        && !path.contains(odd)
        && !path.split('/').any(dots)
}

/// The shape of a path that leads nowhere: the words that are known, and a star for all others. It
/// may be an address somebody mistyped, and that may be a secret.
fn shape(path: &str, mut known: impl FnMut(&str) -> bool) -> String {
    let parts = path.split('/').take(MOST_SHOWN);
    let shown = parts.map(|part| if known(part) { part } else { "*" });
    shown.collect::<Vec<_>>().join("/")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_path_that_may_be_read_in_two_ways_is_not_plain() {
        for path in [
            "/",
            "/v1/sites/harbour-bar/demand",
            "/docs/",
            "/v1/problems/ü",
        ] {
            assert!(plain(path), "{path}");
        }
        let long = format!("/{}", "a".repeat(LONGEST));
        for path in [
            "",
            "v1",
            "*",
            "//",
            "/v1//sites",
            "/v1/./sites",
            "/v1/..",
            "/v1/a%2Fb",
            "/v1/a%",
            "/v1\\sites",
            "/v1/a\0",
            "/v1/a\n",
            "/v1/\u{fffd}",
            &long,
        ] {
            assert!(!plain(path), "{path}");
        }
    }

    #[test]
    fn nothing_made_up_is_in_the_shape_of_a_path() {
        let known = |part: &str| ["", "v1", "calendars"].contains(&part);
        assert_eq!(shape("/v1/calendars/5f2b0c7d", known), "/v1/calendars/*");
        assert_eq!(shape("5f2b0c7d", known), "*");
        let long = format!("/{}", "a/".repeat(100));
        assert_eq!(shape(&long, known), "/*/*/*/*/*/*/*");
    }
}
