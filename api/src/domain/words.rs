//! Short texts people write, bounded where they are declared.

/// Declares a text of so many printable characters.
macro_rules! words {
    ($($(#[doc = $doc:expr])+ $Name:ident($what:literal, $most:literal, $example:literal);)+) => {$(
        $(#[doc = $doc])+
        #[derive(Debug, Clone, PartialEq, Eq, serde::Serialize, serde::Deserialize)]
        #[serde(try_from = "String", into = "String")]
        pub(crate) struct $Name(String);

        impl $Name {
            pub(crate) fn as_str(&self) -> &str {
                &self.0
            }
        }

        impl TryFrom<String> for $Name {
            type Error = String;
            fn try_from(text: String) -> Result<Self, String> {
                let length = text.chars().count();
                let printable = text.chars().all(|c| !c.is_control());
                if (1..=$most).contains(&length) && printable && !text.trim().is_empty() {
                    Ok(Self(text))
                } else {
                    Err(format!(
                        concat!($what, " of {} characters found; 1 to ", stringify!($most),
                            " printable ones are allowed, not all blank"),
                        length
                    ))
                }
            }
        }

        impl utoipa::PartialSchema for $Name {
            fn schema() -> utoipa::openapi::RefOr<utoipa::openapi::schema::Schema> {
                utoipa::openapi::ObjectBuilder::new()
                    .schema_type(utoipa::openapi::schema::Type::String)
                    .description(Some(concat!($($doc),+).trim()))
                    .min_length(Some(1))
                    .max_length(Some($most))
                    .examples([serde_json::json!($example)])
                    .into()
            }
        }

        impl utoipa::ToSchema for $Name {}

        impl From<$Name> for String {
            fn from(words: $Name) -> Self {
                words.0
            }
        }
    )+};
}

words! {
    /// Who says so: a person's name, as the floor knows it.
    Who("a name", 80, "Ines");
    /// What else there is to say.
    Note("a note", 500, "Lid was off for ten minutes");
    /// What a reading was taken on: a keg's number, a gauge, a place in the store.
    Subject("a subject", 80, "keg 17");
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_name_is_neither_blank_nor_endless() {
        assert!(Who::try_from("Ines".to_owned()).is_ok());
        assert!(Who::try_from(" ".to_owned()).is_err());
        assert!(Who::try_from("a\u{7}".to_owned()).is_err());
        let long = Who::try_from("x".repeat(81)).unwrap_err();
        assert!(long.contains("81 characters found; 1 to 80"), "{long}");
    }
}
