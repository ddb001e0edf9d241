//! What every handler needs from the protocol: bodies, paths, queries, preconditions, request ids.

mod actor;
mod admission;
mod answering;
mod arrival;
mod arriving;
mod body;
mod budget;
mod cache;
mod client;
mod cookies;
mod cors;
mod forwarded;
mod frontend;
mod guard;
mod if_match;
mod operations;
mod pace;
mod paths;
mod precondition;
mod protection;
mod query;
pub(crate) mod refusals;
mod repeats;
mod request;
mod retiring;
mod route;
mod shown_once;
mod slow_refusal;
pub(crate) mod sse;
mod state;
mod typed_path;
mod unmatched;
mod uploads;

pub(crate) use actor::{CSRF, Standing, recognise};
pub(crate) use admission::{PathSubject, admitted};
pub(crate) use answering::answering;
pub(crate) use arrival::{arrive, sent_by};
pub(crate) use arriving::while_it_arrives;
pub(crate) use body::{Body, LARGEST_BODY, whole};
pub(crate) use client::client_network;
pub(crate) use cookies::{
    SESSION_COOKIE, attempt_of, choice_cookie, choice_of, ended_session_cookie, session_cookies,
    session_of,
};
pub(crate) use cors::cors;
pub(crate) use frontend::Frontend;
pub(crate) use guard::{changes, guard};
pub(crate) use if_match::{IfMatch, strong_tag, tag_of};
pub(crate) use operations::{ANYWHERE, MatchedOperation, Operation, Operations, usual};
pub(crate) use paths::SitePath;
pub(crate) use precondition::{Precondition, etag};
pub(crate) use protection::protect;
pub(crate) use query::Params;
pub(crate) use request::{RequestId, follow};
#[cfg(test)]
pub(crate) use retiring::Retiring;
pub(crate) use route::{Route, path_of};
pub(crate) use shown_once::shown_once;
pub(crate) use slow_refusal::refuse_slowly;
pub(crate) use state::HttpState;
pub(crate) use typed_path::{Admitted, TypedPath};
pub(crate) use unmatched::unmatched;

use scheduler::check::Fault;
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
