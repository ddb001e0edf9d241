//! Quantities as replies show them: one field for each unit, the SI first.
//!
//! Units and ranges come from the declaration of the quantity in `model`.

use model::inputs::{Acidity, Amount, GassedKegs, PurgeCount};
use model::units::{Unit, converted};
use model::{
    AbsolutePressure, AirContent, AirSpeed, Area, Carbonation, ChlorineResidual, Conductance,
    Density, Elevation, Energy, Factor, Fraction, GasFlow, GasInRoom, GaugePressure, HeatFlow,
    IceFactor, Length, Lift, Mass, MassFlow, MassTransfer, Power, PressureDifference, Roughness,
    SpecificEnergy, SugarContent, SurfaceTransfer, Temperature, TemperatureDifference, TimeSpan,
    Volume, WaterFlow,
};
use serde::Serialize;
use utoipa::openapi::schema::{ObjectBuilder, Schema, Type};
use utoipa::openapi::{KnownFormat, RefOr, SchemaFormat};
use utoipa::{PartialSchema, ToSchema};

/// How an input of type `Q` is shown in a reply.
pub(super) trait Shown<Q> {
    /// Shows it.
    fn of(input: Q) -> Self;
}

impl<Q, V: Shown<Q>> Shown<Option<Q>> for Option<V> {
    fn of(input: Option<Q>) -> Self {
        input.map(V::of)
    }
}

/// Plain numbers are shown as they came.
macro_rules! plain {
    ($($Name:ident),+) => {$(
        impl<Q: Into<$Name>> Shown<Q> for $Name {
            fn of(input: Q) -> Self {
                input.into()
            }
        }
    )+};
}

plain!(
    Fraction, Factor, IceFactor, Acidity, Amount, PurgeCount, GassedKegs
);

