//! A person whose password is made up for them: the first one, the demo's, one who lost theirs.

use scheduler::scenario::SiteId;
use serde_json::json;

use super::{PersonRequest, PersonView, Scope, made_up_password};
use crate::domain::{Refusal, time};

/// A person, and the password that was made up for them.
pub(crate) struct MadeUp {
    pub(crate) person: PersonView,
    /// What is kept of the password.
    pub(crate) hash: String,
    /// To be shown once; it is kept nowhere.
    pub(crate) password: String,
}

/// Makes up a password for a person.
///
/// # Errors
/// If the name cannot be one, or there are no random numbers.
pub(crate) fn made_up(
    name: &str,
    scope: Scope,
    sites: Option<Vec<SiteId>>,
) -> Result<MadeUp, Refusal> {
    let password = made_up_password()?;
    let mut said = json!({ "name": name, "password": password, "scopes": [scope] });
    if let Some(sites) = sites {
        said["sites"] = json!(sites);
    }
    let request: PersonRequest = serde_json::from_value(said).map_err(Refusal::internal)?;
    let (person, hash) = request.make(time::now())?;
    Ok(MadeUp {
        person,
        hash,
        password,
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_password_that_is_shown_is_the_one_that_is_kept() {
        let made = made_up("owner", Scope::Admin, None).unwrap();
        assert_eq!(
            (made.person.name.as_str(), made.person.ends_at),
            ("owner", None)
        );
        let said = serde_json::to_value(&made.password).unwrap();
        let password: crate::domain::access::Password = serde_json::from_value(said).unwrap();
        assert!(password.matches(&made.hash));
        assert!(made_up(" ", Scope::Admin, None).is_err());
    }
}
