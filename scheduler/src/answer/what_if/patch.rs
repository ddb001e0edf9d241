//! Patching a document, within bounds.
//!
//! A patch of a few operations can double a document with each of them, or nest it so deeply that
//! no stack holds it. So operations are made one at a time, and what they copy, what they shift and
//! how deep they reach is counted before they are made.

use json_patch::jsonptr::Pointer;
use json_patch::{PatchErrorKind, PatchOperation, patch_unsafe};
use serde_json::Value;

/// The most operations of a patch.
const MOST_OPERATIONS: usize = 10_000;

/// The most that a patch may copy and shift, in bytes about: twenty times a scenario of a busy
/// month.
const MOST_MOVED: usize = 2_000_000;

/// The deepest a value may be nested: as deep as JSON is read.
const DEEPEST: usize = 100;

/// Bytes that any value counts for besides its text.
const VALUE: usize = 16;

/// Why a patch cannot be made.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum BadPatch {
    /// It is neither of the two kinds.
    #[error("an object to merge (RFC 7396) or a list of operations (RFC 6902) is allowed")]
    NoPatch,
    /// It has too many operations.
    #[error("{found} operations found; at most {MOST_OPERATIONS} are allowed")]
    TooMany {
        /// How many there are.
        found: usize,
    },
    /// An operation cannot be read.
    #[error("operation {operation}: {what}")]
    Unreadable {
        /// Which one, counted from 0.
        operation: usize,
        /// What is wrong with it.
        what: String,
    },
    /// An operation does not fit the document.
    #[error("operation {operation} at \"{path}\": {what}")]
    Misfit {
        /// Which one, counted from 0.
        operation: usize,
        /// Where it is to be made.
        path: String,
        /// Why it cannot be.
        what: String,
    },
    /// It copies or moves about too much.
    #[error(
        "operation {operation}: up to it the patch copies and shifts {moved} bytes; \
         {MOST_MOVED} are allowed"
    )]
    TooMuch {
        /// The operation at which it is too much.
        operation: usize,
        /// What would be moved about.
        moved: usize,
    },
    /// It merges too much.
    #[error("{found} bytes to be merged found; at most {MOST_MOVED} are allowed")]
    TooLarge {
        /// How many there are.
        found: usize,
    },
    /// It nests the document too deeply.
    #[error("operation {operation} nests {depth} levels; at most {DEEPEST} are allowed")]
    TooDeep {
        /// The operation.
        operation: usize,
        /// How deep it reaches.
        depth: usize,
    },
}

/// A document with a patch made to it: an object is merged into it (RFC 7396), a list of operations
/// is applied to it (RFC 6902). It takes no more memory than the document, the patch, and a few
/// megabytes.
///
/// # Errors
/// [`BadPatch`], naming the operation.
///
/// ```
/// use scheduler::answer::patched;
/// use serde_json::json;
/// let ice = json!({"ice": {"rate_kg_per_h": 10.0}});
/// let merged = patched(ice.clone(), &json!({"ice": {"rate_kg_per_h": 12.0}})).unwrap();
/// assert_eq!(merged["ice"]["rate_kg_per_h"], 12.0);
/// let doubled = json!([{"op": "copy", "from": "/ice", "path": "/more"}]);
/// assert_eq!(patched(ice, &doubled).unwrap()["more"]["rate_kg_per_h"], 10.0);
/// ```
pub fn patched(mut document: Value, patch: &Value) -> Result<Value, BadPatch> {
    match patch {
        Value::Array(operations) => apply(&mut document, operations)?,
        Value::Object(_) => {
            let found = weight(patch);
            if found > MOST_MOVED {
                return Err(BadPatch::TooLarge { found });
            }
            json_patch::merge(&mut document, patch);
        }
        _ => return Err(BadPatch::NoPatch),
    }
    Ok(document)
}

