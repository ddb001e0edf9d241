//! ETags, and changes on condition.

use std::future::{Ready, ready};

use actix_web::dev::Payload;
use actix_web::http::header::{self, EntityTag, HeaderName};
use actix_web::{FromRequest, HttpRequest};
use scheduler::scenario::Fault;

use crate::domain::{Expected, Revision};
use crate::problem::{Kind, Problem};

/// The ETag of a revision.
pub(crate) fn etag(revision: Revision) -> header::ETag {
    header::ETag(EntityTag::new_strong(revision.to_string()))
}

/// What If-Match or If-None-Match say about the document that is to be changed.
#[derive(Debug)]
pub(crate) struct Precondition(pub(crate) Expected);

impl FromRequest for Precondition {
    type Error = Problem;
    type Future = Ready<Result<Self, Problem>>;

    fn from_request(request: &HttpRequest, _: &mut Payload) -> Self::Future {
        ready(parse(request).map(Self))
    }
}

fn parse(request: &HttpRequest) -> Result<Expected, Problem> {
    if let Some(text) = text(request, &header::IF_MATCH)? {
        return if_match(text);
    }
    match text(request, &header::IF_NONE_MATCH)? {
        None => Ok(Expected::Unstated),
        Some("*") => Ok(Expected::Absent),
        Some(other) => Err(bad(
            &header::IF_NONE_MATCH,
            other,
            "* is allowed on a change",
        )),
    }
}

pub(super) fn text<'r>(
    request: &'r HttpRequest,
    name: &HeaderName,
) -> Result<Option<&'r str>, Problem> {
    let Some(value) = request.headers().get(name) else {
        return Ok(None);
    };
    let text = value
        .to_str()
        .map_err(|_| bad(name, "?", "plain text is allowed"))?;
    Ok(Some(text.trim()))
}

fn if_match(text: &str) -> Result<Expected, Problem> {
    if text == "*" {
        return Ok(Expected::Present);
    }
    let tags: Result<Vec<EntityTag>, _> = text.split(',').map(|tag| tag.trim().parse()).collect();
    let tags = tags.map_err(|_| {
        bad(
            &header::IF_MATCH,
            text,
            "an ETag as it was received, such as \"3\", or * is allowed",
        )
    })?;
    // A tag this service never gave out, or a weak one, matches no revision.
    let known = |tag: &EntityTag| {
        let number: i64 = tag.tag().parse().ok().filter(|_| !tag.weak)?;
        Revision::try_from(number).ok()
    };
    Ok(Expected::OneOf(tags.iter().filter_map(known).collect()))
}

pub(super) fn bad(name: &HeaderName, found: &str, allowed: &str) -> Problem {
    let fault = Fault {
        field: name.to_string(),
        what: format!("{found} found; {allowed}"),
    };
    Problem::new(Kind::BadHeader, fault.to_string()).with(vec![fault])
}

#[cfg(test)]
mod tests {
    use actix_web::test::TestRequest;

    use super::*;

    fn check(name: &'static str, value: &str, expected: Option<Expected>) {
        let request = TestRequest::default()
            .insert_header((name, value))
            .to_http_request();
        assert_eq!(parse(&request).ok(), expected, "{name}: {value}");
    }

    #[test]
    fn conditions_are_read_as_they_are_sent() {
        let one = || Expected::OneOf(vec![Revision::FIRST]);
        check("if-match", "\"1\"", Some(one()));
        check("if-match", "\"1\", \"abc\"", Some(one()));
        check("if-match", "W/\"1\"", Some(Expected::OneOf(Vec::new())));
        check("if-match", "*", Some(Expected::Present));
        check("if-match", "1", None);
        check("if-none-match", "*", Some(Expected::Absent));
        check("if-none-match", "\"1\"", None);
    }
}
