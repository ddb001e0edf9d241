//! Problems as the contract lists them for each operation.

use std::collections::BTreeMap;

use utoipa::openapi::{ContentBuilder, Ref, RefOr, Response, ResponseBuilder};

use super::{Kind, MEDIA_TYPE, ProblemDocument};

/// Names the kinds of problem an operation can answer with, for its contract.
macro_rules! problems {
    ($($(#[$doc:meta])* $name:ident: $($kind:ident),+;)*) => {$(
        $(#[$doc])*
        struct $name;

        impl utoipa::IntoResponses for $name {
            fn responses() -> std::collections::BTreeMap<
                String,
                utoipa::openapi::RefOr<utoipa::openapi::Response>,
            > {
                $crate::problem::responses(&[$($crate::problem::Kind::$kind),+])
            }
        }
    )*};
}
pub(crate) use problems;

/// The responses of these kinds, one for each status.
pub(crate) fn responses(kinds: &[Kind]) -> BTreeMap<String, RefOr<Response>> {
    let mut by_status: BTreeMap<u16, Vec<Kind>> = BTreeMap::new();
    for kind in kinds {
        by_status.entry(kind.status()).or_default().push(*kind);
    }
    by_status
        .into_iter()
        .map(|(status, kinds)| (status.to_string(), response(&kinds).into()))
        .collect()
}

fn response(kinds: &[Kind]) -> Response {
    let titles: Vec<String> = kinds
        .iter()
        .map(|kind| format!("{} (`{}`).", kind.title(), kind.code()))
        .collect();
    let example = kinds.first().map(|kind| ProblemDocument::of(*kind, kind.advice(), &[]));
    let content = ContentBuilder::new()
        .schema(Some(Ref::from_schema_name("ProblemDocument")))
        .example(example.and_then(|document| serde_json::to_value(document).ok()))
        .build();
    ResponseBuilder::new().description(titles.join(" ")).content(MEDIA_TYPE, content).build()
}
