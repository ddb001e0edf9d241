//! Laws every quantity keeps, tried on all of them from their declared ranges.
#![allow(clippy::unwrap_used, clippy::panic)] // tests may fail loudly

mod common;

use proptest::prelude::{any, prop_assert, prop_assert_eq, proptest};

macro_rules! laws {
    ($($name:ident: $Quantity:ident),+ $(,)?) => {$(
        mod $name {
            use model::$Quantity;
            use super::{any, prop_assert, prop_assert_eq, proptest};

            proptest! {
                #[test]
                fn holds_exactly_the_values_in_range(value in any::<f64>()) {
                    let allowed = $Quantity::RANGE.contains(&value);
                    prop_assert_eq!($Quantity::new(value).is_ok(), allowed);
                }

                #[test]
                fn keeps_its_value_and_its_order(
                    one in $Quantity::RANGE,
                    other in $Quantity::RANGE,
                ) {
                    let (a, b) = ($Quantity::new(one).unwrap(), $Quantity::new(other).unwrap());
                    prop_assert_eq!(f64::from(a).to_bits(), one.to_bits());
                    prop_assert_eq!(a < b, one < other);
                }

                #[test]
                fn survives_json(value in $Quantity::RANGE) {
                    let quantity = $Quantity::new(value).unwrap();
                    let text = serde_json::to_string(&quantity).unwrap();
                    prop_assert_eq!(serde_json::from_str::<$Quantity>(&text).unwrap(), quantity);
                }

                #[test]
                fn refuses_json_out_of_range_in_its_own_words(excess in 1.0..1e6_f64) {
                    let value = $Quantity::MAX + excess * (1.0 + $Quantity::MAX.abs() * 1e-6);
                    let refused = serde_json::from_str::<$Quantity>(&value.to_string());
                    let text = refused.unwrap_err().to_string();
                    prop_assert!(text.contains($Quantity::NAME), "{}", text);
                }
            }

            #[test]
            fn states_its_bounds_in_the_contract() {
                super::check_schema::<$Quantity>($Quantity::MIN, $Quantity::MAX, $Quantity::EXAMPLE, $Quantity::UNIT);
            }

            #[test]
            fn refuses_what_is_no_number() {
                for value in [f64::NAN, f64::INFINITY, f64::NEG_INFINITY] {
                    assert!($Quantity::new(value).is_err());
                }
            }
        }
    )+};
}

laws!(
    temperature: Temperature,
    temperature_difference: TemperatureDifference,
    absolute_pressure: AbsolutePressure,
    gauge_pressure: GaugePressure,
    pressure_difference: PressureDifference,
    elevation: Elevation,
    length: Length,
    area: Area,
    air_speed: AirSpeed,
    volume: Volume,
    mass: Mass,
    mass_flow: MassFlow,
    power: Power,
    heat_flow: HeatFlow,
    energy: Energy,
    conductance: Conductance,
    time_span: TimeSpan,
    fraction: Fraction,
    factor: Factor,
    ice_factor: IceFactor,
    carbonation: Carbonation,
    sugar_content: SugarContent,
    chlorine_residual: ChlorineResidual,
    air_content: AirContent,
    gas_in_room: GasInRoom,
    mass_transfer: MassTransfer,
    surface_transfer: SurfaceTransfer,
    gas_flow: GasFlow,
    water_flow: WaterFlow,
    density: Density,
    specific_energy: SpecificEnergy,
);

/// The published schema is a number with the declared bounds and a description.
fn check_schema<Q: model::__private::utoipa::PartialSchema>(
    min: f64,
    max: f64,
    example: f64,
    unit: &str,
) {
    let schema = serde_json::to_value(Q::schema()).unwrap();
    let number = |value: &serde_json::Value| value.as_f64().unwrap();
    assert_eq!(schema["type"], "number");
    assert!((number(&schema["minimum"]) - min).abs() <= 1e-12 * min.abs());
    assert!((number(&schema["maximum"]) - max).abs() <= 1e-12 * max.abs());
    assert!((number(&schema["examples"][0]) - example).abs() <= 1e-12 * example.abs());
    let description = schema["description"].as_str().unwrap();
    assert!(
        description.contains(unit) && !description.contains("```"),
        "{description}"
    );
}

mod own {
    //! The macro works outside its crate, for private types too.

    model::quantity! {
        /// Power of a heater.
        ///
        /// Not part of the description.
        struct HeaterPower("heater power", "W", 100.0..=50000.0, example 3500.0, get watts)
    }

    #[test]
    fn says_what_is_wrong() {
        let error = serde_json::from_str::<HeaterPower>("0").unwrap_err();
        assert_eq!(
            error.to_string(),
            "0 W is outside what heater power allows: 100 to 50000 W"
        );
        let heater: HeaterPower = serde_json::from_str("3500").unwrap();
        assert!((heater.watts() - 3500.0).abs() < 1e-12);
    }

    #[test]
    fn takes_the_first_paragraph_for_the_contract() {
        super::check_schema::<HeaterPower>(100.0, 50_000.0, 3500.0, "W");
        let schema = <HeaterPower as model::__private::utoipa::PartialSchema>::schema();
        let schema = serde_json::to_value(schema).unwrap();
        assert_eq!(schema["description"], "Power of a heater. Unit: W.");
    }
}
