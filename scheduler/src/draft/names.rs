//! Ids made from what people call things.

use crate::scenario::LONGEST_ID;

/// An id out of a name, unlike those that are taken; `otherwise` where no letter of it can stand in
/// an id.
pub(super) fn id<T: TryFrom<String>>(name: &str, otherwise: &str, taken: &mut Vec<String>) -> T
where
    T::Error: std::fmt::Debug,
{
    let plain = slug(name);
    let plain = if plain.is_empty() {
        otherwise.to_owned()
    } else {
        plain
    };
    let mut found = plain.clone();
    let mut n = 2;
    while taken.contains(&found) {
        found = format!("{plain}-{n}");
        n += 1;
    }
    taken.push(found.clone());
    known(&found)
}

/// An id that is known to be one.
#[allow(
    clippy::expect_used,
    reason = "slugs are made of letters that ids may have, and are short"
)]
pub(super) fn known<T: TryFrom<String>>(text: &str) -> T
where
    T::Error: std::fmt::Debug,
{
    T::try_from(text.to_owned()).expect("a slug is an id")
}

/// Letters and digits, with one dash for whatever stands between them; short enough for endings.
fn slug(name: &str) -> String {
    let mut slug = String::new();
    for c in name.chars().flat_map(char::to_lowercase) {
        if c.is_ascii_alphanumeric() {
            slug.push(c);
        } else if !slug.ends_with('-') && !slug.is_empty() && !c.is_alphanumeric() {
            slug.push('-');
        }
        if slug.len() >= LONGEST_ID - 24 {
            break;
        }
    }
    slug.trim_end_matches('-').to_owned()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::scenario::ProductId;

    #[test]
    fn names_become_ids_each_its_own() {
        let mut taken = Vec::new();
        let mut made = |name: &str| id::<ProductId>(name, "drink", &mut taken).to_string();
        assert_eq!(made("Plain soda"), "plain-soda");
        assert_eq!(made("Plain  Soda!"), "plain-soda-2");
        assert_eq!(made("Ginger & lime"), "ginger-lime");
        assert_eq!(made("水"), "drink");
        assert_eq!(made(&"x".repeat(300)).len(), 40);
    }
}
