//! Black-box tests: the real program and a real server, one file per noun.

#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    reason = "tests may fail loudly"
)]

mod access;
mod bad_input;
mod board;
mod board_changes;
mod bodies;
mod booked_once;
mod bundles;
mod calculations;
mod calibration;
mod capacity;
mod codes;
mod command_input;
mod command_line;
mod commitments;
mod conditions;
mod contract;
mod cross_site;
mod demand;
mod drafts;
mod ends;
mod erasure;
mod events;
mod faults;
mod hard_days;
mod headers;
mod house;
mod injection;
mod instants;
mod kegs;
mod life;
mod manners;
mod materials;
mod operation;
mod outgoing;
mod own_sessions;
mod plans;
mod problems;
mod proxies;
mod questions;
mod queue;
mod recovery;
mod repeats_after_crash;
mod restores;
mod retention;
mod secrets;
mod service;
mod setup;
mod shown_once;
mod sign_in;
mod site_limits;
mod sites;
mod spellings;
mod stock;
mod streams;
mod traces;
mod trail;
mod webhooks;
mod what_if;
mod work;
