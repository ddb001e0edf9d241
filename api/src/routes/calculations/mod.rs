//! Every part of `model` as a calculation: one POST, one answer. No physics here: each file asks
//! `model` and shows what it says.

mod air;
mod calculation;
mod calibration;
mod carbonation;
mod cooling;
mod dechlorination;
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
mod tables;
mod units;
mod uptake;
mod values;

use actix_web::{HttpResponse, get};
use serde::Serialize;
use serde_json::Value;
use utoipa::ToSchema;
use utoipa_actix_web::service_config::ServiceConfig;

use crate::domain::Refusal;

pub(crate) use calculation::Card;
use calculation::{Calculate, Served, run};
use notes::EquationNote;

/// Every calculation, in the order people read them, declared once for server, contract and list.
macro_rules! calculations {
    ($($Inputs:ty,)+) => {
        const CARDS: &[Card] = &[$(<$Inputs as Calculate>::CARD,)+];

        /// What answers each, in the order of the cards.
        const RUNS: &[Run] = &[$(run::<$Inputs>,)+];

        fn calculations(app: &mut ServiceConfig<'_>) {
            $(app.service(Served::<$Inputs>::NEW);)+
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

pub(super) fn configure(app: &mut ServiceConfig<'_>) {
    app.service(list_calculations)
        .service(tables::list_limits)
        .configure(calculations);
}

/// A calculation there is.
#[derive(Debug, Serialize, ToSchema)]
pub(crate) struct CalculationCard {
    /// Its name.
    #[schema(example = "carbonation/dissolved")]
    name: &'static str,
    /// What it gives, in a few words.
    #[schema(example = "CO2 a drink holds at a pressure")]
    title: &'static str,
    /// The question it answers, and what it leaves out.
    #[schema(example = "How much CO2 does a drink hold at this temperature and pressure?")]
    answers: &'static str,
    /// Where to POST its inputs.
    #[schema(example = "/v1/calculations/carbonation/dissolved")]
    link: String,
    /// The equations behind it, the one that sets the uncertainty first.
    equations: Vec<EquationNote>,
}

/// The calculations there are.
#[derive(Debug, Serialize, ToSchema)]
pub(crate) struct CalculationList {
    /// All calculations, in the order people read them.
    calculations: Vec<CalculationCard>,
}

impl From<&Card> for CalculationCard {
    fn from(card: &Card) -> Self {
        Self {
            name: card.name,
            title: card.title,
            answers: card.answers,
            link: format!("/v1/calculations/{}", card.name),
            equations: card.equations.iter().map(EquationNote::from).collect(),
        }
    }
}

/// List the calculations there are, with their sources.
#[utoipa::path(
    tag = "calculations",
    responses((status = 200, description = "All calculations.", body = CalculationList))
)]
#[get("/v1/calculations")]
pub(crate) async fn list_calculations() -> HttpResponse {
    let calculations = CARDS.iter().map(CalculationCard::from).collect();
    HttpResponse::Ok().json(CalculationList { calculations })
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
