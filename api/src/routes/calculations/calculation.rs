//! One calculation: its card, its reply, and how it is served and published.

use std::marker::PhantomData;

use actix_web::dev::{AppService, HttpServiceFactory};
use actix_web::{HttpResponse, Resource, guard, web};
use model::about::Equation;
use serde::Serialize;
use serde_json::Value;
use utoipa::__dev::ComposeSchema;
use utoipa::openapi::path::{HttpMethod, OperationBuilder, PathItem, Paths, PathsBuilder};
use utoipa::openapi::request_body::RequestBodyBuilder;
use utoipa::openapi::schema::RefBuilder;
use utoipa::openapi::{
    ContentBuilder, Ref, RefOr, Required, ResponseBuilder, ResponsesBuilder, Schema,
};
use utoipa::{PartialSchema, ToSchema};
use utoipa_actix_web::OpenApiFactory;

use super::inputs::Inputs;
use super::notes::{CautionNote, EquationNote, UncertaintyNote, ValidRange};
use super::refused::Refused;
use crate::domain::Refusal;
use crate::http::Body;
use crate::problem::{Kind, Problem, responses};

/// What a calculation is called and rests on.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Card {
    /// Its path below `/v1/calculations/`.
    pub(crate) name: &'static str,
    /// What it gives, in a few words.
    pub(crate) title: &'static str,
    /// The question it answers, and what it leaves out.
    pub(crate) answers: &'static str,
    /// The equations behind it, the one that sets the uncertainty first.
    pub(crate) equations: &'static [Equation],
    /// The fields to change when inputs that are each in range have no answer.
    pub(super) blamed: &'static [&'static str],
    /// A body to start from, as JSON.
    pub(crate) example: &'static str,
}

/// A calculation, told by the type of its inputs.
pub(super) trait Calculate: Inputs {
    /// What it gives.
    type Answer: Serialize + ToSchema + Send + 'static;

    /// What it is called and rests on.
    const CARD: Card;

    /// Asks `model`.
    fn calculate(&self) -> Result<Calculated<Self::Answer>, Refused>;
}

/// An answer, and what to mind about it.
#[derive(Debug)]
pub(super) struct Calculated<A> {
    answer: A,
    cautions: Vec<CautionNote>,
}

impl<A> Calculated<A> {
    /// An answer without cautions so far.
    pub(super) fn new(answer: A) -> Self {
        Self {
            answer,
            cautions: Vec::new(),
        }
    }

    /// Adds something to mind.
    pub(super) fn mind(mut self, caution: impl Into<CautionNote>) -> Self {
        self.cautions.push(caution.into());
        self
    }

    /// Adds something to mind where it applies.
    pub(super) fn mind_if(self, applies: bool, caution: impl Into<CautionNote>) -> Self {
        if applies { self.mind(caution) } else { self }
    }

    /// Adds several.
    pub(super) fn mind_all(mut self, cautions: impl IntoIterator<Item = CautionNote>) -> Self {
        self.cautions.extend(cautions);
        self
    }
}

/// The answer of a calculation with everything needed to judge it.
#[derive(Debug, Serialize, ToSchema)]
pub(super) struct Calculation<I, A> {
    /// What was calculated with, in SI and the units people use, defaults filled in.
    inputs: I,
    /// The answer, in SI and the units people use.
    answer: A,
    /// The equations behind it, the one that sets the uncertainty first.
    equations: Vec<EquationNote>,
    /// The range each input may have; outside it there is an error, never an extrapolation.
    valid: Vec<ValidRange>,
    /// How far off the answer may be for exact inputs.
    uncertainty: UncertaintyNote,
    /// What to mind; empty where nothing is known.
    cautions: Vec<CautionNote>,
}

/// Answers one request, away from the threads that take requests.
async fn answer<T: Calculate>(Body(inputs): Body<T>) -> Result<HttpResponse, Problem> {
    let reply = web::block(move || reply(&inputs))
        .await
        .map_err(|error| Problem::from(Refusal::internal(error)))?;
    Ok(HttpResponse::Ok().json(reply?))
}

/// Answers from JSON to JSON, for whoever does not know the calculation by its type.
pub(super) fn run<T: Calculate>(inputs: Value) -> Result<Value, Refusal> {
    let inputs: T = serde_path_to_error::deserialize(inputs).map_err(|error| {
        Refusal::field(error.path().to_string(), error.into_inner().to_string())
    })?;
    serde_json::to_value(reply(&inputs)?).map_err(Refusal::internal)
}

