//! That the service was told to stop, for whatever would go on for long.

use std::pin::pin;

use actix_web::dev::ServerHandle;
use actix_web::rt;
use actix_web::rt::signal::unix::{SignalKind, signal};
use futures_util::future::{Either, select};
use tokio::sync::watch;

/// Whether the service was told to stop.
#[derive(Debug, Clone)]
pub(crate) struct Stopping(watch::Sender<bool>);

impl Default for Stopping {
    fn default() -> Self {
        Self(watch::Sender::new(false))
    }
}

impl Stopping {
    /// Ends when the service is told to stop.
    pub(crate) async fn told(&self) {
        let mut told = self.0.subscribe();
        // The sender is here, so there is one.
        let _ = told.wait_for(|told| *told).await;
    }

    fn tell(&self) {
        self.0.send_replace(true);
    }
}

/// Stops a server when the process is told to end: politely by SIGTERM, with a grace for answers in
/// hand, and at once by SIGINT or SIGQUIT, which also cuts a grace short.
///
/// # Errors
/// If signals cannot be listened to.
pub(crate) fn on_signals(server: ServerHandle, stopping: Stopping) -> std::io::Result<()> {
    let mut politely = signal(SignalKind::terminate())?;
    let mut interrupt = signal(SignalKind::interrupt())?;
    let mut quit = signal(SignalKind::quit())?;
    rt::spawn(async move {
        let politely = pin!(politely.recv());
        let (interrupt, quit) = (pin!(interrupt.recv()), pin!(quit.recv()));
        let at_once = select(interrupt, quit);
        if let Either::Left((_, at_once)) = select(politely, at_once).await {
            stopping.tell();
            // It need not be waited for: whoever runs the server does.
            drop(server.stop(true));
            at_once.await;
        }
        stopping.tell();
        server.stop(false).await;
    });
    Ok(())
}
