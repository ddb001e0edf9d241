//! The inputs of a calculation, declared once: what is read, what is shown, and its ranges.

use serde::Serialize;
use serde::de::DeserializeOwned;
use utoipa::ToSchema;

use super::notes::ValidRange;
use super::refused::Refused;

/// What every set of inputs can do.
pub(crate) trait Inputs: DeserializeOwned + ToSchema + Send + 'static {
    /// The inputs as a reply shows them: in SI and the units people use, defaults filled in.
    type Echo: Serialize + ToSchema + Send + 'static;

    /// Shows them.
    fn echo(&self) -> Result<Self::Echo, Refused>;

    /// The ranges of the single fields, from the declarations of their quantities.
    fn valid() -> Vec<ValidRange>;
}

/// Declares a set of inputs.
///
/// `name: Quantity => shown: Value` reads a field `name` and shows it as `shown`. Quantities carry
/// their range. Sections: `required`; `defaulted`, with a default; `optional`; `choices`, shown as
/// they came; `lists`, with the fewest and most entries. `at site` adds elevation and barometer,
/// and a method `atmosphere`.
macro_rules! inputs {
    (
        $(#[doc = $doc:literal])+
        $Name:ident => $Echo:ident at site { $($sections:tt)* }
    ) => {
        $crate::app::calculations::inputs::inputs! {
            $(#[doc = $doc])+
            $Name => $Echo {
                $($sections)*
                site {
                    /// Height above sea level, for the air pressure; sea level where neither this
                    /// nor a barometer is given.
                    elevation_m: Elevation => elevation: ElevationValue,
                    /// Air pressure at the site, as read there without reduction to sea level;
                    /// not together with an elevation.
                    barometer_hpa: Barometer => barometer: AbsolutePressureValue,
                }
                derived {
                    /// Air pressure that was used.
                    air_pressure: AbsolutePressureValue = atmosphere,
                }
            }
        }

        impl $Name {
            /// Air pressure at the site.
            fn atmosphere(&self) -> Result<model::AbsolutePressure, $crate::app::calculations::refused::Refused> {
                $crate::app::calculations::site::air_pressure(self.elevation_m, self.barometer_hpa)
            }
        }
    };
    (
        $(#[doc = $doc:literal])+
        $Name:ident => $Echo:ident {
            $(required { $($(#[doc = $rdoc:literal])+ $rname:ident: $Rtype:ident => $rshown:ident: $Rvalue:ident,)* })?
            $(defaulted { $($(#[doc = $ddoc:literal])+ $dname:ident: $Dtype:ident = $default:tt => $dshown:ident: $Dvalue:ident,)* })?
            $(optional { $($(#[doc = $odoc:literal])+ $oname:ident: $Otype:ident => $oshown:ident: $Ovalue:ident,)* })?
            $(choices { $($(#[doc = $cdoc:literal])+ $cname:ident: $Ctype:ty,)* })?
            $(lists { $($(#[doc = $ldoc:literal])+ $lname:ident: $Ltype:ident[$fewest:tt, $most:tt] => $Lecho:ident,)* })?
            $(site { $($(#[doc = $sdoc:literal])+ $sname:ident: $Stype:ident => $sshown:ident: $Svalue:ident,)* })?
            $(derived { $($(#[doc = $vdoc:literal])+ $vshown:ident: $Vvalue:ident = $method:ident,)* })?
        }
    ) => {
        $(#[doc = $doc])+
        #[derive(Debug, Clone, serde::Deserialize, utoipa::ToSchema)]
        #[serde(deny_unknown_fields)]
        pub(in crate::app::calculations) struct $Name {
            $($($(#[doc = $rdoc])+ $rname: $Rtype,)*)?
            $($(
                $(#[doc = $ddoc])+
                #[serde(default)]
                #[schema(default = $default)]
                $dname: Option<$Dtype>,
            )*)?
            $($($(#[doc = $odoc])+ #[serde(default)] $oname: Option<$Otype>,)*)?
            $($($(#[doc = $cdoc])+ $cname: $Ctype,)*)?
            $($($(#[doc = $ldoc])+ #[schema(min_items = $fewest, max_items = $most)] $lname: Vec<$Ltype>,)*)?
            $($($(#[doc = $sdoc])+ #[serde(default)] $sname: Option<$Stype>,)*)?
        }

        /// What was calculated with, defaults filled in.
        #[derive(Debug, serde::Serialize, utoipa::ToSchema)]
        pub(in crate::app::calculations) struct $Echo {
            $($($(#[doc = $rdoc])+ $rshown: $Rvalue,)*)?
            $($($(#[doc = $ddoc])+ $dshown: $Dvalue,)*)?
            $($($(#[doc = $odoc])+ $oshown: Option<$Ovalue>,)*)?
            $($($(#[doc = $cdoc])+ $cname: $Ctype,)*)?
            $($($(#[doc = $ldoc])+ $lname: Vec<$Lecho>,)*)?
            $($($(#[doc = $sdoc])+ $sshown: Option<$Svalue>,)*)?
            $($($(#[doc = $vdoc])+ $vshown: $Vvalue,)*)?
        }

        #[allow(
            dead_code,
            clippy::wrong_self_convention,
            reason = "not every field is read through its method, and some are called from_c"
        )]
        impl $Name {
            $($(fn $dname(&self) -> $Dtype {
                self.$dname.unwrap_or(const { $Dtype::of($default) })
            })*)?
        }

        impl $crate::app::calculations::inputs::Inputs for $Name {
            type Echo = $Echo;

            fn echo(&self) -> Result<$Echo, $crate::app::calculations::refused::Refused> {
                #[allow(unused_imports, reason = "a set of choices alone shows no quantity")]
                use $crate::app::calculations::values::Shown;
                $($($crate::app::calculations::inputs::counted(
                    stringify!($lname), self.$lname.len(), $fewest, $most,
                )?;)*)?
                Ok($Echo {
                    $($($rshown: <$Rvalue as Shown<_>>::of(self.$rname),)*)?
                    $($($dshown: <$Dvalue as Shown<_>>::of(self.$dname()),)*)?
                    $($($oshown: Shown::of(self.$oname),)*)?
                    $($($cname: self.$cname,)*)?
                    $($($lname: self.$lname.iter().map(|entry| $crate::app::calculations::inputs::Inputs::echo(entry)).collect::<Result<_, _>>()?,)*)?
                    $($($sshown: Shown::of(self.$sname),)*)?
                    $($($vshown: Shown::of(self.$method()?),)*)?
                })
            }

            fn valid() -> Vec<$crate::app::calculations::notes::ValidRange> {
                #[allow(unused_imports, reason = "a set of choices alone has no range")]
                use $crate::app::calculations::notes::ValidRange;
                #[allow(unused_mut, reason = "only lists add to it")]
                let mut ranges = vec![
                    $($(ValidRange::new(stringify!($rname), $Rtype::NAME, $Rtype::UNIT, [$Rtype::MIN, $Rtype::MAX]),)*)?
                    $($(ValidRange::new(stringify!($dname), $Dtype::NAME, $Dtype::UNIT, [$Dtype::MIN, $Dtype::MAX]),)*)?
                    $($(ValidRange::new(stringify!($oname), $Otype::NAME, $Otype::UNIT, [$Otype::MIN, $Otype::MAX]),)*)?
                    $($(ValidRange::new(stringify!($sname), $Stype::NAME, $Stype::UNIT, [$Stype::MIN, $Stype::MAX]),)*)?
                ];
                $($(ranges.extend(<$Ltype as $crate::app::calculations::inputs::Inputs>::valid().into_iter().map(|range| range.inside(stringify!($lname))));)*)?
                ranges
            }
        }
    };
}
pub(super) use inputs;

/// Checks the length of a list.
pub(super) fn counted(name: &str, found: usize, fewest: usize, most: usize) -> Result<(), Refused> {
    if (fewest..=most).contains(&found) {
        return Ok(());
    }
    let what = format!("{found} entries found; {fewest} to {most} are allowed");
    Err(Refused::alone(name, what))
}
