//! The shape of a part of the setup, as the contract declares it.

use serde_json::{Map, Value, json};

use super::super::schema::{help, published, real, reference, resolved, unit};
use super::names::{called, place};
use model::units::Unit;

/// What a field is made of.
#[derive(Debug, Clone)]
pub(super) enum Shape {
    Number {
        whole: bool,
        unit: Option<Unit>,
    },
    Text,
    YesNo,
    /// One of these words.
    Word(Vec<String>),
    /// The id of a thing in the list at this place of the document.
    Id(&'static str),
    Object(Vec<Member>),
    /// An object of one of several kinds, each with members of its own.
    Kinds(Vec<(String, Vec<Member>)>),
    List(Box<Shape>),
}

/// A field with what people are told of it.
#[derive(Debug, Clone)]
pub(super) struct Member {
    pub(super) name: String,
    pub(super) label: String,
    pub(super) unit: String,
    pub(super) help: String,
    pub(super) needed: bool,
    pub(super) shape: Shape,
    /// What the contract gives as an example.
    example: Value,
}

/// Ids and where in the document the things they name are listed.
const LISTED: [(&str, &str); 6] = [
    ("PotId", "/setup/pots"),
    ("StoreId", "/setup/cold_stores"),
    ("GasStationId", "/setup/gas_stations"),
    ("KegTypeId", "/setup/keg_types"),
    ("CircuitId", "/setup/circuits"),
    ("ProductId", "/setup/products"),
];

impl Member {
    /// A part of the setup by its place in the document, such as `/setup/pots`.
    pub(super) fn of_setup(pointer: &str) -> Option<Self> {
        let contract = published()?;
        let document = &contract["components"]["schemas"]["SetupDocument"];
        let mut found = (document, "", true);
        for name in pointer.split('/').skip(1) {
            let parent = resolved(contract, found.0);
            let schema = parent["properties"].get(name)?;
            found = (schema, name, required(parent, name));
        }
        Some(member(contract, found.1, found.0, found.2))
    }

    /// A value to begin with, in a document that lists things.
    pub(super) fn example(&self, document: &Value) -> Value {
        match &self.shape {
            Shape::Id(list) => {
                let first = document.pointer(&format!("{list}/0/id"));
                first.cloned().unwrap_or_default()
            }
            Shape::Text if self.name == "id" || self.name == "name" => json!(""),
            Shape::Number { .. } if self.example.is_null() => json!(0),
            Shape::Text if self.example.is_null() => json!(""),
            Shape::Number { .. } | Shape::Text => self.example.clone(),
            Shape::YesNo => json!(false),
            Shape::Word(words) => json!(words.first()),
            Shape::Object(members) => filled(members, document),
            Shape::Kinds(kinds) => kinds.first().map_or(Value::Null, |(kind, members)| {
                of_kind(kind, members, document)
            }),
            Shape::List(_) if self.needed && self.example.is_array() => self.example.clone(),
            Shape::List(of) => match self.listed(of).example(document) {
                // A list of words or ids begins with one of them.
                one if !one.is_object() && self.needed => json!([one]),
                _ => json!([]),
            },
        }
    }

    /// The same as an entry of a list.
    pub(super) fn listed(&self, shape: &Shape) -> Self {
        Self {
            shape: shape.clone(),
            needed: true,
            ..self.clone()
        }
    }
}

/// An object with examples of what it needs.
fn filled(members: &[Member], document: &Value) -> Value {
    let needed = members.iter().filter(|member| member.needed);
    let pairs = needed.map(|member| (member.name.clone(), member.example(document)));
    Value::Object(pairs.collect())
}

/// An object of a kind, with examples of what it needs.
pub(super) fn of_kind(kind: &str, members: &[Member], document: &Value) -> Value {
    let mut object = filled(members, document);
    object["kind"] = json!(kind);
    object
}

fn required(parent: &Value, name: &str) -> bool {
    let list = parent["required"].as_array();
    list.is_some_and(|list| list.iter().any(|known| known == name))
}

fn member(contract: &Value, name: &str, schema: &Value, needed: bool) -> Member {
    let declared = resolved(contract, schema);
    let unit = unit(declared);
    let item = resolved(contract, &declared["items"]);
    let example = [
        &schema["example"],
        &declared["example"],
        &declared["examples"][0],
        &item["examples"][0],
    ];
    let example = example.into_iter().find(|example| !example.is_null());
    Member {
        label: called(name, unit),
        unit: unit.to_owned(),
        help: help(schema),
        needed,
        shape: shape(contract, name, schema),
        example: example.cloned().unwrap_or_default(),
        name: name.to_owned(),
    }
}

fn members(contract: &Value, object: &Value) -> Vec<Member> {
    let properties: Map<String, Value> = object["properties"]
        .as_object()
        .cloned()
        .unwrap_or_default();
    let mut found: Vec<Member> = properties
        .iter()
        .filter(|(name, _)| *name != "kind")
        .map(|(name, schema)| member(contract, name, schema, required(object, name)))
        .collect();
    // What a thing is called comes first, what it needs next, what is made of parts last; among
    // those, as people would tell them.
    found.sort_by_key(|member| {
        let first = place(&member.name) > 1;
        (
            first,
            member.shape.is_large(),
            !member.needed,
            place(&member.name),
        )
    });
    found
}

fn shape(contract: &Value, name: &str, schema: &Value) -> Shape {
    if name != "id" {
        let id = reference(real(schema));
        let listed = LISTED.iter().find(|(known, _)| Some(*known) == id);
        if let Some((_, list)) = listed {
            return Shape::Id(list);
        }
    }
    let declared = resolved(contract, schema);
    let is = |kind: &str| {
        let given = &declared["type"];
        *given == kind
            || given
                .as_array()
                .is_some_and(|all| all.iter().any(|k| k == kind))
    };
    if let Some(kinds) = declared["oneOf"].as_array() {
        let one = |way: &Value| {
            let kind = way["properties"]["kind"]["enum"][0].as_str()?;
            Some((kind.to_owned(), members(contract, way)))
        };
        return Shape::Kinds(kinds.iter().filter_map(one).collect());
    }
    if let Some(words) = declared["enum"].as_array() {
        let words = words.iter().filter_map(Value::as_str);
        return Shape::Word(words.map(str::to_owned).collect());
    }
    if is("array") {
        return Shape::List(Box::new(shape(contract, "", &declared["items"])));
    }
    if is("object") {
        return Shape::Object(members(contract, declared));
    }
    if is("boolean") {
        return Shape::YesNo;
    }
    if is("number") || is("integer") {
        let symbol = unit(declared);
        let known = [Unit::L, Unit::C, Unit::Bar, Unit::Kg];
        return Shape::Number {
            whole: is("integer"),
            unit: known.into_iter().find(|unit| unit.symbol() == symbol),
        };
    }
    Shape::Text
}

impl Shape {
    /// Whether it takes more room than one field.
    pub(super) fn is_large(&self) -> bool {
        match self {
            Self::Object(_) | Self::Kinds(_) => true,
            Self::List(of) => of.is_large() || matches!(**of, Self::Word(_) | Self::Id(_)),
            _ => false,
        }
    }
}