/// The whole reply.
fn reply<T: Calculate>(inputs: &T) -> Result<Calculation<T::Echo, T::Answer>, Refusal> {
    let card = T::CARD;
    let refused = |refused: Refused| refused.naming(card.blamed);
    let echo = inputs.echo().map_err(refused)?;
    let found = inputs.calculate().map_err(refused)?;
    let main = card
        .equations
        .first()
        .ok_or_else(|| Refusal::internal(format!("{} names no equation", card.name)))?;
    Ok(Calculation {
        inputs: echo,
        answer: found.answer,
        equations: card.equations.iter().map(EquationNote::from).collect(),
        valid: T::valid(),
        uncertainty: main.uncertainty.into(),
        cautions: found.cautions,
    })
}

/// A calculation as the server and the contract take it.
pub(super) struct Served<T>(PhantomData<T>);

impl<T: Calculate> Served<T> {
    pub(super) const NEW: Self = Self(PhantomData);

    fn path() -> String {
        format!("/v1/calculations/{}", T::CARD.name)
    }

    /// Name of the reply in the contract, such as `CarbonationDissolvedCalculation`.
    fn reply_name() -> String {
        let words = T::CARD.name.split(['/', '-']);
        let mut name: String = words.map(capitalised).collect();
        name.push_str("Calculation");
        name
    }
}

fn capitalised(word: &str) -> String {
    let mut letters = word.chars();
    let first = letters.next().map(|letter| letter.to_ascii_uppercase());
    first.into_iter().chain(letters).collect()
}

impl<T: Calculate> HttpServiceFactory for Served<T> {
    fn register(self, config: &mut AppService) {
        let resource = Resource::new(Self::path()).guard(guard::Post());
        resource.to(answer::<T>).register(config);
    }
}

impl<T: Calculate> OpenApiFactory for Served<T> {
    fn paths(&self) -> Paths {
        let card = T::CARD;
        let example: Option<serde_json::Value> = serde_json::from_str(card.example).ok();
        let body = ContentBuilder::new()
            .schema(Some(Ref::from_schema_name(T::name())))
            .example(example)
            .build();
        let reply = ContentBuilder::new()
            .schema(Some(Ref::from_schema_name(Self::reply_name())))
            .build();
        let well = ResponseBuilder::new()
            .description("The answer, with what is needed to judge it.")
            .content("application/json", reply);
        let problems = responses(&[
            Kind::BadJson,
            Kind::BodyTooLarge,
            Kind::UnsupportedMediaType,
            Kind::Invalid,
            Kind::NoAnswer,
            Kind::Internal,
        ]);
        let responses = ResponsesBuilder::new()
            .response("200", well)
            .responses_from_iter(problems);
        let operation = OperationBuilder::new()
            .tag("calculations")
            .summary(Some(card.title))
            .description(Some(description(&card)))
            .operation_id(Some(format!(
                "calculate_{}",
                card.name.replace(['/', '-'], "_")
            )))
            .request_body(Some(
                RequestBodyBuilder::new()
                    .description(Some("What to calculate with."))
                    .content("application/json", body)
                    .required(Some(Required::True))
                    .build(),
            ))
            .responses(responses.build());
        PathsBuilder::new()
            .path(Self::path(), PathItem::new(HttpMethod::Post, operation))
            .build()
    }

    fn schemas(&self, schemas: &mut Vec<(String, RefOr<Schema>)>) {
        let reference = |name: std::borrow::Cow<'_, str>, description: &str| {
            RefBuilder::new()
                .ref_location_from_schema_name(name)
                .description(Some(description))
                .into()
        };
        let inputs =
            "What was calculated with, in SI and the units people use, defaults filled in.";
        let answer = "The answer, in SI and the units people use.";
        let reply = <Calculation<T::Echo, T::Answer> as ComposeSchema>::compose(vec![
            reference(T::Echo::name(), inputs),
            reference(T::Answer::name(), answer),
        ]);
        schemas.push((Self::reply_name(), reply));
        schemas.push((T::name().into_owned(), T::schema()));
        schemas.push((T::Echo::name().into_owned(), T::Echo::schema()));
        schemas.push((T::Answer::name().into_owned(), T::Answer::schema()));
        T::schemas(schemas);
        Calculation::<T::Echo, T::Answer>::schemas(schemas);
        T::Echo::schemas(schemas);
        T::Answer::schemas(schemas);
    }
}

/// What the contract says of a calculation.
fn description(card: &Card) -> String {
    let mut text = card.answers.to_owned();
    for equation in card.equations {
        text += &format!(
            "\n\n*{}*: {} ({}). Valid: {}. Uncertainty: {}.",
            equation.gives,
            equation.form,
            equation.source,
            equation.valid,
            equation.uncertainty.says
        );
    }
    text
}
