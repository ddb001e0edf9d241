//! Calculations: each is one POST with one answer, and a list says which there are.

mod served;
mod tables;

use actix_web::{HttpResponse, get};
use serde::Serialize;
use utoipa::ToSchema;
use utoipa_actix_web::service_config::ServiceConfig;

use crate::app::calculations::{self, Calculate, Card, EquationNote, Visitor};
use served::Served;

pub(super) fn configure(app: &mut ServiceConfig<'_>) {
    app.service(list_calculations)
        .service(tables::list_limits)
        .configure(|app| calculations::each(&mut Serve(app)));
}

/// Registers each calculation.
struct Serve<'a, 'b>(&'a mut ServiceConfig<'b>);

impl Visitor for Serve<'_, '_> {
    fn visit<T: Calculate>(&mut self) {
        self.0.service(Served::<T>::NEW);
    }
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
    extensions(("x-anywhere" = json!(true))),
    responses((status = 200, description = "All calculations.", body = CalculationList))
)]
#[get("/v1/calculations")]
pub(crate) async fn list_calculations() -> HttpResponse {
    let calculations = calculations::cards().map(CalculationCard::from).collect();
    HttpResponse::Ok().json(CalculationList { calculations })
}
