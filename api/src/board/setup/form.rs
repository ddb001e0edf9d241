//! A part of the setup as a form, made from its shape.
//!
//! Each field is named by its place in the document, so that what is refused names the field.

use askama::Template;
use chrono::{NaiveTime, Timelike};
use scheduler::draft::Assumption;
use serde_json::Value;

use super::super::fields::Fields;
use super::super::schema::words;
use super::plain;
use super::shape::{Member, Shape};
use crate::domain::assumed;
use crate::text::units::Units;
use model::units::converted;

/// Something to choose.
pub(super) struct Choice {
    id: String,
    name: String,
    chosen: bool,
}

/// What a field is on the page.
#[derive(PartialEq)]
enum Kind {
    Number,
    Text,
    Choice,
    Many,
    Group,
    Maybe,
    Rows,
    Row,
}

/// A field or a group of fields.
#[derive(Template)]
#[template(path = "board/setup_node.html")]
pub(super) struct Node {
    kind: Kind,
    pointer: String,
    label: String,
    /// The label with what it is about, for those who do not see where it stands.
    full: String,
    unit: String,
    help: String,
    /// Whether nobody told it yet.
    assumed: bool,
    value: String,
    needed: bool,
    fixed: bool,
    open: bool,
    choices: Vec<Choice>,
    nodes: Vec<Node>,
}

impl Node {
    fn plain(kind: Kind, pointer: String, label: String) -> Self {
        Self {
            kind,
            pointer,
            full: label.clone(),
            label,
            unit: String::new(),
            help: String::new(),
            assumed: false,
            value: String::new(),
            needed: true,
            fixed: false,
            open: true,
            choices: Vec::new(),
            nodes: Vec::new(),
        }
    }
}

impl Node {
    /// Whether it is one value, and not a group of some; a list of plain values is one.
    fn is_single(value: &Value) -> bool {
        match value {
            Value::Object(_) => false,
            Value::Array(list) => !list.iter().any(Value::is_object),
            _ => true,
        }
    }
}

fn none(chosen: bool) -> Choice {
    Choice {
        id: String::new(),
        name: "none".to_owned(),
        chosen,
    }
}

/// What a form is made in: the whole document, who reads it, and what they had typed.
pub(super) struct About<'a> {
    pub(super) document: &'a Value,
    /// The document as it is stored: the ids in it stay.
    pub(super) stored: &'a Value,
    pub(super) units: Units,
    pub(super) typed: Option<&'a Fields>,
    /// What nobody told yet.
    pub(super) assumed: &'a [Assumption],
}

