//! Everything over HTTP that keeps something, once more on PostgreSQL.
//!
//! The name of this program is what makes `tests::Server` use PostgreSQL. A test of the house sees
//! to it that no file of the black-box tests is forgotten here.

#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    reason = "tests may fail loudly"
)]

#[path = "../blackbox/access.rs"]
mod access;
#[path = "../blackbox/bad_input.rs"]
mod bad_input;
#[path = "../blackbox/board.rs"]
mod board;
#[path = "../blackbox/board_changes.rs"]
mod board_changes;
#[path = "../blackbox/bodies.rs"]
mod bodies;
#[path = "../blackbox/booked_once.rs"]
mod booked_once;
#[path = "../blackbox/bundles.rs"]
mod bundles;
#[path = "../blackbox/calibration.rs"]
mod calibration;
#[path = "../blackbox/capacity.rs"]
mod capacity;
#[path = "../blackbox/codes.rs"]
mod codes;
#[path = "../blackbox/commitments.rs"]
mod commitments;
#[path = "../blackbox/conditions.rs"]
mod conditions;
#[path = "../blackbox/cross_site.rs"]
mod cross_site;
#[path = "../blackbox/demand.rs"]
mod demand;
#[path = "../blackbox/drafts.rs"]
mod drafts;
#[path = "../blackbox/ends.rs"]
mod ends;
#[path = "../blackbox/erasure.rs"]
mod erasure;
#[path = "../blackbox/events.rs"]
mod events;
#[path = "../blackbox/injection.rs"]
mod injection;
#[path = "../blackbox/instants.rs"]
mod instants;
#[path = "../blackbox/kegs.rs"]
mod kegs;
#[path = "../blackbox/manners.rs"]
mod manners;
#[path = "../blackbox/materials.rs"]
mod materials;
#[path = "../blackbox/own_sessions.rs"]
mod own_sessions;
#[path = "../blackbox/plans.rs"]
mod plans;
#[path = "../blackbox/problems.rs"]
mod problems;
#[path = "../blackbox/queue.rs"]
mod queue;
mod records;
#[path = "../blackbox/recovery.rs"]
mod recovery;
#[path = "../blackbox/repeats_after_crash.rs"]
mod repeats_after_crash;
#[path = "../blackbox/retention.rs"]
mod retention;
#[path = "../blackbox/setup.rs"]
mod setup;
#[path = "../blackbox/shown_once.rs"]
mod shown_once;
#[path = "../blackbox/sign_in.rs"]
mod sign_in;
mod silence;
#[path = "../blackbox/site_limits.rs"]
mod site_limits;
#[path = "../blackbox/sites.rs"]
mod sites;
#[path = "../blackbox/spellings.rs"]
mod spellings;
#[path = "../blackbox/stock.rs"]
mod stock;
#[path = "../blackbox/streams.rs"]
mod streams;
#[path = "../blackbox/trail.rs"]
mod trail;
#[path = "../blackbox/webhooks.rs"]
mod webhooks;
#[path = "../blackbox/what_if.rs"]
mod what_if;
#[path = "../blackbox/work.rs"]
mod work;
