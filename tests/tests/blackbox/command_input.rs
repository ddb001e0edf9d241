//! Bad input on the command line: one clear message, exit code 2, never a panic.

use serde_json::{Value, json};
use tests::{Ended, demo, fizzwright};

/// Exit code 2, the field and what is allowed on standard error, nothing on standard output.
fn refused(ended: &Ended, parts: &[&str]) {
    assert_eq!(ended.code, Some(2), "{ended:?}");
    assert_eq!(ended.out, "", "half an answer");
    assert!(!ended.err.contains("panicked"), "{}", ended.err);
    assert!(!ended.err.contains("RUST_BACKTRACE"), "{}", ended.err);
    for part in parts {
        assert!(
            ended.err.contains(part),
            "\"{part}\" is not in: {}",
            ended.err
        );
    }
}

/// Plans the demo scenario after an edit and checks how it is refused.
fn check(edit: impl FnOnce(&mut Value), parts: &[&str]) {
    let mut scenario = demo::scenario();
    edit(&mut scenario);
    refused(
        &fizzwright(&["plan", "-"], scenario.to_string().as_bytes()),
        parts,
    );
}

#[test]
fn a_typo_in_a_field_name() {
    check(
        |s| {
            let pot = s["setup"]["pots"][0].as_object_mut().unwrap();
            let power = pot.remove("power_w").unwrap();
            pot.insert("powr_w".to_owned(), power);
        },
        &[
            "setup.pots[0].powr_w",
            "unknown field `powr_w`",
            "`power_w`",
        ],
    );
}

#[test]
fn everything_that_cannot_be_read_is_told_at_once() {
    check(
        |s| {
            s["setup"]["pots"][1]["volume_l"] = json!(-30);
            s["site"]["time_zone"] = json!("Europe/Atlantis");
            let policy = s["policy"].as_object_mut().unwrap();
            policy.remove("purges");
        },
        &[
            "setup.pots[1].volume_l: ",
            "site.time_zone: ",
            "policy.purges: missing field `purges`",
        ],
    );
}

#[test]
fn a_negative_volume() {
    check(
        |s| s["setup"]["pots"][1]["volume_l"] = json!(-30),
        &["setup.pots[1].volume_l", "-30 L", "2 to 1000 L"],
    );
}

#[test]
fn a_pot_of_zero_power() {
    check(
        |s| s["setup"]["pots"][0]["power_w"] = json!(0),
        &["setup.pots[0].power_w", "0 W", "200 to 100000 W"],
    );
}

#[test]
fn an_unknown_product_in_demand() {
    check(
        |s| s["demand"][3]["product"] = json!("cola"),
        &["demand[3].product", "no product \"cola\"", "plain-soda"],
    );
}

#[test]
fn a_service_before_the_horizon_starts() {
    check(
        |s| s["demand"][0]["due"] = json!("2026-05-31T17:00:00+01:00"),
        &[
            "demand[0].due",
            "2026-05-31T17:00:00+01:00 found",
            "from 2026-06-01T06:00:00+01:00",
        ],
    );
}

#[test]
fn a_keg_type_nothing_can_carbonate() {
    check(
        |s| {
            for station in s["setup"]["gas_stations"].as_array_mut().unwrap() {
                station["keg_types"] = json!(["keg-19"]);
            }
        },
        &[
            "setup.keg_types[1]",
            "nothing can carbonate \"keg-9\"",
            "must list it",
        ],
    );
}

#[test]
fn ten_thousand_lines_of_demand() {
    check(
        |s| {
            let line = s["demand"][0].clone();
            s["demand"] = Value::Array(vec![line; 10_000]);
        },
        &["demand: 10000 lines found", "at most 2000 are allowed"],
    );
}

#[test]
fn no_demand() {
    check(
        |s| s["demand"] = json!([]),
        &["demand: 0 lines found", "at least 1 is needed"],
    );
}

#[test]
fn several_faults_are_told_at_once() {
    check(
        |s| {
            s["demand"][0]["product"] = json!("cola");
            s["site"]["currency"] = json!("euro");
        },
        &["demand[0].product", "site.currency", "EUR"],
    );
}

#[test]
fn a_number_where_a_text_belongs() {
    check(
        |s| s["site"]["name"] = json!(7),
        &["site.name", "invalid type", "expected a string"],
    );
}

#[test]
fn an_empty_file() {
    refused(
        &fizzwright(&["plan", "-"], b" \n"),
        &["empty", "`fizzwright sample`"],
    );
}

#[test]
fn a_file_cut_short() {
    let text = demo::scenario().to_string();
    refused(
        &fizzwright(&["plan", "-"], &text.as_bytes()[..900]),
        &["not JSON", "line 1 column"],
    );
}

#[test]
fn a_file_nested_without_end() {
    let deep = "[".repeat(200_000);
    refused(
        &fizzwright(&["plan", "-"], deep.as_bytes()),
        &["standard input"],
    );
}

#[test]
fn a_directory() {
    let dir = tempfile::tempdir().unwrap();
    let path = dir.path().to_str().unwrap();
    refused(
        &fizzwright(&["plan", path], b""),
        &[path, "a directory was found", "file"],
    );
}

#[test]
fn a_missing_file() {
    refused(
        &fizzwright(&["plan", "/nowhere/week.json"], b""),
        &["/nowhere/week.json", "no such file", "`fizzwright sample"],
    );
}

#[test]
fn a_file_that_is_not_text() {
    let mut bytes = demo::scenario().to_string().into_bytes();
    bytes[40] = 0xff;
    refused(
        &fizzwright(&["plan", "-"], &bytes),
        &["byte 41 is not UTF-8"],
    );
}

#[test]
fn a_file_too_large() {
    let large = vec![b' '; 8 * 1024 * 1024 + 1];
    refused(
        &fizzwright(&["plan", "-"], &large),
        &["larger than the 8 MB"],
    );
}

#[test]
fn options_out_of_range() {
    let ended = fizzwright(&["plan", "-", "--gap", "3"], b"");
    refused(&ended, &["--gap", "3", "0 to 0.5"]);
    let ended = fizzwright(&["plan", "-", "--time-limit", "0"], b"");
    refused(&ended, &["--time-limit", "1 to 3600"]);
}

#[test]
fn a_model_file_with_another_ending() {
    let text = demo::scenario().to_string();
    let ended = fizzwright(
        &["plan", "-", "--export-model", "/tmp/model.lp"],
        text.as_bytes(),
    );
    refused(&ended, &["--export-model", "/tmp/model.lp", ".mps"]);
}

#[test]
fn capacity_by_a_time_that_is_none() {
    let text = demo::scenario().to_string();
    let ended = fizzwright(&["capacity", "-", "--by", "soon"], text.as_bytes());
    refused(&ended, &["--by", "\"soon\"", "friday 17:00"]);
}

#[test]
fn capacity_outside_the_horizon_or_of_an_unknown_product() {
    let text = demo::scenario().to_string();
    let ask = |arguments: &[&str]| {
        let arguments = [&["capacity", "-"], arguments].concat();
        fizzwright(&arguments, text.as_bytes())
    };
    refused(
        &ask(&["--by", "2027-01-01 12:00"]),
        &["by", "2027-01-01T12:00:00"],
    );
    refused(
        &ask(&["--by", "friday 17:00", "--product", "cola"]),
        &["product", "cola"],
    );
}
