//! Having this test makes `cargo test` build the program, which the black-box tests look for.

use std::process::Command;

#[test]
fn the_program_says_its_version() {
    let said = Command::new(env!("CARGO_BIN_EXE_fizzwright"))
        .arg("--version")
        .output()
        .unwrap();
    assert!(said.status.success());
    assert!(String::from_utf8_lossy(&said.stdout).starts_with("fizzwright "));
}
