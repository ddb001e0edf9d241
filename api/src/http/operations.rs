//! The operations of the contract: which path and method takes what, and which scope it asks for.

use std::sync::Arc;

use actix_web::dev::{Path, ResourceDef, Url};
use serde_json::Value;

use super::retiring::Retiring;
use crate::domain::access::Scope;

/// One operation of the contract.
#[derive(Debug, Clone)]
pub(crate) struct Operation {
    pub(crate) id: String,
    /// Its path, with the names of the parts that differ: what may be logged of a request.
    pub(crate) path: String,
    /// What it asks for; nothing where it is open to all.
    pub(crate) scope: Option<Scope>,
    /// Whether callers limited to sites may ask it though its path names none: it shows them no more
    /// than theirs.
    pub(crate) anywhere: bool,
    /// When it goes, if it is to go.
    pub(crate) retiring: Option<Retiring>,
}

impl Operation {
    /// A page that is no part of the contract, and holds nothing of anybody's.
    pub(crate) fn open_page(path: &str) -> Self {
        Self {
            id: "page".to_owned(),
            path: path.to_owned(),
            scope: None,
            anywhere: false,
            retiring: None,
        }
    }
}

/// A path and what it takes.
#[derive(Debug)]
struct PathEntry {
    path: ResourceDef,
    words: Words,
    operations: Vec<(&'static str, Arc<Operation>)>,
}

/// The parts of a path that are words, by which most paths are told apart quickly.
#[derive(Debug)]
struct Words {
    /// A word, or none where a part is or has a parameter.
    parts: Vec<Option<String>>,
    /// Whether more may follow.
    open: bool,
}

impl Words {
    fn of(path: &str) -> Self {
        let word = |part: &str| (!part.contains('{')).then(|| part.to_owned());
        Self {
            parts: path.split('/').map(word).collect(),
            open: path.ends_with('*'),
        }
    }

    /// Whether a path of these parts may be this one; if not, it is not.
    fn may_be(&self, given: &[&str]) -> bool {
        let (some, all) = (
            given.len() >= self.parts.len(),
            given.len() == self.parts.len(),
        );
        // Paths differ most at their ends.
        let mut both = self.parts.iter().zip(given).rev();
        (all || (some && self.open))
            && both.all(|(part, given)| part.as_deref().is_none_or(|word| word == *given))
    }
}

/// The mark of an operation that callers limited to sites may ask though its path names none. A
/// handler gives it by `extensions(("x-anywhere" = json!(true)))`; it is not published.
pub(crate) const ANYWHERE: &str = "x-anywhere";

/// All operations there are.
#[derive(Debug)]
pub(crate) struct Operations(Vec<PathEntry>);

/// What was found at a path.
#[derive(Debug, Clone)]
pub(crate) struct MatchedOperation {
    pub(crate) operation: Arc<Operation>,
    parameters: Path<String>,
}

impl MatchedOperation {
    /// A part of the path, as it stands there.
    pub(crate) fn parameter(&self, name: &str) -> Option<&str> {
        self.parameters.get(name)
    }

    /// Whether the router found the same parts at the same places.
    pub(super) fn agrees(&self, routed: &Path<Url>) -> bool {
        self.parameters.iter().eq(routed.iter())
    }
}

impl Operations {
    pub(crate) fn of(contract: &Value) -> Self {
        let paths = contract["paths"].as_object().into_iter().flatten();
        let listed = paths.map(|(path, item)| PathEntry {
            path: ResourceDef::new(path.as_str()),
            words: Words::of(path),
            operations: methods(path, item),
        });
        Self(listed.collect())
    }

