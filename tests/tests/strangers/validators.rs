//! The contract is a valid OpenAPI document to two validators that share no code.

use std::fs;
use std::process::Command;

use super::{contract, packages, python, run, scripts};

#[test]
fn the_contract_is_valid_to_a_validator_in_python() {
    let said = run(python()
        .args(["-m", "openapi_spec_validator", "--schema", "3.1"])
        .arg(contract()));
    assert!(said.contains("OK"), "{said}");
}

#[test]
fn the_contract_is_valid_to_a_validator_in_javascript() {
    let home = packages();
    let script = home.join("validate.mjs");
    fs::copy(scripts().join("validate.mjs"), &script).unwrap();
    let said = run(Command::new("node").arg(&script).arg(contract()));
    assert!(said.contains("valid OpenAPI 3.1"), "{said}");
    // The validator does say no.
    let dir = tempfile::tempdir().unwrap();
    let broken = dir.path().join("broken.json");
    let text = fs::read_to_string(contract()).unwrap();
    fs::write(&broken, text.replacen("\"responses\"", "\"answers\"", 1)).unwrap();
    let refused = Command::new("node").arg(&script).arg(&broken).output();
    assert!(!refused.unwrap().status.success());
}
