//! A wire between a server and a PostgreSQL that can stop passing anything on, as a server that
//! hangs does: connections stay, bytes are taken, and nothing comes back.

use std::io::{Read, Write};
use std::net::{Shutdown, TcpListener, TcpStream};
use std::os::unix::net::UnixStream;
use std::path::Path;
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};
use std::thread;
use std::time::Duration;

/// A wire to the socket of a PostgreSQL.
#[derive(Debug)]
pub struct Proxy {
    port: u16,
    held: Arc<AtomicBool>,
}

impl Proxy {
    /// Listens on a port of its own and connects whoever comes to a socket.
    ///
    /// # Panics
    /// If there is no free port.
    #[must_use]
    pub fn to(socket: &Path) -> Self {
        let listener = TcpListener::bind("127.0.0.1:0").expect("a free port");
        let port = listener.local_addr().expect("an address").port();
        let held = Arc::new(AtomicBool::new(false));
        let (holds, socket) = (Arc::clone(&held), socket.to_owned());
        thread::spawn(move || {
            for near in listener.incoming().flatten() {
                connect(&near, &socket, &holds);
            }
        });
        Self { port, held }
    }

    /// The port it listens on.
    #[must_use]
    pub fn port(&self) -> u16 {
        self.port
    }

    /// Passes nothing on any more, or does so again.
    pub fn hold(&self, held: bool) {
        self.held.store(held, Ordering::SeqCst);
    }
}

fn connect(near: &TcpStream, socket: &Path, held: &Arc<AtomicBool>) {
    let shared = || {
        let far = UnixStream::connect(socket).ok()?;
        Some((
            near.try_clone().ok()?,
            near.try_clone().ok()?,
            far.try_clone().ok()?,
            far,
        ))
    };
    let Some((near_in, near_out, far_in, far_out)) = shared() else {
        return;
    };
    let (one, other) = (Arc::clone(held), Arc::clone(held));
    thread::spawn(move || {
        pass(near_in, &far_out, &one);
        let _ = far_out.shutdown(Shutdown::Both);
    });
    thread::spawn(move || {
        pass(far_in, &near_out, &other);
        let _ = near_out.shutdown(Shutdown::Both);
    });
}

/// Passes bytes on until one end is closed.
fn pass(mut from: impl Read, mut to: impl Write, held: &AtomicBool) {
    let mut bytes = [0; 8192];
    loop {
        let count = match from.read(&mut bytes) {
            Ok(0) | Err(_) => return,
            Ok(count) => count,
        };
        while held.load(Ordering::SeqCst) {
            thread::sleep(Duration::from_millis(10));
        }
        if to.write_all(&bytes[..count]).is_err() {
            return;
        }
    }
}
