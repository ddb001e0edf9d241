//! The OpenAPI schema of a bounded quantity, built from its declaration.

use utoipa::openapi::schema::{ObjectBuilder, Schema, Type};
use utoipa::openapi::{KnownFormat, RefOr, SchemaFormat};

/// What a `quantity!` declaration says, as data.
#[derive(Debug)]
pub struct Declaration {
    /// What the quantity is called.
    pub name: &'static str,
    /// The unit; empty for a plain ratio.
    pub unit: &'static str,
    /// The lines of its documentation.
    pub doc: &'static [&'static str],
    /// The smallest value allowed.
    pub min: f64,
    /// The largest value allowed.
    pub max: f64,
    /// A typical value.
    pub example: f64,
}

/// A number with a minimum, a maximum, an example and a description.
#[must_use]
pub fn schema(declared: &Declaration) -> RefOr<Schema> {
    ObjectBuilder::new()
        .schema_type(Type::Number)
        .format(Some(SchemaFormat::KnownFormat(KnownFormat::Double)))
        .minimum(Some(declared.min))
        .maximum(Some(declared.max))
        .examples([declared.example])
        .description(Some(description(declared)))
        .into()
}

/// The first paragraph of the documentation, with the unit.
fn description(declared: &Declaration) -> String {
    let paragraph: Vec<&str> = declared
        .doc
        .iter()
        .map(|line| line.trim())
        .take_while(|line| !line.is_empty())
        .collect();
    let text = if paragraph.is_empty() {
        declared.name.to_owned()
    } else {
        paragraph.join(" ")
    };
    if declared.unit.is_empty() {
        text
    } else {
        format!("{text} Unit: {}.", declared.unit)
    }
}