macro_rules! values {
    ($(
        $(#[doc = $doc:literal])+
        $Name:ident($Quantity:ident, $getter:ident in $Own:ident) { $($field:ident: $Unit:ident),+ }
    )+) => {$(
        $(#[doc = $doc])+
        #[derive(Debug, Clone, Copy, Serialize)]
        pub(super) struct $Name {
            $($field: f64,)+
        }

        impl<Q: Into<$Quantity>> Shown<Q> for $Name {
            fn of(quantity: Q) -> Self {
                let own = quantity.into().$getter();
                Self { $($field: converted(own, Unit::$Own, Unit::$Unit),)+ }
            }
        }

        impl PartialSchema for $Name {
            fn schema() -> RefOr<Schema> {
                let bounds = [$Quantity::MIN, $Quantity::MAX, $Quantity::EXAMPLE];
                object(concat!($($doc),+), &[
                    $((stringify!($field), Unit::$Unit, bounds.map(|own| {
                        converted(own, Unit::$Own, Unit::$Unit)
                    })),)+
                ])
            }
        }

        impl ToSchema for $Name {
            fn name() -> std::borrow::Cow<'static, str> {
                std::borrow::Cow::Borrowed(stringify!($Name))
            }
        }
    )+};
}

/// An object with a number for each unit: its name, smallest and largest value, and an example.
fn object(description: &str, fields: &[(&str, Unit, [f64; 3])]) -> RefOr<Schema> {
    let mut object = ObjectBuilder::new().description(Some(description.trim()));
    for (name, unit, [lowest, highest, example]) in fields {
        let number = ObjectBuilder::new()
            .schema_type(Type::Number)
            .format(Some(SchemaFormat::KnownFormat(KnownFormat::Double)))
            .description(Some(format!("The same in {}.", unit.symbol())))
            .minimum(Some(*lowest))
            .maximum(Some(*highest))
            .examples([*example]);
        object = object.property(*name, number).required(*name);
    }
    object.into()
}

values! {
    /// A temperature.
    TemperatureValue(Temperature, celsius in C) { k: K, c: C, f: F }
    /// A difference between two temperatures.
    TemperatureDifferenceValue(TemperatureDifference, kelvins in DifferenceK) {
        k: DifferenceK, f: DifferenceF
    }
    /// A pressure counted from vacuum.
    AbsolutePressureValue(AbsolutePressure, bar in Bar) {
        pa: Pa, hpa: Hpa, kpa: Kpa, psi: Psi, inhg: InHg
    }
    /// A pressure above the atmosphere, as a gauge shows it.
    GaugePressureValue(GaugePressure, bar in Bar) { pa: Pa, bar: Bar, psi: Psi }
    /// A difference between two pressures.
    PressureDifferenceValue(PressureDifference, bar in Bar) { pa: Pa, bar: Bar, psi: Psi }
    /// Dissolved CO2. Volumes are of real gas at 0 °C, of ideal gas at 0 °C, and of real gas at
    /// 15 °C, each at one atmosphere.
    CarbonationValue(Carbonation, grams_per_litre in GPerL) {
        kg_per_m3: KgPerM3, g_per_l: GPerL, volumes: Volumes, ideal_volumes: IdealVolumes,
        volumes_at_15_c: WarmVolumes
    }
    /// Dissolved air, or one of its gases.
    AirContentValue(AirContent, milligrams_per_litre in MgPerL) {
        kg_per_m3: KgPerM3, mg_per_l: MgPerL
    }
    /// Chlorine, as Cl2.
    ChlorineValue(ChlorineResidual, milligrams_per_litre in MgPerL) {
        kg_per_m3: KgPerM3, mg_per_l: MgPerL
    }
    /// Sugar in a drink, by mass.
    SugarValue(SugarContent, brix in Brix) { kg_per_kg: PerOne, brix: Brix }
    /// CO2 in the air of a room, by volume.
    RoomAirValue(GasInRoom, ppm in Ppm) { m3_per_m3: PerOne, percent: Percent, ppm: Ppm }
    /// A volume.
    VolumeValue(Volume, litres in L) { m3: M3, l: L, us_gal: UsGal, us_fl_oz: UsFlOz }
    /// A mass.
    MassValue(Mass, kilograms in Kg) { kg: Kg, g: G, lb: Lb, oz: Oz }
    /// A span of time.
    TimeValue(TimeSpan, seconds in S) { s: S, min: Min, h: H, d: D }
    /// A length.
    LengthValue(Length, metres in M) { m: M, ft: Ft, inch: Inch }
    /// How much higher one end is than the other.
    LiftValue(Lift, metres in M) { m: M, ft: Ft, inch: Inch }
    /// Roughness of a wall.
    RoughnessValue(Roughness, millimetres in Mm) { m: M, mm: Mm }
    /// A height above sea level.
    ElevationValue(Elevation, metres in M) { m: M, ft: Ft }
    /// An area.
    AreaValue(Area, square_metres in M2) { m2: M2, ft2: Ft2 }
    /// A speed of air.
    SpeedValue(AirSpeed, metres_per_second in MPerS) { m_per_s: MPerS, ft_per_min: FtPerMin }
    /// How fast gas crosses a surface of water, kL.
    SurfaceTransferValue(SurfaceTransfer, metres_per_second in MPerS) {
        m_per_s: MPerS, cm_per_h: CmPerH
    }
    /// How fast the gap to equilibrium closes, kLa.
    MassTransferValue(MassTransfer, per_second in PerS) { per_s: PerS, per_h: PerH }
    /// A rate of heat or work.
    PowerValue(Power, watts in W) { w: W, btu_per_h: BtuPerH }
    /// Heat that flows out; negative while it flows in.
    HeatFlowValue(HeatFlow, watts in W) { w: W, btu_per_h: BtuPerH }
    /// An amount of heat.
    EnergyValue(Energy, joules in J) { j: J, kwh: Kwh, btu: Btu }
    /// Heat flow per kelvin of difference.
    ConductanceValue(Conductance, watts_per_kelvin in WPerK) {
        w_per_k: WPerK, btu_per_h_f: BtuPerHF
    }
    /// A flow of mass.
    MassFlowValue(MassFlow, kilograms_per_hour in KgPerH) {
        kg_per_s: KgPerS, kg_per_h: KgPerH, g_per_d: GPerD, lb_per_h: LbPerH
    }
    /// A flow of gas, as its volume at 15 °C and one atmosphere.
    GasFlowValue(GasFlow, litres_per_minute in LPerMin) {
        m3_per_s: M3PerS, l_per_min: LPerMin, ft3_per_h: Ft3PerH
    }
    /// A flow of water.
    WaterFlowValue(WaterFlow, litres_per_minute in LPerMin) {
        m3_per_s: M3PerS, l_per_min: LPerMin, us_gal_per_min: UsGalPerMin
    }
    /// A density.
    DensityValue(Density, kilograms_per_cubic_metre in KgPerM3) {
        kg_per_m3: KgPerM3, kg_per_l: KgPerL, lb_per_us_gal: LbPerUsGal
    }
    /// Heat in a kilogram, counted from water at 0 °C.
    SpecificEnergyValue(SpecificEnergy, joules_per_kilogram in JPerKg) {
        j_per_kg: JPerKg, kj_per_kg: KjPerKg, btu_per_lb: BtuPerLb
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn each_unit_holds_the_same_temperature() {
        let shown = TemperatureValue::of(Temperature::of(4.0));
        assert!((shown.k - 277.15).abs() < 1e-9);
        assert!((shown.c - 4.0).abs() < 1e-9);
        assert!((shown.f - 39.2).abs() < 1e-9);
    }

    #[test]
    fn the_contract_shows_the_bounds_of_the_quantity() {
        let schema = serde_json::to_value(TemperatureValue::schema()).unwrap();
        assert_eq!(schema["properties"]["c"]["minimum"], -60.0);
        assert_eq!(schema["properties"]["c"]["maximum"], 150.0);
        assert_eq!(schema["description"], "A temperature.");
    }
}
