//! Every calculation over HTTP, driven by the contract alone.

mod bounds;
mod cautions;
mod contract;
mod list;
mod random;
mod reference;

use serde_json::Value;
use tests::Server;

/// The answer of a calculation.
fn ask(server: &Server, name: &str, body: &Value) -> Value {
    server.post(&format!("/v1/calculations/{name}"), body).ok()
}

/// A number in a reply, by its JSON pointer.
fn number(reply: &Value, pointer: &str) -> f64 {
    let found = reply.pointer(pointer).and_then(Value::as_f64);
    found.unwrap_or_else(|| panic!("no number at {pointer}: {reply}"))
}
