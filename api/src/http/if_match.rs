//! Changes on condition, for things whose ETag follows from what they say.

use std::future::{Ready, ready};

use actix_web::dev::Payload;
use actix_web::http::header::{self, EntityTag};
use actix_web::{FromRequest, HttpRequest};
use serde::Serialize;

use super::precondition::{bad, text};
use crate::domain::Refusal;
use crate::domain::access::hash;
use crate::problem::Problem;

/// The ETag of something that has no revision.
pub(crate) fn tag_of(thing: &impl Serialize) -> Result<header::ETag, Refusal> {
    let text = serde_json::to_string(thing).map_err(Refusal::internal)?;
    let tag = hash(&[text.as_bytes()])[..32].to_owned();
    Ok(header::ETag(EntityTag::new_strong(tag)))
}

/// What If-Match says about the thing that is to be changed; a change may come without.
#[derive(Debug)]
pub(crate) enum IfMatch {
    /// Nothing.
    Unstated,
    /// There is one, whichever.
    Present,
    /// It is one of these.
    OneOf(Vec<EntityTag>),
}

impl IfMatch {
    /// Admits a change of a thing that is as it is now; none where there is none.
    pub(crate) fn admit(&self, current: Option<&impl Serialize>) -> Result<(), Refusal> {
        let admitted = match (self, current) {
            (Self::Unstated, _) | (Self::Present, Some(_)) => true,
            (Self::Present | Self::OneOf(_), None) => false,
            (Self::OneOf(tags), Some(thing)) => {
                let header::ETag(now) = tag_of(thing)?;
                tags.iter().any(|tag| tag.strong_eq(&now))
            }
        };
        if admitted {
            Ok(())
        } else {
            Err(Refusal::ChangedTag)
        }
    }
}

impl FromRequest for IfMatch {
    type Error = Problem;
    type Future = Ready<Result<Self, Problem>>;

    fn from_request(request: &HttpRequest, _: &mut Payload) -> Self::Future {
        ready(parse(request))
    }
}

fn parse(request: &HttpRequest) -> Result<IfMatch, Problem> {
    let Some(found) = text(request, &header::IF_MATCH)? else {
        return Ok(IfMatch::Unstated);
    };
    if found == "*" {
        return Ok(IfMatch::Present);
    }
    let tags: Result<Vec<EntityTag>, _> = found.split(',').map(|tag| tag.trim().parse()).collect();
    tags.map(IfMatch::OneOf).map_err(|_| {
        let allowed = "an ETag as it was received, such as \"3\", or * is allowed";
        bad(&header::IF_MATCH, found, allowed)
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_change_is_admitted_on_what_was_read_only() {
        let header::ETag(tag) = tag_of(&"as it was").unwrap();
        let check = IfMatch::OneOf(vec![tag]);
        assert!(check.admit(Some(&"as it was")).is_ok());
        assert!(check.admit(Some(&"as it is")).is_err());
        assert!(check.admit(None::<&&str>).is_err());
        assert!(IfMatch::Unstated.admit(None::<&&str>).is_ok());
        assert!(IfMatch::Present.admit(None::<&&str>).is_err());
    }
}
