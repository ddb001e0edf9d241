//! The database: the only part that knows SQL.
//!
//! Each file holds the queries of one noun; its functions take a connection and return domain
//! types, which are checked again on the way out. Callers reach a connection through
//! [`Store::read`] and [`Store::write`] alone.

pub(crate) mod assumed;
pub(crate) mod audit;
pub(crate) mod audit_context;
pub(crate) mod backup;
pub(crate) mod calendars;
mod changes;
pub(crate) mod codes;
pub(crate) mod commitments;
mod connection;
mod database_url;
pub(crate) mod demand;
pub(crate) mod erasure;
mod error;
pub(crate) mod events;
pub(crate) mod familiar;
mod file;
mod group_commit;
pub(crate) mod health;
mod identity;
pub(crate) mod keys;
pub(crate) mod makers;
mod open;
mod parsed_cache;
pub(crate) mod people;
mod planner;
pub(crate) mod plans;
mod pool;
mod process;
pub(crate) mod pruning;
pub(crate) mod publications;
pub(crate) mod readings;
pub(crate) mod repeats;
mod result_codes;
mod row;
pub(crate) mod scenario;
mod schema;
mod server;
pub(crate) mod sessions;
pub(crate) mod setup;
pub(crate) mod sites;
pub(crate) mod stock;
pub(crate) mod webhooks;
pub(crate) mod work;

pub(crate) use changes::Version;
/// What queries run on.
pub(crate) use connection::EitherConnection as Connection;
pub(crate) use database_url::{BadDatabaseUrl, DatabaseUrl, PATIENCE};
pub(crate) use error::StorageError;
pub(crate) use pool::Store;

#[cfg(test)]
pub(crate) use pool::tests;
