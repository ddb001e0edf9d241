//! Links: which operation takes what another one has answered.

use serde_json::{Value, json};

/// An operation, the status of its answer, and what of it another operation takes.
const LINKS: [(&str, &str, &str, &str, &str); 15] = [
    ("create_site", "201", "read_site", "site", "/id"),
    ("create_site", "201", "read_setup", "site", "/id"),
    ("create_site", "201", "list_demand", "site", "/id"),
    ("create_site", "201", "read_stock", "site", "/id"),
    ("create_site", "201", "list_plans", "site", "/id"),
    ("request_plan", "202", "read_plan", "plan", "/id"),
    ("request_plan", "202", "cancel_plan", "plan", "/id"),
    ("request_plan", "202", "list_plan_work", "plan", "/id"),
    ("request_plan", "202", "read_plan_scenario", "plan", "/id"),
    ("create_key", "201", "read_key", "key", "/id"),
    ("create_key", "201", "revoke_key", "key", "/id"),
    ("add_person", "201", "read_person", "person", "/id"),
    ("add_person", "201", "change_person", "person", "/id"),
    ("add_person", "201", "remove_person", "person", "/id"),
    ("list_sites", "200", "read_site", "site", "/sites/0/id"),
];

/// Writes the links into the contract.
pub(super) fn add(contract: &mut Value) {
    let paths = contract["paths"].as_object_mut().into_iter().flatten();
    for (_, item) in paths {
        let operations = item.as_object_mut().into_iter().flatten();
        for (_, operation) in operations {
            let id = operation["operationId"]
                .as_str()
                .unwrap_or_default()
                .to_owned();
            let from_here = LINKS.iter().filter(|(from, ..)| *from == id);
            for (_, status, to, parameter, pointer) in from_here {
                let source = format!("$response.body#{pointer}");
                operation["responses"][status]["links"][to] = json!({
                    "operationId": to,
                    "parameters": { *parameter: source },
                    "description": format!("Its `{parameter}`."),
                });
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::LINKS;

    #[test]
    fn every_link_leads_from_one_operation_to_another() {
        let contract = crate::contract::document().unwrap();
        let mut found = 0;
        let text = contract.to_string();
        for (from, _, to, ..) in LINKS {
            for name in [from, to] {
                assert!(
                    text.contains(&format!("\"operationId\":\"{name}\"")),
                    "{name}"
                );
            }
            found += text
                .matches(&format!("\"{to}\":{{\"description\":\"Its "))
                .count()
                .min(1);
        }
        assert_eq!(found, LINKS.len());
    }
}
