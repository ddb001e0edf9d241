//! The board's pages and forms, and what each asks for. What is not listed is not served.
//!
//! Forms are named as the API's operations that do the same, so that the audit trail reads alike.

use crate::domain::access::Scope;
use crate::http::{Operation, Operations};

use Scope::{Admin, Floor, Plan, Read};

type Page = (&'static str, &'static str, Option<Scope>, &'static str);

const PAGES: &[Page] = &[
    ("GET", "/board", Some(Read), "board"),
    ("GET", "/board/sign-in", None, "board_sign_in"),
    ("POST", "/board/sign-in", None, "sign_in"),
    ("POST", "/board/sign-out", Some(Read), "sign_out"),
    ("GET", "/board/sign-in/account", Some(Read), "board_account"),
    (
        "POST",
        "/board/sign-in/account/password",
        Some(Read),
        "change_own_password",
    ),
    (
        "POST",
        "/board/sign-in/account/sessions",
        Some(Read),
        "end_sessions",
    ),
    ("POST", "/board/units", Some(Read), "board_units"),
    ("GET", "/board/new", Some(Admin), "board_new_site"),
    ("POST", "/board/new", Some(Admin), "create_drafted_site"),
    ("POST", "/board/new/import", Some(Admin), "import_site"),
    ("GET", "/board/{site}", Some(Read), "board_site"),
    ("GET", "/board/{site}/today", Some(Read), "board_today"),
    ("GET", "/board/{site}/week", Some(Read), "board_week"),
    (
        "GET",
        "/board/{site}/plans/{plan}/week",
        Some(Read),
        "board_plan_week",
    ),
    (
        "GET",
        "/board/{site}/plans/{plan}/week.svg",
        Some(Read),
        "board_week_picture",
    ),
    ("GET", "/board/{site}/ready", Some(Read), "board_ready"),
    (
        "GET",
        "/board/{site}/ready/curve.svg",
        Some(Read),
        "board_ready_curve",
    ),
    (
        "GET",
        "/board/{site}/commitments",
        Some(Read),
        "board_commitments",
    ),
    (
        "POST",
        "/board/{site}/commitments",
        Some(Plan),
        "ask_commitment",
    ),
    (
        "GET",
        "/board/{site}/commitments/{commitment}",
        Some(Read),
        "board_commitment",
    ),
    (
        "POST",
        "/board/{site}/commitments/{commitment}/hold",
        Some(Plan),
        "hold_commitment",
    ),
    (
        "POST",
        "/board/{site}/commitments/{commitment}/accept",
        Some(Plan),
        "accept_commitment",
    ),
    (
        "POST",
        "/board/{site}/commitments/{commitment}/release",
        Some(Plan),
        "release_commitment",
    ),
    ("GET", "/board/{site}/demand", Some(Read), "board_demand"),
    ("POST", "/board/{site}/demand", Some(Plan), "replace_demand"),
    (
        "POST",
        "/board/{site}/demand/paste",
        Some(Plan),
        "import_demand",
    ),
    (
        "POST",
        "/board/{site}/demand/remove",
        Some(Plan),
        "delete_demand_line",
    ),
    ("GET", "/board/{site}/stock", Some(Read), "board_stock"),
    (
        "POST",
        "/board/{site}/stock/count",
        Some(Floor),
        "record_stock_count",
    ),
    (
        "POST",
        "/board/{site}/stock/receive",
        Some(Floor),
        "record_stock_movement",
    ),
    ("GET", "/board/{site}/setup", Some(Read), "board_setup"),
    ("POST", "/board/{site}/setup", Some(Plan), "replace_setup"),
    (
        "GET",
        "/board/{site}/setup/{part}",
        Some(Read),
        "board_setup_part",
    ),
    (
        "POST",
        "/board/{site}/setup/{part}",
        Some(Plan),
        "replace_setup",
    ),
    (
        "GET",
        "/board/{site}/calculators",
        Some(Read),
        "board_calculators",
    ),
    (
        "GET",
        "/board/{site}/calculators/{part}/{name}",
        Some(Read),
        "board_calculator",
    ),
    ("GET", "/board/{site}/sheets", Some(Read), "board_sheets"),
    ("GET", "/board/{site}/admin", Some(Admin), "board_admin"),
    (
        "POST",
        "/board/{site}/admin/keys",
        Some(Admin),
        "create_key",
    ),
    (
        "POST",
        "/board/{site}/admin/keys/revoke",
        Some(Admin),
        "revoke_key",
    ),
    (
        "POST",
        "/board/{site}/admin/people",
        Some(Admin),
        "add_person",
    ),
    (
        "POST",
        "/board/{site}/admin/people/remove",
        Some(Admin),
        "remove_person",
    ),
    (
        "POST",
        "/board/{site}/admin/feeds",
        Some(Admin),
        "create_calendar",
    ),
    (
        "POST",
        "/board/{site}/admin/feeds/revoke",
        Some(Admin),
        "revoke_calendar",
    ),
    (
        "POST",
        "/board/{site}/admin/webhooks",
        Some(Admin),
        "create_webhook",
    ),
    (
        "POST",
        "/board/{site}/admin/webhooks/remove",
        Some(Admin),
        "delete_webhook",
    ),
    (
        "POST",
        "/board/{site}/admin/webhooks/secret",
        Some(Admin),
        "renew_webhook_secret",
    ),
    (
        "POST",
        "/board/{site}/admin/webhooks/resend",
        Some(Admin),
        "resend_webhook_delivery",
    ),
    ("GET", "/board/{site}/plans", Some(Read), "board_plans"),
    ("POST", "/board/{site}/plans", Some(Plan), "request_plan"),
    (
        "GET",
        "/board/{site}/plans/{plan}",
        Some(Read),
        "board_plan",
    ),
    (
        "POST",
        "/board/{site}/plans/{plan}/publish",
        Some(Plan),
        "publish_plan",
    ),
    (
        "POST",
        "/board/{site}/plans/{plan}/replan",
        Some(Plan),
        "replan",
    ),
    (
        "POST",
        "/board/{site}/plans/{plan}/cancel",
        Some(Plan),
        "cancel_plan",
    ),
    (
        "GET",
        "/board/{site}/plans/{plan}/compare",
        Some(Read),
        "board_compare",
    ),
    (
        "GET",
        "/board/{site}/plans/{plan}/sure",
        Some(Read),
        "board_sure",
    ),
    (
        "POST",
        "/board/{site}/plans/{plan}/what-if",
        Some(Plan),
        "ask_what_if",
    ),
    (
        "GET",
        "/board/{site}/plans/{plan}/what-if/{question}",
        Some(Read),
        "board_what_if",
    ),
    (
        "GET",
        "/board/{site}/plans/{plan}/work/{item}",
        Some(Read),
        "board_work",
    ),
    (
        "POST",
        "/board/{site}/plans/{plan}/work/{item}/start",
        Some(Floor),
        "start_work",
    ),
    (
        "POST",
        "/board/{site}/plans/{plan}/work/{item}/finish",
        Some(Floor),
        "finish_work",
    ),
    (
        "POST",
        "/board/{site}/plans/{plan}/work/{item}/fail",
        Some(Floor),
        "fail_work",
    ),
    (
        "POST",
        "/board/{site}/plans/{plan}/work/{item}/skip",
        Some(Floor),
        "skip_work",
    ),
    (
        "POST",
        "/board/{site}/plans/{plan}/work/{item}/readings",
        Some(Floor),
        "log_readings",
    ),
];

/// All of them, to be looked up.
pub(crate) fn pages() -> Operations {
    Operations::listed(PAGES.iter().map(|(method, path, scope, id)| {
        let operation = Operation {
            id: (*id).to_owned(),
            path: (*path).to_owned(),
            scope: *scope,
            retiring: None,
        };
        (*method, operation)
    }))
}
