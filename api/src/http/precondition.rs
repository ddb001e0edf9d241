//! ETags, and changes on condition.

use std::future::{Ready, ready};

use actix_web::dev::Payload;
use actix_web::http::header::{self, EntityTag, HeaderName};
use actix_web::{FromRequest, HttpRequest};
use scheduler::check::Fault;

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

/// Both headers are read even where the first one settles it: a condition that cannot be read is not
/// passed over. Nothing is there and not there, so both together match no revision.
fn parse(request: &HttpRequest) -> Result<Expected, Problem> {
    let present = text(request, &header::IF_MATCH)?
        .map(if_match)
        .transpose()?;
    let absent = text(request, &header::IF_NONE_MATCH)?.map(if_none_match);
    Ok(match (present, absent.transpose()?) {
        (None, None) => Expected::Unstated,
        (None, Some(())) => Expected::Absent,
        (Some(expected), None) => expected,
        (Some(_), Some(())) => Expected::OneOf(Vec::new()),
    })
}

fn if_none_match(text: &str) -> Result<(), Problem> {
    if text == "*" {
        return Ok(());
    }
    let allowed = "* is allowed on a change";
    Err(bad(&header::IF_NONE_MATCH, text, allowed))
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

    fn check<const N: usize>(headers: [(&'static str, &str); N], expected: Option<Expected>) {
        let request = headers
            .iter()
            .fold(TestRequest::default(), |request, header| {
                request.insert_header(*header)
            });
        let said = parse(&request.to_http_request()).ok();
        assert_eq!(said, expected, "{headers:?}");
    }

    #[test]
    fn conditions_are_read_as_they_are_sent() {
        let one = || Expected::OneOf(vec![Revision::FIRST]);
        check([], Some(Expected::Unstated));
        check([("if-match", "\"1\"")], Some(one()));
        check([("if-match", "\"1\", \"abc\"")], Some(one()));
        let none = || Expected::OneOf(Vec::new());
        check([("if-match", "W/\"1\"")], Some(none()));
        check([("if-match", "*")], Some(Expected::Present));
        check([("if-match", "1")], None);
        check([("if-none-match", "*")], Some(Expected::Absent));
        check([("if-none-match", "\"1\"")], None);
        // Both at once.
        check([("if-match", "*"), ("if-none-match", "*")], Some(none()));
        check([("if-match", "*"), ("if-none-match", "{}")], None);
        check([("if-match", "{}"), ("if-none-match", "*")], None);
    }
}
