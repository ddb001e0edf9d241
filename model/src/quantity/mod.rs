//! Bounded quantities: a number, its unit and the range it may have, declared once.
//!
//! [`quantity!`](crate::quantity!) makes a type of its own for each idea, so a
//! gauge pressure cannot be passed where an absolute one is meant. The bound
//! declared there drives the check, the error text, the JSON reader, the
//! OpenAPI schema and the generators of property tests.

mod content;
mod energy;
mod extent;
mod mass;
mod pressure;
mod range;
mod ratio;
mod specific;
mod temperature;
mod time;
mod transfer;
mod volume;

pub use content::{AirContent, Carbonation, ChlorineResidual, GasInRoom, SugarContent};
pub use energy::{Conductance, Energy, HeatFlow, Power};
pub use extent::{AirSpeed, Area, Elevation, Length, Lift, Roughness};
pub use mass::Mass;
pub use pressure::{AbsolutePressure, GaugePressure, PressureDifference};
pub use range::OutOfRange;
pub(crate) use range::within;
pub use ratio::{Factor, Fraction, IceFactor};
pub use specific::{Density, SpecificEnergy};
pub use temperature::{Temperature, TemperatureDifference};
pub use time::TimeSpan;
pub use transfer::{GasFlow, MassFlow, MassTransfer, SurfaceTransfer, WaterFlow};
pub use volume::Volume;

/// Declares a bounded quantity: its name, unit, range, example and getter, once.
///
/// The generated type is a `Copy` newtype over `f64` that can only hold a
/// finite value inside its range. It has:
///
/// - `new(f64) -> Result<Self, OutOfRange>`, which rejects NaN and infinities;
/// - `const fn of(f64)`, for constants known to be in range;
/// - `NAME`, `UNIT`, `MIN`, `MAX`, `EXAMPLE` and `RANGE`;
/// - the getter named in the declaration, and `From<Self> for f64`;
/// - `Display` ("4 °C"), serde as a plain number with the bound checked on
///   reading, and utoipa's `ToSchema` as a number with minimum, maximum,
///   example and the first paragraph of the documentation.
///
/// A crate that uses the macro needs no dependency on serde or utoipa.
///
/// # Examples
///
/// ```
/// model::quantity! {
///     /// Electrical or gas power a heater puts into a pot.
///     pub struct HeaterPower("heater power", "W", 100.0..=50000.0, example 3500.0, get watts)
/// }
///
/// let heater = HeaterPower::new(3500.0).unwrap();
/// assert!((heater.watts() - 3500.0).abs() < 1e-12);
/// assert_eq!(heater.to_string(), "3500 W");
/// assert_eq!(
///     HeaterPower::new(0.0).unwrap_err().to_string(),
///     "0 W is outside what heater power allows: 100 to 50000 W",
/// );
/// ```
#[macro_export]
macro_rules! quantity {
    (
        $(#[doc = $doc:expr])+
        $vis:vis struct $Name:ident(
            $name:literal, $unit:literal, $min:literal ..= $max:literal,
            example $example:literal, get $getter:ident
        )
    ) => {
        $(#[doc = $doc])+
        ///
        #[doc = concat!("Unit: ", $unit, ". Range: ", $min, " to ", $max, ".")]
        #[derive(Clone, Copy, Debug, PartialEq, PartialOrd)]
        $vis struct $Name(f64);

        #[allow(dead_code)] // a private quantity need not use every generated item
        impl $Name {
            /// What the quantity is called in messages.
            $vis const NAME: &'static str = $name;
            /// The unit of every number that goes in or comes out.
            $vis const UNIT: &'static str = $unit;
            /// The smallest value allowed.
            $vis const MIN: f64 = $min;
            /// The largest value allowed.
            $vis const MAX: f64 = $max;
            /// A typical value, shown in the published contract.
            $vis const EXAMPLE: f64 = $example;
            /// The values allowed, for checks and test generators.
            $vis const RANGE: ::core::ops::RangeInclusive<f64> = $min..=$max;

            #[doc = concat!("A ", $name, " of `value` ", $unit, ".")]
            ///
            /// # Errors
            ///
            #[doc = concat!("`OutOfRange` unless `value` is a finite number from ", $min, " to ", $max, " ", $unit, ".")]
            $vis fn new(value: f64) -> ::core::result::Result<Self, $crate::OutOfRange> {
                if Self::RANGE.contains(&value) {
                    Ok(Self(value))
                } else {
                    Err($crate::OutOfRange {
                        quantity: Self::NAME,
                        unit: Self::UNIT,
                        min: Self::MIN,
                        max: Self::MAX,
                        value,
                    })
                }
            }

            #[doc = concat!("A constant ", $name, " of `value` ", $unit, ", for values written in code.")]
            ///
            /// # Panics
            ///
            /// Out of range. In a `const` that stops the build, which is the
            /// intended use; for values known only at run time use `new`.
            $vis const fn of(value: f64) -> Self {
                assert!(
                    value >= Self::MIN && value <= Self::MAX,
                    concat!("constant outside the range of ", $name)
                );
                Self(value)
            }

            #[doc = concat!("The value in ", $unit, ".")]
            $vis const fn $getter(self) -> f64 {
                self.0
            }
        }

        // The example is in range, or the build stops.
        const _: $Name = $Name::of($example);

        impl ::core::fmt::Display for $Name {
            fn fmt(&self, f: &mut ::core::fmt::Formatter<'_>) -> ::core::fmt::Result {
                ::core::fmt::Display::fmt(&self.0, f)?;
                if Self::UNIT.is_empty() { Ok(()) } else { write!(f, " {}", Self::UNIT) }
            }
        }

        impl ::core::convert::TryFrom<f64> for $Name {
            type Error = $crate::OutOfRange;
            fn try_from(value: f64) -> ::core::result::Result<Self, Self::Error> {
                Self::new(value)
            }
        }

        impl ::core::convert::From<$Name> for f64 {
            fn from(quantity: $Name) -> f64 {
                quantity.0
            }
        }

        impl $crate::__private::serde::Serialize for $Name {
            fn serialize<S: $crate::__private::serde::Serializer>(
                &self,
                serializer: S,
            ) -> ::core::result::Result<S::Ok, S::Error> {
                serializer.serialize_f64(self.0)
            }
        }

        impl<'de> $crate::__private::serde::Deserialize<'de> for $Name {
            fn deserialize<D: $crate::__private::serde::Deserializer<'de>>(
                deserializer: D,
            ) -> ::core::result::Result<Self, D::Error> {
                let value = <f64 as $crate::__private::serde::Deserialize>::deserialize(deserializer)?;
                Self::new(value).map_err(<D::Error as $crate::__private::serde::de::Error>::custom)
            }
        }

        impl $crate::__private::utoipa::PartialSchema for $Name {
            fn schema() -> $crate::__private::utoipa::openapi::RefOr<
                $crate::__private::utoipa::openapi::schema::Schema,
            > {
                $crate::__private::schema(
                    &$crate::__private::Declaration {
                        name: Self::NAME,
                        unit: Self::UNIT,
                        doc: &[$($doc),+],
                        min: Self::MIN,
                        max: Self::MAX,
                        example: Self::EXAMPLE,
                    },
                )
            }
        }

        impl $crate::__private::utoipa::ToSchema for $Name {
            fn name() -> ::std::borrow::Cow<'static, str> {
                ::std::borrow::Cow::Borrowed(stringify!($Name))
            }
        }
    };
}
