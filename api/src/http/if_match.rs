//! Changes on condition, for things whose ETag follows from what they say.

use std::future::{Ready, ready};

use actix_web::dev::Payload;
use actix_web::http::header::{self, EntityTag};
use actix_web::{FromRequest, HttpRequest};
use serde::Serialize;

use super::precondition::{bad, text};
use crate::domain::Refusal;
use crate::domain::tags::{self, ExpectedTag};
use crate::problem::Problem;

/// The ETag of something that has no revision.
pub(crate) fn tag_of(thing: &impl Serialize) -> Result<header::ETag, Refusal> {
    tags::tag_of(thing).map(strong_tag)
}

/// The ETag that carries a tag.
pub(crate) fn strong_tag(tag: String) -> header::ETag {
    header::ETag(EntityTag::new_strong(tag))
}

/// What If-Match says about the thing that is to be changed; a change may come without.
#[derive(Debug)]
pub(crate) struct IfMatch(pub(crate) ExpectedTag);

impl FromRequest for IfMatch {
    type Error = Problem;
    type Future = Ready<Result<Self, Problem>>;

    fn from_request(request: &HttpRequest, _: &mut Payload) -> Self::Future {
        ready(parse(request).map(Self))
    }
}

fn parse(request: &HttpRequest) -> Result<ExpectedTag, Problem> {
    let Some(found) = text(request, &header::IF_MATCH)? else {
        return Ok(ExpectedTag::Unstated);
    };
    if found == "*" {
        return Ok(ExpectedTag::Present);
    }
    let tags: Result<Vec<EntityTag>, _> = found.split(',').map(|tag| tag.trim().parse()).collect();
    let tags = tags.map_err(|_| {
        let allowed = "an ETag as it was received, such as \"3\", or * is allowed";
        bad(&header::IF_MATCH, found, allowed)
    })?;
    // If-Match compares strongly: a weak tag matches nothing (RFC 9110, 13.1.1).
    let strong = tags.iter().filter(|tag| !tag.weak);
    Ok(ExpectedTag::OneOf(
        strong.map(|tag| tag.tag().to_owned()).collect(),
    ))
}

#[cfg(test)]
mod tests {
    use actix_web::test::TestRequest;

    use super::*;

    #[test]
    fn conditions_are_read_as_they_are_sent() {
        let said = |text: &str| {
            let request = TestRequest::default().insert_header(("if-match", text));
            parse(&request.to_http_request()).ok()
        };
        let one_of = |tags: &[&str]| {
            let tags = tags.iter().map(|&tag| tag.to_owned());
            Some(ExpectedTag::OneOf(tags.collect()))
        };
        assert_eq!(said("*"), Some(ExpectedTag::Present));
        assert_eq!(said("\"a\", \"b\""), one_of(&["a", "b"]));
        assert_eq!(said("W/\"a\", \"b\""), one_of(&["b"]));
        assert_eq!(said("a"), None);
        let none = TestRequest::default().to_http_request();
        assert_eq!(parse(&none).ok(), Some(ExpectedTag::Unstated));
    }
}
