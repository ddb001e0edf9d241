//! A site as one file: taken out, put in elsewhere, or copied to start another.

use scheduler::draft::Assumption;
use scheduler::scenario::{Demand, Policy, Setup, Site, SiteId, Stock};
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use super::codes::Codes;

/// What the file is called inside, so that another kind of file is told apart.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
pub(crate) enum Format {
    /// A site, first edition.
    #[serde(rename = "fizzwright-site-1")]
    Site1,
}

/// A site as one file. Plans, work, readings and the ledger's history stay where they are: they are of
/// the place and not of its setup.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub(crate) struct SiteBundle {
    /// What kind of file it is.
    pub(crate) format: Format,
    /// The facts of the place.
    pub(crate) site: Site,
    /// What soda is made with, if that was told.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub(crate) setup: Option<Setup>,
    /// How it is made.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub(crate) policy: Option<Policy>,
    /// What is wanted from now on.
    #[serde(default)]
    #[schema(max_items = 2000)]
    pub(crate) demand: Vec<Demand>,
    /// What is on hand, if it was counted.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub(crate) stock: Option<Stock>,
    /// What other systems call things.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub(crate) codes: Option<Codes>,
    /// What nobody told or changed yet.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub(crate) assumed: Vec<Assumption>,
}

impl SiteBundle {
    /// The same as another site.
    pub(crate) fn named(mut self, id: Option<SiteId>, name: Option<String>) -> Self {
        if let Some(id) = id {
            self.site.id = id;
        }
        if let Some(name) = name {
            self.site.name = name;
        }
        self
    }
}
