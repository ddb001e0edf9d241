//! Inputs of questions people ask, each with the range its equations are good for.
//!
//! The quantities at the top of this crate are as wide as physics allows;
//! these are as narrow as the equation behind a question, and turn into them.
//! One declaration gives the check, the message, the published limits and the
//! test generators.
//!
//! ```
//! use model::inputs::DrinkTemperature;
//! use model::Temperature;
//!
//! let drink = DrinkTemperature::new(2.0)?;
//! assert_eq!(Temperature::from(drink), Temperature::of(2.0));
//! // The solubility of CO2 is published for -1 to 40 °C.
//! assert!(DrinkTemperature::new(41.0).is_err());
//! # Ok::<(), model::OutOfRange>(())
//! ```

mod content;
mod count;
mod flow;
mod heat;
mod mass;
mod pressure;
mod size;
mod temperature;
mod time;

pub use content::{Acidity, Amount, CurrentCarbonation, IceContent, WantedCarbonation, WaterAir};
pub use count::{GassedKegs, PurgeCount};
pub use flow::{
    AscorbateOverdose, FittingLoss, LeakRate, PourFlow, SupplyFlow, SurfaceRate, TapFlow,
    TransferRate,
};
pub use heat::{
    BathConductance, BlackbodyShare, BurnerPower, CylinderConductance, HeatingShare, PotLoss,
    StoreCooling, WallConductance,
};
pub use mass::{
    AscorbateDose, CylinderLoss, CylinderWeight, GasPerKeg, GasPerLitre, GasRelease, GlassMass,
    IceMass, SteelMass,
};
pub use pressure::{
    AirPressure, Barometer, GaugeOffset, RegulatorPressure, VesselPressure, VesselRating,
    WeatherReport,
};
pub use size::{
    AirSpeedInStore, Batch, ContainerSize, FilterVolume, LineBore, LineLength, LineLift,
    LineRoughness, LossVolume, PotDepth, Pour, PouredVolume, RoomVolume, Surface, VesselVolume,
};
pub use temperature::{
    CylinderTemperature, DrinkTemperature, GasTemperature, IceTemperature, LiquidTemperature,
    RoomTemperature, StoreTemperature, WaterTemperature,
};
pub use time::{ShortWait, StoreHours, WaitDays, WaitHours, WaitMinutes};

/// Declares an input: a quantity that turns into a wider one.
macro_rules! input {
    (
        $(#[doc = $doc:expr])+
        $Name:ident($name:literal, $unit:literal, $min:literal ..= $max:literal, example $example:literal)
            => $Wide:ident $(* $scale:literal)? $(/ $divide:literal)?
    ) => {
        crate::quantity! {
            $(#[doc = $doc])+
            ///
            #[doc = concat!(
                "```\nlet input = model::inputs::", stringify!($Name), "::of(", $example, "_f64);\n",
                "let _wide: model::", stringify!($Wide), " = input.into();\n```",
            )]
            pub struct $Name($name, $unit, $min ..= $max, example $example, get value)
        }

        // Every value of the input is one of the wider quantity, or the build stops.
        const _: [crate::$Wide; 2] = [
            crate::$Wide::of($Name::MIN $(* $scale)? $(/ $divide)?),
            crate::$Wide::of($Name::MAX $(* $scale)? $(/ $divide)?),
        ];

        impl From<$Name> for crate::$Wide {
            fn from(input: $Name) -> Self {
                Self::of(input.value() $(* $scale)? $(/ $divide)?)
            }
        }
    };
}
use input;
