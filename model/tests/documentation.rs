//! Every public item says what it is, shows an example or names the one that does, and lists its
//! errors.
#![allow(clippy::unwrap_used, clippy::panic)] // tests may fail loudly

use std::path::{Path, PathBuf};

/// A public item with its documentation and its signature.
struct Item {
    place: String,
    doc: String,
    signature: String,
}

/// Every Rust source below a folder.
fn sources(folder: &Path, found: &mut Vec<PathBuf>) {
    for entry in std::fs::read_dir(folder).unwrap() {
        let path = entry.unwrap().path();
        if path.is_dir() {
            sources(&path, found);
        } else {
            found.push(path);
        }
    }
}

fn items() -> Vec<Item> {
    let mut files = Vec::new();
    sources(Path::new("src"), &mut files);
    // What the macro of the quantities needs, hidden from the documentation.
    files.retain(|file| !file.ends_with("schema.rs"));
    files.iter().flat_map(|file| items_of(file)).collect()
}

fn items_of(file: &Path) -> Vec<Item> {
    let text = without_macros(&std::fs::read_to_string(file).unwrap());
    let (mut found, mut doc) = (Vec::new(), String::new());
    let lines: Vec<&str> = text.lines().map(str::trim).collect();
    for (number, line) in lines.iter().enumerate() {
        if let Some(words) = line.strip_prefix("///") {
            doc.push_str(words.trim());
            doc.push('\n');
        } else if line.starts_with("pub ") && !line.starts_with("pub use") && is_item(line) {
            let end = lines[number..].iter().position(|l| l.contains(['{', ';']));
            let signature = lines[number..=number + end.unwrap_or(0)].join(" ");
            found.push(Item {
                place: format!("{}:{}", file.display(), number + 1),
                doc: std::mem::take(&mut doc),
                signature,
            });
        } else if !line.starts_with("#[") && !line.starts_with(['(', ')']) && !is_derive(line) {
            doc.clear();
        }
    }
    found
}

/// Macros of this crate with their lines left blank: what they make is documented where they are
/// used.
fn without_macros(text: &str) -> String {
    let mut inside = false;
    let mut kept = String::new();
    for line in text.lines() {
        inside |= line.starts_with("macro_rules!");
        if !inside {
            kept.push_str(line);
        }
        kept.push('\n');
        inside &= line != "}";
    }
    kept
}

/// The middle of an attribute that is broken over lines.
fn is_derive(line: &str) -> bool {
    line.starts_with("Clone,") || line == ")]"
}

fn is_item(line: &str) -> bool {
    ["fn ", "const ", "struct ", "enum "]
        .iter()
        .any(|word| line["pub ".len()..].starts_with(word))
}

impl Item {
    /// What is missing.
    fn lacks(&self) -> Option<&'static str> {
        let constant =
            self.signature.starts_with("pub const ") && !self.signature.starts_with("pub const fn");
        let example = self.doc.contains("```") || self.doc.contains("for an example");
        let fails = self.signature.contains("Result<");
        if self.doc.trim().is_empty() {
            Some("what it is")
        } else if !constant && !example {
            Some("an example")
        } else if fails && !self.doc.contains("# Errors") {
            Some("its errors")
        } else {
            None
        }
    }
}

#[test]
fn every_public_item_is_documented() {
    let items = items();
    assert!(items.len() > 200, "only {} items found", items.len());
    let lacking: Vec<String> = items
        .iter()
        .filter_map(|item| Some(format!("{}: {}", item.place, item.lacks()?)))
        .collect();
    assert!(lacking.is_empty(), "missing:\n{}", lacking.join("\n"));
}

#[test]
fn an_item_without_an_example_is_found() {
    let item = Item {
        place: String::new(),
        doc: "Says nothing more.".to_owned(),
        signature: "pub fn pressure() -> Result<f64, Error> {".to_owned(),
    };
    assert_eq!(item.lacks(), Some("an example"));
}
