//! A body read while it arrives, so that a long table is never held as a whole.

use std::io::{self, Read};

use actix_web::web;
use futures_util::StreamExt;
use futures_util::future::join;
use tokio::sync::mpsc;

use super::body::unread;
use crate::blocking::waiting;
use crate::domain::Refusal;
use crate::problem::Problem;

/// Parts that may wait to be read; the sender is held back beyond that.
const WAITING: usize = 4;

/// What has arrived of a body, for code that waits for more on a thread of its own.
pub(crate) struct Arriving {
    parts: mpsc::Receiver<web::Bytes>,
    part: web::Bytes,
}

impl Read for Arriving {
    fn read(&mut self, into: &mut [u8]) -> io::Result<usize> {
        while self.part.is_empty() {
            match self.parts.blocking_recv() {
                Some(part) => self.part = part,
                None => return Ok(0),
            }
        }
        let taken = self.part.split_to(self.part.len().min(into.len()));
        into[..taken.len()].copy_from_slice(&taken);
        Ok(taken.len())
    }
}

/// Reads a body with `work` while it arrives. What `work` makes of a body that breaks off or is too
/// large is thrown away, so it must change nothing.
///
/// # Errors
/// A body that could not be received, before what `work` refuses.
pub(crate) async fn while_it_arrives<T: Send + 'static>(
    body: web::Payload,
    work: impl FnOnce(Arriving) -> Result<T, Refusal> + Send + 'static,
) -> Result<T, Problem> {
    let (sender, parts) = mpsc::channel(WAITING);
    let arriving = Arriving {
        parts,
        part: web::Bytes::new(),
    };
    let (received, read) = join(receive(body, sender), waiting(move || work(arriving))).await;
    received?;
    Ok(read?)
}

/// Passes the body on to its end, also when nobody reads any more: a client that is still sending
/// would not hear the answer.
async fn receive(mut body: web::Payload, sender: mpsc::Sender<web::Bytes>) -> Result<(), Problem> {
    while let Some(part) = body.next().await {
        let part = part.map_err(|error| unread(&error.into()))?;
        let _ = sender.send(part).await;
    }
    Ok(())
}
