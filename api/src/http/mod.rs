//! What every handler needs from the protocol: bodies, paths, queries, preconditions, request ids.

mod body;
mod place;
mod precondition;
mod query;
mod request;
pub(crate) mod sse;
mod unmatched;

pub(crate) use body::{Body, LARGEST_BODY};
pub(crate) use place::At;
pub(crate) use precondition::{Precondition, etag};
pub(crate) use query::Params;
pub(crate) use request::follow;
pub(crate) use unmatched::{Paths, unmatched};

use scheduler::scenario::Fault;
use serde::de::DeserializeOwned;

/// Reads a value and says which field is wrong if it cannot.
fn read<'de, T, D>(source: D) -> Result<T, (Fault, D::Error)>
where
    T: DeserializeOwned,
    D: serde::Deserializer<'de>,
    D::Error: std::fmt::Display,
{
    serde_path_to_error::deserialize(source).map_err(|error| {
        let field = match error.path().to_string().as_str() {
            "." => String::new(),
            path => path.to_owned(),
        };
        let what = error.inner().to_string();
        (Fault { field, what }, error.into_inner())
    })
}