fn apply(document: &mut Value, operations: &[Value]) -> Result<(), BadPatch> {
    let found = operations.len();
    if found > MOST_OPERATIONS {
        return Err(BadPatch::TooMany { found });
    }
    let mut moved = 0;
    for (n, operation) in operations.iter().enumerate() {
        let operation: PatchOperation =
            serde_json::from_value(operation.clone()).map_err(|error| BadPatch::Unreadable {
                operation: n,
                what: error.to_string(),
            })?;
        moved += moves(document, &operation);
        if moved > MOST_MOVED {
            return Err(BadPatch::TooMuch {
                operation: n,
                moved,
            });
        }
        let depth = reaches(document, &operation);
        if depth > DEEPEST {
            return Err(BadPatch::TooDeep {
                operation: n,
                depth,
            });
        }
        patch_unsafe(document, std::slice::from_ref(&operation)).map_err(|error| {
            BadPatch::Misfit {
                operation: n,
                path: error.path.to_string(),
                what: said(&error.kind),
            }
        })?;
    }
    Ok(())
}

fn said(kind: &PatchErrorKind) -> String {
    match kind {
        PatchErrorKind::InvalidPointer => "there is nothing in the scenario".to_owned(),
        PatchErrorKind::InvalidFromPointer => {
            "there is nothing in the scenario where it is taken from".to_owned()
        }
        other => other.to_string(),
    }
}

/// What an operation moves about: the copy it makes, and what is shifted in lists.
fn moves(document: &Value, operation: &PatchOperation) -> usize {
    let shifted = |path: &Pointer| {
        let parent = path.parent().and_then(|parent| at(document, parent));
        parent.and_then(Value::as_array).map_or(0, Vec::len)
    };
    match operation {
        PatchOperation::Add(add) => shifted(&add.path),
        PatchOperation::Remove(remove) => shifted(&remove.path),
        PatchOperation::Move(moved) => shifted(&moved.from) + shifted(&moved.path),
        PatchOperation::Copy(copy) => {
            at(document, &copy.from).map_or(0, weight) + shifted(&copy.path)
        }
        PatchOperation::Replace(_) | PatchOperation::Test(_) => 0,
    }
}

/// How deep what an operation puts into the document reaches.
fn reaches(document: &Value, operation: &PatchOperation) -> usize {
    let of = |path: &Pointer, value: Option<&Value>| path.count() + value.map_or(0, depth);
    match operation {
        PatchOperation::Add(add) => of(&add.path, Some(&add.value)),
        PatchOperation::Replace(replace) => of(&replace.path, Some(&replace.value)),
        PatchOperation::Move(moved) => of(&moved.path, at(document, &moved.from)),
        PatchOperation::Copy(copy) => of(&copy.path, at(document, &copy.from)),
        PatchOperation::Remove(_) | PatchOperation::Test(_) => 0,
    }
}

fn at<'a>(document: &'a Value, path: &Pointer) -> Option<&'a Value> {
    document.pointer(path.as_str())
}

/// Bytes of a value, about.
fn weight(value: &Value) -> usize {
    VALUE
        + match value {
            Value::Null | Value::Bool(_) | Value::Number(_) => 0,
            Value::String(text) => text.len(),
            Value::Array(values) => values.iter().map(weight).sum(),
            Value::Object(fields) => fields
                .iter()
                .map(|(name, value)| name.len() + weight(value))
                .sum(),
        }
}

/// Levels of a value; 1 where nothing is inside it.
fn depth(value: &Value) -> usize {
    let inside = match value {
        Value::Array(values) => values.iter().map(depth).max(),
        Value::Object(fields) => fields.values().map(depth).max(),
        _ => None,
    };
    inside.unwrap_or(0) + 1
}

#[cfg(test)]
mod tests {
    use super::*;
    use serde_json::json;

    fn refused(patch: &Value) -> BadPatch {
        patched(json!({"a": {"b": [1, 2, 3]}}), patch).unwrap_err()
    }

