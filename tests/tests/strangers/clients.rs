//! Clients generated from the contract, in two languages, do the main job: a site is stored, its
//! week is planned, and the work is read.

use std::fs;
use std::process::Command;

use tests::{Server, demo};

use super::{contract, packages, python, run, scripts};

/// A server, and the scenario a client is to store in it.
fn stage() -> (Server, std::path::PathBuf) {
    let server = Server::empty();
    let file = server.dir().join("scenario.json");
    fs::write(&file, demo::scenario().to_string()).unwrap();
    (server, file)
}

#[test]
fn a_client_generated_in_python_plans_a_week() {
    let (server, scenario) = stage();
    let dir = tempfile::tempdir().unwrap();
    let settings = dir.path().join("settings.yml");
    fs::write(&settings, "post_hooks: []\n").unwrap();
    let said = run(python()
        .args([
            "-m",
            "openapi_python_client",
            "generate",
            "--meta",
            "none",
            "--path",
        ])
        .arg(contract())
        .arg("--output-path")
        .arg(dir.path().join("fizzwright_client"))
        .arg("--config")
        .arg(&settings));
    assert!(!said.contains("WARNING"), "{said}");
    let said = run(python()
        .env("PYTHONPATH", dir.path())
        .arg(scripts().join("main_job.py"))
        .args([server.root(), server.key()])
        .arg(scenario));
    assert!(said.contains("work items"), "{said}");
    checked(&server);
}

#[test]
fn a_client_generated_in_typescript_plans_a_week() {
    let (server, scenario) = stage();
    let home = packages();
    let dir = tempfile::tempdir_in(&home).unwrap();
    let program = |name: &str| home.join("node_modules/.bin").join(name);
    let types = dir.path().join("contract.d.ts");
    run(Command::new(program("openapi-typescript"))
        .arg(contract())
        .arg("-o")
        .arg(&types));
    for file in ["main_job.mts", "tsconfig.json"] {
        fs::copy(scripts().join(file), dir.path().join(file)).unwrap();
    }
    run(Command::new(program("tsc"))
        .args(["--project", "."])
        .current_dir(dir.path()));
    let said = run(Command::new("node")
        .arg("main_job.mjs")
        .args([server.root(), server.key()])
        .arg(scenario)
        .current_dir(dir.path()));
    assert!(said.contains("work items"), "{said}");
    checked(&server);
}

/// What the client did is there.
fn checked(server: &Server) {
    let plans = server.get(&format!("{}/plans", demo::SITE)).ok();
    assert_eq!(plans["plans"][0]["state"], "done", "{plans}");
}
