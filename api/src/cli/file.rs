//! Reading a scenario from a file or from standard input.

use std::fs::File;
use std::io::{self, Read};
use std::path::Path;

use scheduler::check::{Checked, Faults, read_all};
use scheduler::sample;
use scheduler::scenario::{self, Scenario};
use serde::de::DeserializeOwned;

use super::Failure;

/// The largest scenario file, in bytes; a week of a large site takes a hundredth of it.
const LARGEST_FILE: u64 = 8 * 1024 * 1024;

/// Reads and checks a scenario; `-` stands for standard input.
pub(crate) fn scenario(path: &Path) -> Result<Checked, Failure> {
    let name = shown(path);
    let text = text(path, &name)?;
    let scenario = whole(&text, &name)?;
    scenario.check().map_err(|faults| every(&name, faults))
}

/// A scenario, or everything in it that cannot be read.
fn whole(text: &str, name: &str) -> Result<Scenario, Failure> {
    let said = match scenario::read(text) {
        Ok(found) => return Ok(found),
        Err(said) => said,
    };
    let right = serde_json::to_value(sample::fixed()).map_err(Failure::other)?;
    let read = serde_json::from_str(text).map(|document| read_all::<Scenario>(document, &right));
    match read {
        Ok(Err(faults)) => Err(every(name, faults)),
        // It is no JSON, or a number in it is too long to be looked at twice.
        _ => Err(Failure::input(format!("{name}: {said}"))),
    }
}

/// Reads another document, such as a plan; `-` stands for standard input.
pub(crate) fn document<T: DeserializeOwned>(path: &Path) -> Result<T, Failure> {
    let name = shown(path);
    let text = text(path, &name)?;
    scenario::read_as(&text).map_err(|e| Failure::input(format!("{name}: {e}")))
}

fn shown(path: &Path) -> String {
    if is_standard_input(path) {
        "standard input".to_owned()
    } else {
        path.display().to_string()
    }
}

fn is_standard_input(path: &Path) -> bool {
    path.as_os_str() == "-"
}

fn every(name: &str, Faults(faults): Faults) -> Failure {
    Failure::Input(
        faults
            .iter()
            .map(|fault| format!("{name}: {fault}"))
            .collect(),
    )
}

fn text(path: &Path, name: &str) -> Result<String, Failure> {
    let bytes = if is_standard_input(path) {
        read_up_to_limit(io::stdin().lock())
    } else if path.is_dir() {
        return Err(Failure::input(format!(
            "{name}: a directory was found; a scenario file in JSON is expected \
             (`fizzwright sample` prints one)"
        )));
    } else {
        File::open(path).and_then(read_up_to_limit)
    };
    let bytes = bytes.map_err(|error| match error.kind() {
        io::ErrorKind::NotFound => Failure::input(format!(
            "{name}: there is no such file; `fizzwright sample > {name}` makes one to start from"
        )),
        _ => Failure::input(format!("{name}: the file cannot be read: {error}")),
    })?;
    if bytes.len() as u64 > LARGEST_FILE {
        return Err(Failure::input(format!(
            "{name}: the file is larger than the {} MB that are allowed",
            LARGEST_FILE / 1024 / 1024
        )));
    }
    utf8(bytes, name)
}

fn read_up_to_limit(source: impl Read) -> io::Result<Vec<u8>> {
    let mut bytes = Vec::new();
    source.take(LARGEST_FILE + 1).read_to_end(&mut bytes)?;
    Ok(bytes)
}

/// Text in UTF-8, without the mark some editors put in front of it.
fn utf8(bytes: Vec<u8>, name: &str) -> Result<String, Failure> {
    let text = String::from_utf8(bytes).map_err(|error| {
        Failure::input(format!(
            "{name}: byte {} is not UTF-8; a scenario is JSON text in UTF-8",
            error.utf8_error().valid_up_to() + 1
        ))
    })?;
    Ok(text
        .strip_prefix('\u{feff}')
        .map(str::to_owned)
        .unwrap_or(text))
}
