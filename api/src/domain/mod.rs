//! What the service decides, without HTTP and without SQL.
//!
//! Types here hold their bounds: a request or a row becomes one of them or is refused.

pub(crate) mod access;
pub(crate) mod assumed;
pub(crate) mod audit;
pub(crate) mod bundle;
pub(crate) mod calendars;
pub(crate) mod calibration;
pub(crate) mod cells;
pub(crate) mod codes;
pub(crate) mod commitments;
pub(crate) mod comparison;
pub(crate) mod demand;
pub(crate) mod events;
pub(crate) mod keeping;
pub(crate) mod materials;
pub(crate) mod page;
pub(crate) mod plans;
pub(crate) mod publications;
pub(crate) mod questions;
pub(crate) mod queue;
pub(crate) mod readings;
pub(crate) mod refusal;
pub(crate) mod repeats;
pub(crate) mod replanning;
pub(crate) mod revision;
pub(crate) mod roles;
pub(crate) mod scenario;
pub(crate) mod secret;
pub(crate) mod setup;
pub(crate) mod sites;
pub(crate) mod stock;
pub(crate) mod tags;
pub(crate) mod time;
pub(crate) mod trace;
pub(crate) mod webhooks;
pub(crate) mod words;
pub(crate) mod work;

pub(crate) use refusal::Refusal;
pub(crate) use revision::{Expected, Revised, Revision, Stored};
