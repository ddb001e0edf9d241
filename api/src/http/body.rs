//! A JSON body, read with errors that name the field.

use std::future::Future;
use std::pin::Pin;

use actix_web::dev::Payload;
use actix_web::error::PayloadError;
use actix_web::{FromRequest, HttpMessage, HttpRequest, web};
use futures_util::StreamExt;
use scheduler::check::Fault;
use serde::de::DeserializeOwned;
use serde_json::error::Category;

use super::arrival::Refused;
use super::read;
use crate::problem::{Kind, Problem};

/// The largest body, in bytes; ten times what the largest setup or week of demand takes.
pub(crate) const LARGEST_BODY: usize = 8 * 1024 * 1024;

/// A JSON body that holds a `T`. Unknown fields and values out of bounds are refused.
#[derive(Debug)]
pub(crate) struct Body<T>(pub(crate) T);

impl<T: DeserializeOwned + 'static> FromRequest for Body<T> {
    type Error = Problem;
    type Future = Pin<Box<dyn Future<Output = Result<Self, Problem>>>>;

    fn from_request(request: &HttpRequest, payload: &mut Payload) -> Self::Future {
        let marked = marked_as_json(request);
        let bytes = web::Bytes::from_request(request, payload);
        Box::pin(async move {
            marked?;
            let bytes = bytes.await.map_err(|error| unread(&error))?;
            parse(&bytes).map(Self)
        })
    }
}

fn marked_as_json(request: &HttpRequest) -> Result<(), Problem> {
    let found = request.content_type();
    let subtype = found.strip_prefix("application/").unwrap_or_default();
    if subtype.eq_ignore_ascii_case("json") || subtype.to_ascii_lowercase().ends_with("+json") {
        return Ok(());
    }
    let found = if found.is_empty() { "no type" } else { found };
    Err(Problem::new(
        Kind::UnsupportedMediaType,
        format!("{found} found in Content-Type; application/json is allowed"),
    ))
}

pub(super) fn unread(error: &actix_web::Error) -> Problem {
    let refused = error.as_error::<PayloadError>().and_then(refused);
    refused.map_or_else(
        || {
            Problem::new(
                Kind::BadJson,
                format!("the body could not be read: {error}"),
            )
        },
        Problem::from,
    )
}

/// Why the service itself does not take a body any further, if that is what has happened.
fn refused(error: &PayloadError) -> Option<Refused> {
    match error {
        PayloadError::Overflow => Some(Refused::Large { most: LARGEST_BODY }),
        PayloadError::Io(error) => error.get_ref()?.downcast_ref().copied(),
        _ => None,
    }
}

/// A whole body of at most so many bytes.
///
/// # Errors
/// It does not arrive, or is larger.
pub(crate) async fn whole(mut payload: Payload, most: usize) -> Result<Vec<u8>, Problem> {
    let mut bytes = Vec::new();
    while let Some(part) = payload.next().await {
        let part = part.map_err(|error| unread(&error.into()))?;
        if bytes.len() + part.len() > most {
            return Err(Refused::Large { most }.into());
        }
        bytes.extend_from_slice(&part);
    }
    Ok(bytes)
}

fn parse<T: DeserializeOwned>(bytes: &[u8]) -> Result<T, Problem> {
    if bytes.trim_ascii().is_empty() {
        return Err(Problem::new(
            Kind::BadJson,
            "the body is empty; a JSON document is expected",
        ));
    }
    // A list of values in the order of the fields would be taken for an object.
    if bytes.trim_ascii_start().starts_with(b"[") {
        let fault = Fault {
            field: "body".to_owned(),
            what: "a list was found; a JSON object is expected".to_owned(),
        };
        return Err(Problem::new(Kind::Invalid, fault.to_string()).with(vec![fault]));
    }
    let mut json = serde_json::Deserializer::from_slice(bytes);
    let value = read(&mut json).map_err(|(fault, error)| misread(fault, &error))?;
    json.end()
        .map_err(|error| Problem::new(Kind::BadJson, error.to_string()))?;
    Ok(value)
}

fn misread(fault: Fault, error: &serde_json::Error) -> Problem {
    match error.classify() {
        Category::Data => {
            let fault = Fault {
                field: if fault.field.is_empty() {
                    "body".to_owned()
                } else {
                    fault.field
                },
                ..fault
            };
            Problem::new(Kind::Invalid, fault.to_string()).with(vec![fault])
        }
        Category::Io | Category::Syntax | Category::Eof => {
            Problem::new(Kind::BadJson, error.to_string())
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::domain::plans::PlanRequest;

    fn check(body: &str, status: u16, field: &str, part: &str) {
        let problem = parse::<PlanRequest>(body.as_bytes()).unwrap_err();
        let document = problem.document();
        assert_eq!(document.status, status, "{body}");
        assert!(
            document.detail.contains(part),
            "{body}: {}",
            document.detail
        );
        let fields: Vec<&str> = document.errors.iter().map(|e| e.field.as_str()).collect();
        assert_eq!(fields.join(" "), field, "{body}");
    }

    #[test]
    fn what_is_wrong_with_a_body_is_named() {
        let start = r#""start": "2026-06-01T06:00:00+01:00""#;
        check("", 400, "", "empty");
        check("{", 400, "", "EOF");
        check("[1, 2]", 422, "body", "a list was found");
        check("7", 422, "body", "invalid type");
        check(
            &format!("{{{start}, \"dayz\": 7}}"),
            422,
            "dayz",
            "unknown field `dayz`",
        );
        check(
            &format!("{{{start}, \"days\": -1}}"),
            422,
            "days",
            "invalid value",
        );
        check(
            &format!("{{{start}, \"days\": 7, \"grid_minutes\": 20}}"),
            422,
            "grid_minutes",
            "15, 30 and 60 are allowed",
        );
        check(
            &format!("{{{start}, \"days\": 7, \"grid_minutes\": 30, \"gap\": 2}}"),
            422,
            "gap",
            "outside what gap allows",
        );
    }
}
