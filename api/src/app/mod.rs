//! Use cases: what people and other systems do with the service, one file per noun.
//!
//! The interface and the board both call these. They know who asks and what for, and the database;
//! they know no HTTP and no pages.

pub(crate) mod bundles;
pub(crate) mod calculations;
pub(crate) mod calendars;
pub(crate) mod calibration;
pub(crate) mod capacity;
pub(crate) mod codes;
pub(crate) mod commitments;
pub(crate) mod comparison;
pub(crate) mod demand;
pub(crate) mod drafts;
pub(crate) mod keys;
pub(crate) mod materials;
pub(crate) mod own_sessions;
pub(crate) mod people;
pub(crate) mod plans;
pub(crate) mod publication;
pub(crate) mod questions;
pub(crate) mod queue;
pub(crate) mod recording;
pub(crate) mod replan;
pub(crate) mod sessions;
pub(crate) mod setup;
pub(crate) mod sites;
pub(crate) mod stock;
pub(crate) mod webhooks;