    /// Operations that are listed one by one: method, path and what it is.
    pub(crate) fn listed(list: impl IntoIterator<Item = (&'static str, Operation)>) -> Self {
        let place = |(method, operation): (&'static str, Operation)| {
            let path = operation.path.clone();
            let operation = Arc::new(operation);
            let mut operations = vec![(method, operation.clone())];
            if method == "GET" {
                operations.push(("HEAD", operation));
            }
            PathEntry {
                path: ResourceDef::new(path.as_str()),
                words: Words::of(&path),
                operations,
            }
        };
        Self(list.into_iter().map(place).collect())
    }

    /// These operations, and others that are looked for after them.
    pub(crate) fn and(mut self, others: Self) -> Self {
        self.0.extend(others.0);
        self
    }

    /// The operation at a path, for a method.
    pub(crate) fn find(&self, method: &str, path: &str) -> Option<MatchedOperation> {
        let parts: Vec<&str> = path.split('/').collect();
        self.0.iter().find_map(|place| {
            if !place.words.may_be(&parts) {
                return None;
            }
            let mut parameters = Path::new(path.to_owned());
            if !place.path.capture_match_info(&mut parameters) {
                return None;
            }
            let mut operations = place.operations.iter();
            let (_, operation) = operations.find(|(name, _)| *name == method)?;
            Some(MatchedOperation {
                operation: operation.clone(),
                parameters,
            })
        })
    }

    /// Whether a part of a path is a word of some path there is.
    pub(super) fn knows(&self, part: &str) -> bool {
        let mut words = self.0.iter().flat_map(|place| &place.words.parts);
        words.any(|word| word.as_deref() == Some(part))
    }

    /// The methods a path takes; none if there is no such path.
    pub(super) fn methods(&self, path: &str) -> Vec<&'static str> {
        let matching = self.0.iter().filter(|place| place.path.is_match(path));
        matching
            .flat_map(|place| place.operations.iter().map(|(name, _)| *name))
            .collect()
    }
}

/// The methods of an item of the contract. HEAD is answered wherever GET is.
fn methods(path: &str, item: &Value) -> Vec<(&'static str, Arc<Operation>)> {
    let names = [
        ("GET", "get"),
        ("HEAD", "get"),
        ("PUT", "put"),
        ("POST", "post"),
        ("DELETE", "delete"),
        ("PATCH", "patch"),
    ];
    let taken = names.into_iter();
    taken
        .filter_map(|(method, name)| Some((method, Arc::new(operation(path, item.get(name)?)))))
        .collect()
}

fn operation(path: &str, described: &Value) -> Operation {
    let id = described["operationId"].as_str().unwrap_or_default();
    Operation {
        id: id.to_owned(),
        path: path.to_owned(),
        scope: asked_for(described),
        anywhere: described[ANYWHERE] == true,
        // A test sees to it that what is deprecated has its dates.
        retiring: Retiring::of(described).ok().flatten(),
    }
}

/// The scope an operation of the published contract asks for. Only one that says outright that
/// nothing is needed is open.
fn asked_for(described: &Value) -> Option<Scope> {
    let ways = described["security"].as_array();
    if ways.is_some_and(Vec::is_empty) {
        return None;
    }
    let said = ways.and_then(|ways| ways.iter().find_map(|way| way["key"][0].as_str()));
    Some(
        said.and_then(|said| said.parse().ok())
            .unwrap_or(Scope::Admin),
    )
}

/// What an operation asks for where its handler says nothing: to read is to read, everything else
/// is to plan.
pub(crate) fn usual(method: &str, path: &str) -> Scope {
    // A calculation changes nothing; it is a POST only because its inputs are many.
    let asks = method == "get" || path.starts_with("/v1/calculations/");
    if asks { Scope::Read } else { Scope::Plan }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_says_nothing_is_closed() {
        let contract = serde_json::json!({ "paths": { "/v1/x/{site}": {
            "get": { "operationId": "open", "security": [] },
            "post": { "operationId": "floor", "security": [{ "key": ["floor"] }],
                "x-anywhere": true },
            "put": { "operationId": "forgotten" },
        } } });
        let operations = Operations::of(&contract);
        let declared = |method: &str| {
            let found = operations.find(method, "/v1/x/here").unwrap();
            found.operation.clone()
        };
        let scope = |method: &str| declared(method).scope;
        assert_eq!(scope("GET"), None);
        assert_eq!(scope("HEAD"), None);
        assert_eq!(scope("POST"), Some(Scope::Floor));
        assert_eq!(scope("PUT"), Some(Scope::Admin));
        assert!(declared("POST").anywhere && !declared("PUT").anywhere);
        let found = operations.find("GET", "/v1/x/here").unwrap();
        assert_eq!(found.parameter("site"), Some("here"));
        assert!(operations.find("DELETE", "/v1/x/here").is_none());
        assert_eq!(
            operations.methods("/v1/x/here").join(" "),
            "GET HEAD PUT POST"
        );
    }
}
