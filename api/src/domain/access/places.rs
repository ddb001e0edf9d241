//! Where somebody signs in from, and whether they signed in there before.

use super::Token;

/// Where somebody signs in from.
#[derive(Debug, Clone)]
pub(crate) struct Origin {
    /// The address the request came from.
    pub(crate) address: String,
    /// What requests from there are counted under.
    pub(crate) network: String,
    /// The token of the browser, if it shows one.
    pub(crate) device: Option<Token>,
}

/// Where somebody tries to sign in from, as far as it is known to be theirs.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) enum Familiar {
    /// A browser they signed in with before, by its id.
    Device(String),
    /// An address they signed in from before.
    Address,
    /// Nowhere they ever signed in from.
    No,
}
