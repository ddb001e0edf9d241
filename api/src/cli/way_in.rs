//! How somebody signs in to the board, said each time the service starts.

use super::{Failure, output};
use crate::demo;
use crate::domain::Refusal;
use crate::domain::access::{MadeUp, Scope, made_up};
use crate::problem::Chain;
use crate::service::Service;
use crate::storage::people;

/// What the first person is called.
const OWNER: &str = "owner";

/// How somebody signs in.
pub(super) enum WayIn {
    /// By a password that was made up just now.
    Shown {
        name: String,
        password: String,
        /// How long it is good.
        lasts: &'static str,
    },
    /// Nobody may yet.
    Nobody,
    /// By a name and password of somebody who was added before.
    Known,
}

impl WayIn {
    /// The demo's person; in a database that is new, one who may do everything. `silent` makes
    /// nobody up: what is secret is to go to a file there, and not to standard output.
    pub(super) fn find(
        service: &Service,
        is_new: bool,
        silent: bool,
        demo: Option<&demo::Loaded>,
    ) -> Result<Self, Failure> {
        if let Some(demo) = demo {
            let (name, password) = &demo.person;
            return Ok(Self::Shown {
                name: (*name).to_owned(),
                password: password.clone(),
                lasts: "for a week",
            });
        }
        if !is_new || silent {
            let known = service.store.read_now(people::list);
            let known = known.map_err(|error| failed(error.into()))?;
            return Ok(match known.is_empty() {
                true => Self::Nobody,
                false => Self::Known,
            });
        }
        let MadeUp {
            person,
            hash,
            password,
        } = made_up(OWNER, Scope::Admin, None).map_err(failed)?;
        let first = service
            .store
            .write_now(|conn| {
                let first = people::list(conn)?.is_empty();
                if first {
                    people::insert(conn, &person, &hash)?;
                }
                Ok::<_, Refusal>(first)
            })
            .map_err(failed)?;
        Ok(match first {
            false => Self::Known,
            true => Self::Shown {
                name: person.name,
                password,
                lasts: "",
            },
        })
    }

    /// Says it on standard output.
    pub(super) fn say(&self) -> Result<(), Failure> {
        output::print(&match self {
            Self::Shown {
                name,
                password,
                lasts,
            } => {
                let lasts = if lasts.is_empty() {
                    String::new()
                } else {
                    format!(" {lasts}")
                };
                format!(
                    "  sign in there  as {name} with {password}\n                 it may do \
                     everything{lasts} and is shown this once\n"
                )
            }
            Self::Nobody => "  sign in there  nobody may yet; `fizzwright person NAME` on this \
                             machine adds somebody\n"
                .to_owned(),
            Self::Known => "  sign in there  with your name and password; where all are lost, \
                            `fizzwright person NAME`\n                 on this machine adds \
                            somebody\n"
                .to_owned(),
        })
    }
}

fn failed(refusal: Refusal) -> Failure {
    Failure::other(Chain(&refusal))
}
