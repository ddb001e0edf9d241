//! Requests that stop in the middle.

use std::io::{BufRead, BufReader, ErrorKind, Write};
use std::net::{Shutdown, TcpStream};
use std::time::Duration;

use crate::Server;

/// A request that is written by hand, of which any part may be left out.
#[derive(Debug)]
pub struct Unfinished(TcpStream);

impl Unfinished {
    /// Sends a head, with more headers, and what there is of the body.
    ///
    /// # Panics
    /// If it cannot be sent.
    #[must_use]
    pub fn send(server: &Server, line: &str, headers: &[(&str, &str)], body: &str) -> Self {
        let address = server.root().trim_start_matches("http://");
        let mut stream = TcpStream::connect(address).expect("a connection");
        let mut head = format!("{line} HTTP/1.1\r\nHost: {address}\r\n");
        for (name, value) in headers {
            head += &format!("{name}: {value}\r\n");
        }
        let sent = stream.write_all(format!("{head}\r\n{body}").as_bytes());
        sent.expect("it is sent");
        Self(stream)
    }

    /// The status of the answer, once it is there; none if the connection ends without one.
    ///
    /// # Panics
    /// If nothing comes.
    #[must_use]
    pub fn status(&self) -> Option<u16> {
        let timeout = Some(Duration::from_secs(120));
        self.0.set_read_timeout(timeout).expect("a time-out");
        let mut first = String::new();
        let read = BufReader::new(&self.0).read_line(&mut first);
        // What ends without an answer may also be reset.
        let waited = read
            .as_ref()
            .is_err_and(|e| e.kind() == ErrorKind::WouldBlock);
        assert!(!waited, "no answer comes");
        first.split(' ').nth(1)?.parse().ok()
    }

    /// Hangs up.
    pub fn hang_up(&self) {
        // The other side may have done so already.
        let _ = self.0.shutdown(Shutdown::Both);
    }
}
