//! Schemathesis makes up requests from the contract, good and bad ones, one by one and in the order
//! its links suggest, and holds every answer against the contract.
//!
//! A run makes up the same requests every time, and ends when they are all answered, however long
//! that takes. `SEED=7` has others made up, and `EXPLORE_SECONDS=600` goes on with more of them for
//! that long; `make explore` sets both.

use std::env;

use tests::demo;

use super::{python, run, scripts};

#[test]
fn made_up_requests_are_answered_as_the_contract_says() {
    let server = demo::fixed_week();
    let dir = tempfile::tempdir().unwrap();
    let authorization = format!("Authorization: Bearer {}", server.key());
    let longer = env::var("EXPLORE_SECONDS").map(|seconds| ["--max-time".to_owned(), seconds]);
    let said = run(python()
        .current_dir(dir.path())
        .args(["-m", "schemathesis.cli", "--config-file"])
        .arg(scripts().join("schemathesis.toml"))
        .args(["run", &format!("{}/openapi.json", server.root())])
        .args(["--header", &authorization, "--checks", "all"])
        .args(["--phases", "examples,coverage,fuzzing,stateful"])
        // Questions take their time by design, and a stream of events does not end; both are asked
        // for elsewhere.
        .args([
            "--exclude-path-regex",
            "capacity|what-if|confidence|commitments|replan|events/stream",
        ])
        .args(["--max-examples", "8", "--seed", &tests::seed().to_string()])
        .args(longer.into_iter().flatten())
        // A slow machine is no reason to stop.
        .args(["--request-timeout", "300", "--suppress-health-check", "all"])
        .arg("--no-color"));
    // It ends with an error where something is not as it should be; this is so that it cannot end
    // well without having asked.
    assert!(said.contains(" passed"), "{said}");
    assert!(!said.contains("FAILURES"), "{said}");
    assert_eq!(server.get("/readyz").status, 200);
}