impl About<'_> {
    /// The form of a value.
    pub(super) fn node(
        &self,
        member: &Member,
        pointer: &str,
        context: &str,
        value: &Value,
    ) -> Node {
        let mut node = Node {
            full: match context {
                "" => member.label.clone(),
                _ => format!("{context}: {}", member.label),
            },
            unit: self.unit(member),
            help: self.help(member, value),
            value: self.shown(member, value),
            needed: member.needed,
            fixed: member.name == "id" && self.stored.pointer(pointer) == Some(value),
            open: !value.is_null(),
            ..Node::plain(Kind::Text, pointer.to_owned(), member.label.clone())
        };
        if let Some(one) = self.assumed_of(pointer, value) {
            node.assumed = true;
            node.help = format!("{} {}", node.help, assumed::said(one));
        }
        if let Some(text) = self.typed.and_then(|typed| typed.get(pointer)) {
            text.clone_into(&mut node.value);
        }
        match &member.shape {
            Shape::Number { .. } => node.kind = Kind::Number,
            Shape::Text => {}
            Shape::YesNo | Shape::Word(_) | Shape::Id(_) => {
                node.kind = Kind::Choice;
                node.choices = self.choices(&member.shape, &[&node.value]);
                if !member.needed {
                    node.choices.insert(0, none(node.value.is_empty()));
                }
            }
            Shape::Object(members) => {
                node.kind = if member.needed {
                    Kind::Group
                } else {
                    Kind::Maybe
                };
                let blank = if value.is_null() {
                    member.example(self.document)
                } else {
                    Value::Null
                };
                let value = if value.is_null() { &blank } else { value };
                node.nodes = self.nodes(members, pointer, &node.full, value);
            }
            Shape::Kinds(kinds) => {
                node.kind = Kind::Group;
                let is = value["kind"].as_str().unwrap_or_default();
                node.nodes.push(self.kinds(kinds, pointer, &node.full, is));
                if let Some((_, members)) = kinds.iter().find(|(kind, _)| kind == is) {
                    node.nodes
                        .extend(self.nodes(members, pointer, &node.full, value));
                }
            }
            Shape::List(of) => self.list(&mut node, of, value),
        }
        node
    }

    /// What a field means; CO2 in volumes, too.
    fn help(&self, member: &Member, value: &Value) -> String {
        if member.name != "carbonation_g_per_l" {
            return member.help.clone();
        }
        let volumes = value.as_f64().map(|grams| self.units.volumes(grams));
        let is = volumes.map_or(String::new(), |volumes| format!(" It is {volumes}."));
        format!("{}{is} Volumes may be typed: 3.7 vol.", member.help)
    }

    /// What is assumed of a value, unless somebody tries another in its place.
    fn assumed_of(&self, pointer: &str, value: &Value) -> Option<&Assumption> {
        let single = Node::is_single(value) && !value.is_null();
        let found = assumed::of(self.assumed, pointer).filter(|_| single)?;
        let stored = self.stored.pointer(pointer);
        (stored == Some(value)).then_some(found)
    }

    fn nodes(&self, members: &[Member], pointer: &str, context: &str, value: &Value) -> Vec<Node> {
        let one = |member: &Member| {
            let place = format!("{pointer}/{}", member.name);
            self.node(member, &place, context, &value[&member.name])
        };
        members.iter().map(one).collect()
    }

    fn kinds(
        &self,
        kinds: &[(String, Vec<Member>)],
        pointer: &str,
        context: &str,
        is: &str,
    ) -> Node {
        let choice = |(kind, _): &(String, Vec<Member>)| Choice {
            id: kind.clone(),
            name: words(kind),
            chosen: kind == is,
        };
        Node {
            full: format!("{context}: Kind"),
            help: "Another kind needs other things: choose it, then see what it means.".to_owned(),
            value: is.to_owned(),
            choices: kinds.iter().map(choice).collect(),
            ..Node::plain(Kind::Choice, format!("{pointer}/kind"), "Kind".to_owned())
        }
    }

    fn list(&self, node: &mut Node, of: &Shape, value: &Value) {
        let empty = Vec::new();
        let list = value.as_array().unwrap_or(&empty);
        match of {
            Shape::Word(_) | Shape::Id(_) => {
                let chosen: Vec<&str> = list.iter().filter_map(Value::as_str).collect();
                node.kind = Kind::Many;
                node.choices = self.choices(of, &chosen);
            }
            Shape::Object(members) => {
                node.kind = Kind::Rows;
                let row = |(n, value): (usize, &Value)| {
                    let place = format!("{}/{n}", node.pointer);
                    let name = called(value, n);
                    Node {
                        nodes: self.nodes(members, &place, &name, value),
                        ..Node::plain(Kind::Row, place, name)
                    }
                };
                let rows = list.iter().enumerate().map(row).collect();
                node.nodes = rows;
            }
            // Numbers and words in one field.
            _ => {}
        }
    }

    fn choices(&self, of: &Shape, chosen: &[&str]) -> Vec<Choice> {
        let choice = |id: &str, name: &str| Choice {
            id: id.to_owned(),
            name: name.to_owned(),
            chosen: chosen.contains(&id),
        };
        match of {
            Shape::YesNo => vec![choice("true", "yes"), choice("false", "no")],
            Shape::Word(known) => known.iter().map(|id| choice(id, &words(id))).collect(),
            Shape::Id(list) => {
                let things = self.document.pointer(list).and_then(Value::as_array);
                let things = things.into_iter().flatten();
                let named = |thing: &Value| {
                    let id = thing["id"].as_str().unwrap_or_default();
                    choice(id, thing["name"].as_str().unwrap_or(id))
                };
                things.map(named).collect()
            }
            _ => Vec::new(),
        }
    }

    fn unit(&self, member: &Member) -> String {
        match &member.shape {
            Shape::Number {
                unit: Some(unit), ..
            } => self.units.read_in(*unit).symbol().to_owned(),
            _ => member.unit.clone(),
        }
    }

    /// A value as it stands in a field.
    pub(super) fn shown(&self, member: &Member, value: &Value) -> String {
        match (&member.shape, value) {
            (Shape::Number { unit, .. }, value) => {
                value.as_f64().map_or_else(String::new, |number| {
                    let shown = unit.map_or(number, |unit| {
                        converted(number, unit, self.units.read_in(unit))
                    });
                    plain(shown, self.units)
                })
            }
            (Shape::List(_), Value::Array(list)) => {
                let one = |value: &Value| match value {
                    Value::String(text) => text.clone(),
                    other => other
                        .as_f64()
                        .map_or_else(String::new, |number| plain(number, self.units)),
                };
                list.iter().map(one).collect::<Vec<_>>().join("; ")
            }
            (_, Value::String(text)) => on_the_clock(text),
            (_, Value::Bool(yes)) => yes.to_string(),
            _ => String::new(),
        }
    }
}

/// A time of day without its seconds, where there are none; any other text as it is.
fn on_the_clock(text: &str) -> String {
    let minute = NaiveTime::parse_from_str(text, "%H:%M:%S").ok();
    let minute = minute.filter(|time| time.second() == 0);
    minute.map_or_else(|| text.to_owned(), |time| time.format("%H:%M").to_string())
}

/// What people call a row: its name, its days and hours, or its number.
fn called(value: &Value, n: usize) -> String {
    let text = |name: &str| value[name].as_str().filter(|text| !text.is_empty());
    if let Some(name) = text("name").or(text("material")).or(text("product")) {
        return name.to_owned();
    }
    let days: Vec<&str> = value["days"]
        .as_array()
        .into_iter()
        .flatten()
        .filter_map(Value::as_str)
        .collect();
    let hour = |text: &str| text.chars().take(5).collect::<String>();
    let hours = match (text("from"), text("to"), text("at")) {
        (Some(from), Some(to), _) => format!("{} to {}", hour(from), hour(to)),
        (_, _, Some(at)) => hour(at),
        _ => String::new(),
    };
    let told = format!("{} {hours}", days.join(" "));
    match told.trim() {
        "" => format!("{}", n + 1),
        told => told.to_owned(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_time_of_day_is_shown_and_read_without_seconds() {
        assert_eq!(on_the_clock("17:00:00"), "17:00");
        assert_eq!(on_the_clock("17:00:30"), "17:00:30");
        assert_eq!(on_the_clock("walk-in"), "walk-in");
        let read: NaiveTime = serde_json::from_value("17:30".into()).unwrap();
        assert_eq!((read.hour(), read.minute()), (17, 30));
    }
}
