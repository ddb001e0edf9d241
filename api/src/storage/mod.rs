//! The database: the only part that knows SQL.
//!
//! Each file holds the queries of one noun; its functions take a connection and return domain
//! types, which are checked again on the way out. Callers reach a connection through
//! [`Store::read`] and [`Store::write`] alone, so a second kind of database can be put behind them.

pub(crate) mod commitments;
pub(crate) mod demand;
mod error;
pub(crate) mod events;
pub(crate) mod plans;
mod pool;
pub(crate) mod publications;
pub(crate) mod readings;
mod row;
pub(crate) mod scenario;
mod schema;
pub(crate) mod setup;
pub(crate) mod sites;
pub(crate) mod stock;
pub(crate) mod work;

pub(crate) use error::StorageError;
pub(crate) use pool::Store;

/// What queries run on.
pub(crate) type Connection = diesel::SqliteConnection;
