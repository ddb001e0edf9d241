//! The query of a request, read with errors that name the parameter.

use std::future::{Ready, ready};

use actix_web::dev::Payload;
use actix_web::{FromRequest, HttpRequest};
use scheduler::check::Fault;
use serde::de::DeserializeOwned;

use super::read;
use crate::problem::{Kind, Problem};

/// The parameters after the question mark. Unknown ones are refused.
#[derive(Debug)]
pub(crate) struct Params<T>(pub(crate) T);

impl<T: DeserializeOwned> FromRequest for Params<T> {
    type Error = Problem;
    type Future = Ready<Result<Self, Problem>>;

    fn from_request(request: &HttpRequest, _: &mut Payload) -> Self::Future {
        ready(parse(request.query_string()).map(Self))
    }
}

fn parse<T: DeserializeOwned>(query: &str) -> Result<T, Problem> {
    let source = serde_urlencoded::Deserializer::new(form_urlencoded::parse(query.as_bytes()));
    read(source).map_err(|(fault, _)| {
        let fault = Fault {
            field: if fault.field.is_empty() {
                "query".to_owned()
            } else {
                fault.field
            },
            ..fault
        };
        let hint = if query.contains('+') {
            "; a plus sign in a query is written %2B"
        } else {
            ""
        };
        Problem::new(Kind::BadQuery, format!("{fault}{hint}")).with(vec![fault])
    })
}

#[cfg(test)]
mod tests {
    use chrono::{DateTime, FixedOffset};
    use scheduler::scenario::instants;
    use serde::Deserialize;

    use super::*;

    #[derive(Debug, Deserialize)]
    #[serde(rename_all = "snake_case")]
    enum Kind {
        Boil,
        Gas,
    }

    #[derive(Debug, Deserialize)]
    #[serde(deny_unknown_fields)]
    struct Asked {
        #[serde(default, deserialize_with = "instants::instant_if_any")]
        from: Option<DateTime<FixedOffset>>,
        kind: Option<Kind>,
    }

    fn check(query: &str, part: &str) {
        let detail = parse::<Asked>(query).unwrap_err().document().detail;
        assert!(detail.contains(part), "{query}: {detail}");
    }

    #[test]
    fn what_is_wrong_with_a_query_is_named() {
        let Params(asked) = parse("from=2026-06-01T00:00:00%2B01:00&kind=boil")
            .map(Params::<Asked>)
            .unwrap();
        assert!(asked.from.is_some() && matches!(asked.kind, Some(Kind::Boil)));
        check("since=1", "unknown field `since`");
        check("kind=bake", "kind: ");
        check("from=2026-06-01T00:00:00+01:00", "%2B");
        check("kind=boil&kind=gas", "duplicate field");
    }
}
