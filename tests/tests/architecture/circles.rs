//! The graph of who names whom among the folders and files at the top of a crate.

use std::collections::{BTreeMap, BTreeSet};
use std::fmt::Write;
use std::fs;
use std::path::Path;

use super::folder;
use super::imports::{SourceFile, read};

/// For each top-level module those it names, and the files that do.
type Graph = BTreeMap<String, BTreeMap<String, Vec<String>>>;

/// The top-level module a file belongs to; none for the root itself, which names them all.
fn module_of(path: &Path) -> Option<String> {
    let first = path.components().next()?.as_os_str().to_str()?;
    let name = first.strip_suffix(".rs").unwrap_or(first);
    (!matches!(name, "lib" | "main")).then(|| name.to_owned())
}

fn graph_of(files: &[SourceFile], root: &Path) -> Graph {
    let mut graph = Graph::new();
    let below = |file: &SourceFile| file.path.strip_prefix(root).unwrap().to_owned();
    for file in files {
        if let Some(module) = module_of(&below(file)) {
            graph.entry(module).or_default();
        }
    }
    let modules: BTreeSet<String> = graph.keys().cloned().collect();
    for file in files {
        let path = below(file);
        let Some(module) = module_of(&path) else {
            continue;
        };
        let named = graph.entry(module.clone()).or_default();
        for name in &file.names {
            if *name != module && modules.contains(name) {
                let by = named.entry(name.clone()).or_default();
                by.push(path.display().to_string());
            }
        }
    }
    graph
}

/// All modules that can be reached from one by following names.
fn reached<'a>(graph: &'a Graph, from: &str) -> BTreeSet<&'a str> {
    let mut found = BTreeSet::new();
    let mut open: Vec<&str> = vec![from];
    while let Some(module) = open.pop() {
        for next in graph.get(module).into_iter().flat_map(BTreeMap::keys) {
            if found.insert(next.as_str()) {
                open.push(next);
            }
        }
    }
    found
}

/// Every name by which a circle goes on, with the files it stands in.
fn circles(graph: &Graph) -> String {
    let mut text = String::new();
    for (from, named) in graph {
        for (to, files) in named {
            if reached(graph, to).contains(from.as_str()) {
                writeln!(text, "{from} → {to}: {}", files.join(", ")).unwrap();
            }
        }
    }
    text
}

/// Each module with those it names, in an order in which it names none that comes after it.
fn picture(graph: &Graph) -> String {
    let mut text = String::new();
    let mut told: BTreeSet<&str> = BTreeSet::new();
    while told.len() < graph.len() {
        let ready: Vec<(&String, Vec<&str>)> = graph
            .iter()
            .filter(|(module, _)| !told.contains(module.as_str()))
            .map(|(module, named)| (module, named.keys().map(String::as_str).collect()))
            .filter(|(_, named): &(_, Vec<&str>)| named.iter().all(|name| told.contains(name)))
            .collect();
        assert!(!ready.is_empty(), "a circle has no order");
        for (module, named) in ready {
            told.insert(module);
            let line = format!("{module} → {}", named.join(", "));
            writeln!(text, "{}", line.trim_end_matches(" → ")).unwrap();
        }
    }
    text
}

/// The crates that are looked at, and the fewest modules each has.
const CRATES: [(&str, usize); 2] = [("scheduler", 12), ("api", 20)];

fn of_crate(name: &str) -> Graph {
    let source = folder(name).join("src");
    graph_of(&read(&source, 0), &source)
}

#[test]
fn no_circle_goes_through_several_folders() {
    for (name, fewest) in CRATES {
        let graph = of_crate(name);
        assert!(graph.len() >= fewest, "{name}: {:?}", graph.keys());
        let found = circles(&graph);
        assert!(
            found.is_empty(),
            "{name}: these names go on in a circle:\n{found}"
        );
    }
}

#[test]
fn the_picture_in_each_readme_is_the_code_s() {
    for (name, _) in CRATES {
        as_shown(name);
    }
}

fn as_shown(name: &str) {
    let readme = fs::read_to_string(folder(name).join("README.md")).unwrap();
    let (_, rest) = readme.split_once("## Who names whom").expect("the part");
    let mut fences = rest.split("```");
    let shown = fences.nth(1).expect("the picture");
    let shown = shown.strip_prefix("text\n").unwrap_or(shown);
    let made = picture(&of_crate(name));
    assert!(shown == made, "{name}/README.md should show\n{made}");
}

#[test]
fn a_circle_is_told_with_its_files() {
    let file = |path: &str, names: &[&str]| SourceFile {
        path: Path::new("src").join(path),
        names: names.iter().map(|name| (*name).to_owned()).collect(),
    };
    let mut files = vec![
        file("lib.rs", &["a", "b"]),
        file("a/mod.rs", &["serde"]),
        file("a/deep/x.rs", &["a", "b"]),
        file("b.rs", &["c"]),
        file("c.rs", &[]),
    ];
    let graph = graph_of(&files, Path::new("src"));
    assert_eq!(circles(&graph), "");
    assert_eq!(picture(&graph), "c\nb → c\na → b\n");
    files.push(file("c/y.rs", &["a"]));
    let graph = graph_of(&files, Path::new("src"));
    let told = "a → b: a/deep/x.rs\nb → c: b.rs\nc → a: c/y.rs\n";
    assert_eq!(circles(&graph), told);
}
