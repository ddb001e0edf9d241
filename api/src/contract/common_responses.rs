//! What holds for all operations, written into each: who may ask, repeats, and too many requests.

use serde_json::{Value, json};

use crate::domain::access::Scope;
use crate::http::usual;
use crate::problem::{Kind, responses};

/// Adds to each operation what its handler need not say.
pub(super) fn add(contract: &mut Value) {
    contract["components"]["securitySchemes"] = json!({
        "key": {
            "type": "http",
            "scheme": "bearer",
            "description": "An API key, as POST /v1/keys shows it once.",
        },
        "session": {
            "type": "apiKey",
            "in": "cookie",
            "name": crate::http::SESSION_COOKIE,
            "description": "The cookie POST /v1/session sets. Changes also need X-CSRF-Token.",
        },
    });
    let paths = contract["paths"].as_object_mut().into_iter().flatten();
    for (path, item) in paths {
        let operations = item.as_object_mut().into_iter().flatten();
        for (method, operation) in operations {
            conditions(operation);
            bodies(operation, method);
            if let Some(scope) = secure(operation, method, path) {
                behave(operation, method, scope);
            }
        }
    }
}

/// Says what can stand in the headers of a condition: ETags as this service gives them out, or any.
fn conditions(operation: &mut Value) {
    // An index would add what is not there.
    let parameters = operation.get_mut("parameters");
    let parameters = parameters.and_then(Value::as_array_mut);
    for parameter in parameters.into_iter().flatten() {
        if parameter["in"] != "header" {
            continue;
        }
        let any = json!({ "type": "string", "enum": ["*"] });
        let tags = "^(W/)?\"[0-9a-z]+\"(, (W/)?\"[0-9a-z]+\")*$";
        parameter["schema"] = match parameter["name"].as_str() {
            Some("If-Match") => json!({ "anyOf": [any, { "type": "string", "pattern": tags }] }),
            Some("If-None-Match") => any,
            _ => continue,
        };
    }
}

/// Says how a body is refused before it is read.
fn bodies(operation: &mut Value, method: &str) {
    // What has no body in the contract may be sent one, and a repeat reads it.
    if operation.get("requestBody").is_some() || method == "post" {
        let kinds = [
            Kind::RequestTimeout,
            Kind::UnsupportedEncoding,
            Kind::TooMany,
        ];
        answer(operation, &kinds);
    }
}

/// Says which scope an operation takes; none if it is open to all.
fn secure(operation: &mut Value, method: &str, path: &str) -> Option<Scope> {
    let said = operation["security"].as_array();
    let ways = said.map(|ways| ways.iter().filter_map(|way| way.get("key")).next());
    let scope = match ways {
        Some(Some(scopes)) => scopes[0].as_str().and_then(|said| said.parse().ok()),
        Some(None) => None,
        None => Some(usual(method, path)),
    };
    let Some(scope) = scope else {
        operation["security"] = json!([]);
        return None;
    };
    operation["security"] = takes(scope);
    Some(scope)
}

/// What an operation that takes a scope asks of whoever calls it.
pub(super) fn takes(scope: Scope) -> Value {
    json!([{ "key": [scope.into_str()] }, { "session": [scope.into_str()] }])
}

/// Says what can be answered to anybody.
fn behave(operation: &mut Value, method: &str, scope: Scope) {
    let mut kinds = vec![
        Kind::Unauthenticated,
        Kind::Forbidden,
        Kind::TooMany,
        Kind::StorageUnavailable,
    ];
    if method != "get" {
        kinds.push(Kind::OutcomeUnknown);
        kinds.push(Kind::CsrfRequired);
    }
    if method == "post" && scope > Scope::Read {
        kinds.extend([
            Kind::BadHeader,
            Kind::RepeatUnderway,
            Kind::AnswerLost,
            Kind::RepeatDiffers,
        ]);
        let repeat = json!({
            "name": "Idempotency-Key",
            "in": "header",
            "required": false,
            "description": "The caller's name for this request. Sent again within 24 hours, the \
                request is answered as before and done once.",
            "schema": { "type": "string", "minLength": 1, "maxLength": 200 },
            "example": "order-2026-0614",
        });
        match operation["parameters"].as_array_mut() {
            Some(list) => list.push(repeat),
            None => operation["parameters"] = json!([repeat]),
        }
    }
    answer(operation, &kinds);
}

/// Adds to an operation what it can be answered besides.
fn answer(operation: &mut Value, kinds: &[Kind]) {
    let mut kinds = kinds.to_vec();
    kinds.retain(|kind| {
        let response = &operation["responses"][kind.status().to_string()];
        let said = response["description"].as_str().unwrap_or_default();
        !said.contains(&format!("(`{}`)", kind.code()))
    });
    for (status, response) in responses(&kinds) {
        let response = serde_json::to_value(response).unwrap_or_default();
        let known = &mut operation["responses"][&status];
        if let (Some(text), Some(more)) = (
            known["description"].as_str(),
            response["description"].as_str(),
        ) {
            known["description"] = json!(format!("{text} {more}"));
        } else {
            *known = response;
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn checked(method: &str, operation: Value) -> Value {
        let mut contract = json!({ "components": {}, "paths": { "/v1/x": { method: operation } } });
        add(&mut contract);
        contract["paths"]["/v1/x"][method].take()
    }

    #[test]
    fn what_is_said_stays_and_what_is_not_follows_the_method() {
        let scope = |method: &str, operation: Value| {
            let operation = checked(method, operation);
            operation["security"][0]["key"][0].clone()
        };
        assert_eq!(scope("get", json!({})), "read");
        assert_eq!(scope("delete", json!({})), "plan");
        let floor = json!({ "security": [{ "key": ["floor"] }] });
        assert_eq!(scope("post", floor), "floor");
        let open = checked("get", json!({ "security": [{}] }));
        assert_eq!(open, json!({ "security": [] }));
    }

    #[test]
    fn a_status_that_is_there_says_both() {
        let operation = checked(
            "post",
            json!({ "responses": { "409": { "description": "One." } } }),
        );
        let text = operation["responses"]["409"]["description"]
            .as_str()
            .unwrap();
        assert!(
            text.starts_with("One. ") && text.contains("repeat_underway"),
            "{text}"
        );
        assert!(operation["responses"]["401"]["description"].is_string());
    }
}
