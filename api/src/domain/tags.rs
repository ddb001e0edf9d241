//! Tags of things that have no revision: a tag follows from what the thing says.

use serde::Serialize;

use super::Refusal;
use super::access::hash;

/// The tag of a thing as it is now, in hexadecimal digits: the same for as long as it says the same.
pub(crate) fn tag_of(thing: &impl Serialize) -> Result<String, Refusal> {
    let text = serde_json::to_string(thing).map_err(Refusal::internal)?;
    Ok(hash(&[text.as_bytes()])[..32].to_owned())
}

/// What somebody who changes a thing expects it to be; a change may come without.
#[derive(Debug, Clone, PartialEq)]
pub(crate) enum ExpectedTag {
    /// Nothing was said.
    Unstated,
    /// There is one, whichever.
    Present,
    /// It has one of these tags.
    OneOf(Vec<String>),
}

impl ExpectedTag {
    /// Admits a change of a thing that is as it is now; none where there is none.
    pub(crate) fn admit(&self, current: Option<&impl Serialize>) -> Result<(), Refusal> {
        let admitted = match (self, current) {
            (Self::Unstated, _) | (Self::Present, Some(_)) => true,
            (Self::Present | Self::OneOf(_), None) => false,
            (Self::OneOf(tags), Some(thing)) => tags.contains(&tag_of(thing)?),
        };
        if admitted {
            Ok(())
        } else {
            Err(Refusal::ChangedTag)
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_change_is_admitted_on_what_was_read_only() {
        let check = ExpectedTag::OneOf(vec![tag_of(&"as it was").unwrap()]);
        assert!(check.admit(Some(&"as it was")).is_ok());
        assert!(check.admit(Some(&"as it is")).is_err());
        assert!(check.admit(None::<&&str>).is_err());
        assert!(ExpectedTag::Unstated.admit(None::<&&str>).is_ok());
        assert!(ExpectedTag::Present.admit(None::<&&str>).is_err());
    }
}
