//! `fizzwright serve`: the service.

use std::io::IsTerminal;
use std::net::SocketAddr;

use actix_web::rt;
use clap::Args;
use tracing_subscriber::EnvFilter;

use super::{Failure, output};
use crate::demo;
use crate::problem::Chain;
use crate::service::{self, Service};
use crate::storage::Place;

/// Run the service until it is interrupted.
#[derive(Debug, Args)]
pub(crate) struct Serve {
    /// Address and port to listen on; port 0 takes a free one.
    #[arg(long, default_value = "127.0.0.1:8480")]
    listen: SocketAddr,
    /// The database: a file, which is made if there is none, or the URL of a PostgreSQL database.
    #[arg(
        long,
        value_name = "FILE|URL",
        env = "FIZZWRIGHT_DATABASE",
        hide_env_values = true,
        default_value = "fizzwright.sqlite"
    )]
    database: Place,
    /// Load the demo site if the database has no site, and request its first plan.
    #[arg(long)]
    demo: bool,
    /// Plans that are made at the same time (1 to 16).
    #[arg(long, value_name = "COUNT", default_value_t = 1,
        value_parser = clap::value_parser!(u8).range(1..=16))]
    solvers: u8,
    /// Let webhooks lead into private networks and to plain http, as for a till on the same network.
    #[arg(long, env = "FIZZWRIGHT_PRIVATE_WEBHOOKS")]
    private_webhooks: bool,
}

impl Serve {
    pub(crate) fn run(self) -> Result<(), Failure> {
        log();
        let solvers = usize::from(self.solvers);
        let service = Service::start(&self.database, solvers, self.private_webhooks)
            .map_err(|error| Failure::other(Chain(&error)))?;
        let loaded = if self.demo {
            demo::load(&service).map_err(|error| Failure::other(Chain(&error)))?
        } else {
            None
        };
        let served = rt::System::new().block_on(async {
            let (server, addresses) = service::bind(service.clone(), self.listen)
                .map_err(|error| Failure::other(format!("--listen {}: {error}", self.listen)))?;
            for address in addresses {
                output::print(&format!("Listening on http://{address}\n"))?;
                if !address.ip().is_loopback() {
                    tracing::warn!(
                        "anybody who reaches this address can read and change everything"
                    );
                }
                output::print(&format!("  documentation  http://{address}/docs/\n"))?;
                if let Some(plan) = &loaded {
                    output::print(&format!(
                        "  the demo plan  http://{address}/v1/plans/{plan}\n"
                    ))?;
                }
            }
            server.await.map_err(Failure::other)
        });
        service.jobs.stop();
        served
    }
}

/// Sends the log to standard error; `RUST_LOG` says how much of it.
fn log() {
    let usual = || EnvFilter::new("info,actix_server=warn");
    let filter = EnvFilter::try_from_default_env().unwrap_or_else(|_| usual());
    tracing_subscriber::fmt()
        .with_env_filter(filter)
        .with_writer(std::io::stderr)
        .with_ansi(std::io::stderr().is_terminal())
        .init();
}
