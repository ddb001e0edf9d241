//! Paths that the interface and the board read alike.

use scheduler::scenario::SiteId;
use serde::Deserialize;
use utoipa::IntoParams;

/// A path that names a site.
#[derive(Debug, Deserialize, IntoParams)]
#[into_params(parameter_in = Path)]
pub(crate) struct SitePath {
    /// The site's id.
    #[param(value_type = String, pattern = "^[a-z0-9_-]{1,64}$", example = "harbour-bar")]
    pub(crate) site: SiteId,
}
