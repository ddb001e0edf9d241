//! Whole numbers of things.

use utoipa::openapi::schema::{ObjectBuilder, Schema, Type};
use utoipa::openapi::{KnownFormat, RefOr, SchemaFormat};

use crate::OutOfRange;

/// Declares a bounded whole number, as `quantity!` does for the others.
macro_rules! count {
    (
        $(#[doc = $doc:expr])+
        $Name:ident($name:literal, $unit:literal, $min:literal ..= $max:literal, example $example:literal)
    ) => {
        $(#[doc = $doc])+
        ///
        #[doc = concat!(
            "```\nlet count = model::inputs::", stringify!($Name), "::new(", $example, ")?;\n",
            "assert_eq!(count.value(), ", $example, ");\n",
            "assert!(model::inputs::", stringify!($Name), "::new(u32::MAX).is_err());\n",
            "# Ok::<(), model::OutOfRange>(())\n```",
        )]
        #[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
        pub struct $Name(u32);

        impl $Name {
            /// What it is called in messages.
            pub const NAME: &'static str = $name;
            /// What is counted.
            pub const UNIT: &'static str = $unit;
            /// The smallest number allowed.
            pub const MIN: f64 = $min as f64;
            /// The largest number allowed.
            pub const MAX: f64 = $max as f64;

            /// That many.
            ///
            /// # Errors
            ///
            /// [`OutOfRange`] outside the range.
            pub fn new(value: u32) -> Result<Self, OutOfRange> {
                if ($min..=$max).contains(&value) {
                    return Ok(Self(value));
                }
                Err(OutOfRange {
                    quantity: Self::NAME,
                    unit: Self::UNIT,
                    min: Self::MIN,
                    max: Self::MAX,
                    value: f64::from(value),
                })
            }

            /// A number written in code; out of range it stops the build.
            ///
            /// # Panics
            ///
            /// Out of range.
            #[must_use]
            pub const fn of(value: u32) -> Self {
                assert!(value <= $max, concat!("constant outside the range of ", $name));
                Self(value)
            }

            /// How many.
            #[must_use]
            pub const fn value(self) -> u32 {
                self.0
            }
        }

        impl serde::Serialize for $Name {
            fn serialize<S: serde::Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
                serializer.serialize_u32(self.0)
            }
        }

        impl<'de> serde::Deserialize<'de> for $Name {
            fn deserialize<D: serde::Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
                let value = <u32 as serde::Deserialize>::deserialize(deserializer)?;
                Self::new(value).map_err(serde::de::Error::custom)
            }
        }

        impl utoipa::PartialSchema for $Name {
            fn schema() -> RefOr<Schema> {
                let lines: &[&str] = &[$($doc),+];
                ObjectBuilder::new()
                    .schema_type(Type::Integer)
                    .format(Some(SchemaFormat::KnownFormat(KnownFormat::Int32)))
                    .minimum(Some($min))
                    .maximum(Some($max))
                    .examples([$example])
                    .description(Some(format!("{} Unit: {}.", lines.join(" ").trim(), $unit)))
                    .into()
            }
        }

        impl utoipa::ToSchema for $Name {
            fn name() -> std::borrow::Cow<'static, str> {
                std::borrow::Cow::Borrowed(stringify!($Name))
            }
        }
    };
}

count! {
    /// How often a keg is purged.
    PurgeCount("number of purges", "purges", 0..=50, example 3)
}
count! {
    /// Kegs carbonated between two weighings of a cylinder.
    GassedKegs("number of kegs", "kegs", 0..=10000, example 6)
}
