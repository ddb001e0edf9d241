//! Every part of `model` as a calculation: inputs in, one answer out. No physics here: each file
//! asks `model` and shows what it says.

mod air;
mod calculation;
mod calibration;
mod carbonation;
mod cooling;
mod dechlorination;
mod dispensing;
mod gas;
mod headspace;
mod heating;
mod ice;
mod inputs;
mod limits;
mod minding;
mod notes;
mod properties;
mod refused;
mod series;
mod serving;
mod site;
mod units;
mod uptake;
mod values;

use serde_json::Value;

use crate::domain::Refusal;

use calculation::run;
pub(crate) use calculation::{Calculate, Calculation, Card, reply};
pub(crate) use notes::{CautionNote, EquationNote, EvidenceNote};

/// Something that is to be done for each calculation, by the type of its inputs.
pub(crate) trait Visitor {
    /// Does it for one.
    fn visit<T: Calculate>(&mut self);
}

/// Every calculation, in the order people read them, declared once for server, contract, list and
/// pages.
macro_rules! calculations {
    ($($Inputs:ty,)+) => {
        const CARDS: &[Card] = &[$(<$Inputs as Calculate>::CARD,)+];

        /// What answers each, in the order of the cards.
        const RUNS: &[Run] = &[$(run::<$Inputs>,)+];

        /// Shows each calculation to a visitor, in the order people read them.
        pub(crate) fn each(visitor: &mut impl Visitor) {
            $(visitor.visit::<$Inputs>();)+
        }
    };
}

calculations! {
    carbonation::DissolvedInputs,
    carbonation::PressureInputs,
    air::SaturationInputs,
    air::AfterHeatingInputs,
    air::RemovalInputs,
    air::ReaerationInputs,
    headspace::SealedKegInputs,
    headspace::PurgesInputs,
    heating::HeatInputs,
    heating::HeatingTimeInputs,
    heating::OpenPotInputs,
    heating::SteamInputs,
    ice::IceNeededInputs,
    ice::IceMixInputs,
    ice::IceBathInputs,
    cooling::CoolingKegInputs,
    cooling::StoreInputs,
    uptake::still::StillInputs,
    uptake::shaken::ShakenInputs,
    uptake::sparged::SpargedInputs,
    uptake::sparged::StoneInputs,
    uptake::target::TimeToTargetInputs,
    dechlorination::AscorbateInputs,
    dechlorination::DoseCoversInputs,
    dechlorination::CarbonFilterInputs,
    gas::KegBudgetInputs,
    gas::FillingInputs,
    gas::CylinderInputs,
    gas::DrawOffInputs,
    limits::kegs::VesselInputs,
    limits::kegs::WarmingInputs,
    limits::kegs::FillInputs,
    limits::kegs::GlassFillInputs,
    limits::kegs::FreezingInputs,
    limits::room::RoomInputs,
    limits::food::FoodIceInputs,
    limits::food::CoolingTimeInputs,
    limits::plumbing::BackflowInputs,
    limits::plumbing::CopperInputs,
    dispensing::LineFlowInputs,
    dispensing::LinePressureInputs,
    dispensing::LineLengthInputs,
    serving::YieldInputs,
    serving::WarmGlassInputs,
    serving::GlassIceInputs,
    serving::OnTapInputs,
    calibration::cooling::ColdPlaceInputs,
    calibration::heater::HeaterInputs,
    calibration::doses::IceFactorInputs,
    calibration::doses::DoseFactorInputs,
    calibration::kegs::AirFactorInputs,
    calibration::kegs::PurgeWorthInputs,
    calibration::kegs::MassTransferInputs,
    calibration::instruments::GaugeOffsetInputs,
    calibration::instruments::ThermometerOffsetInputs,
    calibration::gas::GasUseInputs,
    units::AtmosphereInputs,
    units::BoilingInputs,
    units::GaugeInputs,
    units::ConvertInputs,
    properties::WaterInputs,
    properties::SteamPropertiesInputs,
    properties::IceInputs,
    properties::AcidityInputs,
    properties::GasInputs,
    properties::CylinderPressureInputs,
}

type Run = fn(Value) -> Result<Value, Refusal>;

/// The calculations there are, in the order people read them.
pub(crate) fn cards() -> impl Iterator<Item = &'static Card> {
    CARDS.iter()
}

/// Answers a calculation by its name, from JSON to JSON.
pub(crate) fn calculate(name: &str, inputs: Value) -> Result<Value, Refusal> {
    let mut known = CARDS.iter().zip(RUNS);
    let found = known.find(|(card, _)| card.name == name);
    let (_, run) = found.ok_or_else(|| Refusal::internal(format!("no calculation {name}")))?;
    run(inputs)
}

#[cfg(test)]
mod tests {
    use super::CARDS;

    #[test]
    fn each_card_is_complete_and_its_example_is_json() {
        for card in CARDS {
            assert!(!card.equations.is_empty(), "{card:?}");
            assert!(!card.blamed.is_empty(), "{card:?}");
            assert!(
                card.answers.ends_with('.') || card.answers.ends_with('?'),
                "{card:?}"
            );
            let example: serde_json::Value = serde_json::from_str(card.example).unwrap();
            assert!(example.is_object(), "{card:?}");
        }
    }
}
