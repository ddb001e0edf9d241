//! How a calculation is served and published.

use std::marker::PhantomData;

use actix_web::dev::{AppService, HttpServiceFactory};
use actix_web::{HttpResponse, Resource, guard, web};
use utoipa::__dev::ComposeSchema;
use utoipa::openapi::extensions::ExtensionsBuilder;
use utoipa::openapi::path::{HttpMethod, OperationBuilder, PathItem, Paths, PathsBuilder};
use utoipa::openapi::request_body::RequestBodyBuilder;
use utoipa::openapi::schema::RefBuilder;
use utoipa::openapi::{
    ContentBuilder, Ref, RefOr, Required, ResponseBuilder, ResponsesBuilder, Schema,
};
use utoipa::{PartialSchema, ToSchema};
use utoipa_actix_web::OpenApiFactory;

use crate::app::calculations::{Calculate, Calculation, Card, reply};
use crate::domain::Refusal;
use crate::http::{ANYWHERE, Body};
use crate::problem::{Kind, Problem, responses};

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
        let anywhere = ExtensionsBuilder::new().add(ANYWHERE, true).build();
        let operation = OperationBuilder::new()
            .extensions(Some(anywhere))
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

/// Answers one request, away from the threads that take requests.
async fn answer<T: Calculate>(Body(inputs): Body<T>) -> Result<HttpResponse, Problem> {
    let reply = web::block(move || reply(&inputs))
        .await
        .map_err(|error| Problem::from(Refusal::internal(error)))?;
    Ok(HttpResponse::Ok().json(reply?))
}
