//! `fizzwright serve`: the service.

use std::io::Write;
use std::os::unix::fs::OpenOptionsExt;
use std::path::Path;
use std::sync::Arc;
use std::time::Duration;

use actix_web::rt;
use clap::Args;

use super::way_in::WayIn;
use super::{Failure, ending, output};
use crate::demo;
use crate::domain::access::Token;
use crate::problem::Chain;
use crate::server;
use crate::service::Service;
use crate::settings::{self, Flags, Settings};
use crate::stopping;
use crate::telemetry;

/// Run the service until it is interrupted.
#[derive(Debug, Args)]
pub(crate) struct Serve {
    #[command(flatten)]
    flags: Flags,
    /// Load the demo site if the database has no site, and request its first plan.
    #[arg(long)]
    demo: bool,
}

impl Serve {
    pub(crate) fn run(self) -> Result<(), Failure> {
        let settings = settings::find(&self.flags)
            .map_err(Failure::Input)?
            .settings;
        let telemetry = telemetry::start(settings.log, settings.otlp_endpoint.as_ref())
            .map_err(|error| Failure::other(format!("otlp_endpoint: {error}")))?;
        // First of all: whoever cannot listen leaves no trace in a database.
        let listen = settings.listen;
        let listener = server::listener(listen)
            .map_err(|error| Failure::other(format!("--listen {listen}: {error}")))?;
        let service = Service::start(&settings).map_err(|error| Failure::other(Chain(&error)))?;
        let first = first_key(&service, settings.key_file.as_deref())?;
        let loaded = if self.demo {
            demo::load(&service).map_err(|error| Failure::other(Chain(&error)))?
        } else {
            None
        };
        let silent = settings.key_file.is_some();
        let way_in = WayIn::find(&service, first.is_some(), silent, loaded.as_ref())?;
        let grace = Duration::from_secs(settings.shutdown_grace_s.into());
        let ending = ending::listen(Arc::clone(&service), grace).map_err(Failure::other)?;
        let served = rt::System::new().block_on(async {
            let (server, addresses) = server::serve(service.clone(), &settings, listener)
                .map_err(|error| Failure::other(format!("--listen {listen}: {error}")))?;
            for address in addresses {
                greet(address, &way_in, first.as_ref().filter(|_| !silent))?;
                if let Some(loaded) = &loaded {
                    let plan = format!("http://{address}/v1/plans/{}", loaded.plan);
                    output::print(&format!("  the demo plan  {plan}\n"))?;
                }
                warn(&settings, address);
            }
            let stopping = service.stopping.clone();
            stopping::on_signals(server.handle(), stopping).map_err(Failure::other)?;
            server.await.map_err(Failure::other)
        });
        if !service.jobs.stop(ending.left()) {
            tracing::warn!("a search does not look up; it is taken up again by the next process");
        }
        service.refusals.flush();
        telemetry.stop();
        ending.wait_for_runs();
        served
    }
}

fn greet(
    address: std::net::SocketAddr,
    way_in: &WayIn,
    key: Option<&Token>,
) -> Result<(), Failure> {
    output::print(&format!("Listening on http://{address}\n"))?;
    output::print(&format!("  the board      http://{address}/board\n"))?;
    way_in.say()?;
    output::print(&format!("  documentation  http://{address}/docs/\n"))?;
    if let Some(key) = key {
        output::print(&format!(
            "  your key       {}\n                 it may do everything and is shown this once; \
             send it as\n                 Authorization: Bearer KEY\n",
            key.reveal()
        ))?;
    }
    Ok(())
}

fn warn(settings: &Settings, address: std::net::SocketAddr) {
    if !address.ip().is_loopback() && !settings.secure_cookies {
        tracing::warn!(
            "others reach this address without TLS: put a proxy with TLS before it and set \
             secure_cookies"
        );
    }
}

/// Makes the first key if the database never had one, and keeps it only once it stands in the file
/// it is wanted in.
fn first_key(service: &Service, file: Option<&Path>) -> Result<Option<Token>, Failure> {
    let mut unwritten = None;
    let made = service.first_key(|key| {
        let written = file.map_or(Ok(()), |file| write_key(file, key));
        let kept = written.is_ok();
        unwritten = written.err();
        kept
    });
    match (made, unwritten, file) {
        (_, Some(error), Some(file)) => Err(Failure::other(format!(
            "--key-file {}: {error}",
            file.display()
        ))),
        (made, _, _) => made.map_err(|error| Failure::other(Chain(&error))),
    }
}

/// Writes a key so that only this user can read it.
fn write_key(file: &Path, key: &Token) -> std::io::Result<()> {
    let mut open = std::fs::OpenOptions::new();
    open.write(true).create(true).truncate(true).mode(0o600);
    let mut written = open.open(file)?;
    writeln!(written, "{}", key.reveal())
}
