//! Names by which parts of a scenario refer to each other.

use std::fmt;

use serde::{Deserialize, Serialize};

/// The longest id, in characters.
pub const LONGEST_ID: usize = 64;

/// Why a text is not an id.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error(
    "\"{found}\" is not an id: 1 to {LONGEST_ID} characters out of a-z, 0-9, '-' and '_' are allowed"
)]
pub struct BadId {
    /// The refused text, cut to the longest id.
    pub found: String,
}

fn parse(text: &str) -> Result<String, BadId> {
    let allowed = |c: char| c.is_ascii_lowercase() || c.is_ascii_digit() || c == '-' || c == '_';
    if !text.is_empty() && text.len() <= LONGEST_ID && text.chars().all(allowed) {
        return Ok(text.to_owned());
    }
    Err(BadId {
        found: text.chars().take(LONGEST_ID).collect(),
    })
}

macro_rules! id {
    ($($(#[$doc:meta])* $name:ident, $example:literal;)*) => {$(
        $(#[$doc])*
        #[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
        #[serde(try_from = "String", into = "String")]
        pub struct $name(String);

        impl $name {
            /// Reads an id: 1 to 64 characters out of `a-z`, `0-9`, `-` and `_`.
            ///
            /// # Errors
            /// [`BadId`] for anything else.
            ///
            /// ```
            #[doc = concat!("use scheduler::scenario::", stringify!($name), ";")]
            #[doc = concat!("assert!(", stringify!($name), "::parse(\"", $example, "\").is_ok());")]
            #[doc = concat!("assert!(", stringify!($name), "::parse(\"Not an id\").is_err());")]
            /// ```
            pub fn parse(text: &str) -> Result<Self, BadId> {
                parse(text).map(Self)
            }

            /// The id as text.
            #[must_use]
            pub fn as_str(&self) -> &str {
                &self.0
            }
        }

        impl TryFrom<String> for $name {
            type Error = BadId;
            fn try_from(text: String) -> Result<Self, BadId> {
                Self::parse(&text)
            }
        }

        impl From<$name> for String {
            fn from(id: $name) -> Self {
                id.0
            }
        }

        impl fmt::Display for $name {
            fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
                f.write_str(&self.0)
            }
        }

        impl utoipa::PartialSchema for $name {
            fn schema() -> utoipa::openapi::RefOr<utoipa::openapi::schema::Schema> {
                utoipa::openapi::ObjectBuilder::new()
                    .schema_type(utoipa::openapi::schema::Type::String)
                    .description(Some(concat!("Id: ", stringify!($name))))
                    .pattern(Some("^[a-z0-9_-]{1,64}$"))
                    .examples([serde_json::json!($example)])
                    .into()
            }
        }

        impl utoipa::ToSchema for $name {}
    )*};
}

id! {
    /// Names a site: one bar or kitchen making soda.
    SiteId, "harbour-bar";
    /// Names a pot.
    PotId, "large-pot";
    /// Names a circuit or burner that pots share.
    CircuitId, "kitchen-ring";
    /// Names a cold store.
    StoreId, "walk-in";
    /// Names a keg type: all kegs of one size and make.
    KegTypeId, "keg-19";
    /// Names a gassing point: a place where kegs are carbonated by one method.
    GasStationId, "rest-rack";
    /// Names a product.
    ProductId, "plain-soda";
    /// Names a route: one way of getting from tap water to a filled keg.
    RouteId, "half-ice";
    /// Names a material that is stocked and ordered.
    MaterialId, "lime-syrup";
    /// Names a line of demand; the caller chooses it.
    DemandId, "sat-plain";
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn ids_are_short_plain_words() {
        for good in ["a", "keg-19", "x_1", &"a".repeat(64)] {
            assert!(KegTypeId::parse(good).is_ok(), "{good}");
        }
        for bad in ["", "Keg", "keg 19", "kég", &"a".repeat(65), "a/b"] {
            assert!(KegTypeId::parse(bad).is_err(), "{bad}");
        }
    }
}
