//! The contract as a server publishes it, with what is said once for several operations put back
//! where it holds.

use serde_json::Value;

use crate::Server;

/// The contract of a server, without references to shared responses and parameters.
///
/// # Panics
/// If the server has none.
#[must_use]
pub fn of(server: &Server) -> Value {
    put_back(server.get("/openapi.json").ok())
}

/// A contract without references to shared responses and parameters, in which each operation says
/// itself who may ask.
///
/// # Panics
/// If it is not a contract.
#[must_use]
pub fn put_back(mut contract: Value) -> Value {
    let components = contract["components"].clone();
    let security = contract["security"].clone();
    let paths = contract["paths"].as_object_mut().expect("paths");
    for operation in paths.values_mut().flat_map(|item| {
        let operations = item.as_object_mut().expect("operations of a path");
        operations.values_mut()
    }) {
        let fields = operation.as_object_mut().expect("an operation");
        let _ = fields.entry("security").or_insert(security.clone());
        let responses = operation["responses"].as_object_mut().expect("responses");
        responses
            .values_mut()
            .for_each(|one| found(&components, one));
        if let Some(Value::Array(parameters)) = operation.get_mut("parameters") {
            parameters
                .iter_mut()
                .for_each(|one| found(&components, one));
        }
    }
    contract
}

fn found(components: &Value, one: &mut Value) {
    let Some(reference) = one.get("$ref").and_then(Value::as_str) else {
        return;
    };
    let pointer = reference.strip_prefix("#/components").expect("a reference");
    *one = components.pointer(pointer).expect("it is there").clone();
}