    #[test]
    fn a_document_that_doubles_and_doubles_is_stopped_in_time() {
        let double = json!({"op": "copy", "from": "", "path": "/a/x"});
        let found = refused(&Value::from(vec![double; 60]));
        assert!(matches!(
            found,
            BadPatch::TooMuch { .. } | BadPatch::TooDeep { .. }
        ));
        let wide: Vec<Value> = (0..60)
            .map(|n| json!({"op": "copy", "from": "/a", "path": format!("/a/b/{}", n % 3)}))
            .collect();
        let found = refused(&Value::from(wide));
        assert!(
            matches!(found, BadPatch::TooMuch { operation, .. } if operation < 30),
            "{found}"
        );
    }

    #[test]
    fn a_document_is_not_nested_deeper_than_it_can_be_read() {
        let deeper = json!({"op": "move", "from": "/a", "path": "/a"});
        assert!(patched(json!({"a": 1}), &json!([deeper])).is_ok());
        let nest: Vec<Value> = (0..20)
            .flat_map(|_| {
                [
                    json!({"op": "add", "path": "/c", "value": {}}),
                    json!({"op": "copy", "from": "/a", "path": "/c/d"}),
                    json!({"op": "copy", "from": "/c", "path": "/a/b/-"}),
                ]
            })
            .collect();
        let found = refused(&Value::from(nest));
        assert!(
            matches!(found, BadPatch::TooDeep { .. } | BadPatch::TooMuch { .. }),
            "{found}"
        );
        let chain: Vec<Value> = (0..40)
            .flat_map(|_| {
                [
                    json!({"op": "move", "from": "/a", "path": "/x"}),
                    json!({"op": "add", "path": "/a", "value": {"b": 0}}),
                    json!({"op": "move", "from": "/x", "path": "/a/b"}),
                ]
            })
            .collect();
        assert!(patched(json!({"a": 1}), &Value::from(chain.clone())).is_ok());
        let chain = [chain.clone(), chain.clone(), chain].concat();
        let found = patched(json!({"a": 1}), &Value::from(chain)).unwrap_err();
        assert!(
            matches!(found, BadPatch::TooDeep { depth: 101, .. }),
            "{found}"
        );
    }

    #[test]
    fn shifting_a_long_list_again_and_again_is_too_much() {
        let long = Value::from(vec![0; 2000]);
        let shift =
            |times| Value::from(vec![json!({"op": "add", "path": "/0", "value": 1}); times]);
        assert!(patched(long.clone(), &shift(500)).is_ok());
        let found = patched(long, &shift(5000)).unwrap_err();
        assert!(matches!(found, BadPatch::TooMuch { .. }), "{found}");
    }

    #[test]
    fn what_does_not_fit_is_told_with_its_operation() {
        for (patch, told) in [
            (json!(7), "an object to merge"),
            (
                json!([{"op": "fly", "path": "/a"}]),
                "operation 0: unknown variant `fly`",
            ),
            (
                json!([{"op": "test", "path": "/a/b/0", "value": 1}, {"op": "remove", "path": "/z"}]),
                "operation 1 at \"/z\": there is nothing",
            ),
            (
                json!([{"op": "test", "path": "/a/b/0", "value": 2}]),
                "operation 0 at \"/a/b/0\": value did not match",
            ),
            (
                json!([{"op": "copy", "from": "/z", "path": "/a"}]),
                "where it is taken from",
            ),
        ] {
            let found = refused(&patch).to_string();
            assert!(found.contains(told), "{found}");
        }
        let many = Value::from(vec![json!({"op": "test", "path": "", "value": 1}); 10_001]);
        assert_eq!(refused(&many), BadPatch::TooMany { found: 10_001 });
        let large = json!({"a": "x".repeat(4_000_001)});
        assert!(matches!(refused(&large), BadPatch::TooLarge { .. }));
    }
}
