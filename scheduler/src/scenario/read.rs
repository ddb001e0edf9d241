//! Reading a scenario from JSON, with errors that name the field.

use serde::de::DeserializeOwned;

use super::Scenario;

/// Why a text is not a scenario.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum Unreadable {
    /// There is nothing in it.
    #[error("the text is empty; a scenario in JSON is expected (`fizzwright sample` prints one)")]
    Empty,
    /// It is not JSON.
    #[error("not JSON: {what}")]
    NotJson {
        /// What the parser says, with line and column.
        what: String,
    },
    /// A field is missing, unknown, of the wrong type or out of range.
    #[error("{field}: {what}")]
    Field {
        /// Path of the field, such as `setup.pots[0].power_w`.
        field: String,
        /// What was found and what is allowed.
        what: String,
    },
}

/// Reads a scenario from JSON text. Unknown fields are refused and every quantity is within its
/// declared bounds afterwards.
///
/// # Errors
/// [`Unreadable`], naming the field.
///
/// ```
/// let error = scheduler::scenario::read("{\"sight\": {}}").unwrap_err();
/// assert!(error.to_string().contains("unknown field `sight`"));
/// ```
pub fn read(text: &str) -> Result<Scenario, Unreadable> {
    read_as(text)
}

/// Reads any other document, such as a plan or a question, the same way.
///
/// # Errors
/// [`Unreadable`], naming the field.
///
/// ```
/// use scheduler::answer::CapacityQuestion;
/// let error = scheduler::scenario::read_as::<CapacityQuestion>("{\"by\": 7}").unwrap_err();
/// assert!(error.to_string().starts_with("by: "));
/// ```
pub fn read_as<T: DeserializeOwned>(text: &str) -> Result<T, Unreadable> {
    if text.trim().is_empty() {
        return Err(Unreadable::Empty);
    }
    let mut json = serde_json::Deserializer::from_str(text);
    let value = serde_path_to_error::deserialize(&mut json).map_err(named)?;
    json.end().map_err(|e| Unreadable::NotJson {
        what: e.to_string(),
    })?;
    Ok(value)
}

fn named(error: serde_path_to_error::Error<serde_json::Error>) -> Unreadable {
    use serde_json::error::Category;
    let what = error.inner().to_string();
    match error.inner().classify() {
        Category::Data => Unreadable::Field {
            field: match error.path().to_string().as_str() {
                "." => "the document".to_owned(),
                path => path.to_owned(),
            },
            what,
        },
        Category::Io | Category::Syntax | Category::Eof => Unreadable::NotJson { what },
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_empty_text_says_where_to_find_a_sample() {
        assert_eq!(read(" \n"), Err(Unreadable::Empty));
    }

    #[test]
    fn a_cut_text_is_not_json() {
        assert!(matches!(
            read("{\"site\": "),
            Err(Unreadable::NotJson { .. })
        ));
    }
}
