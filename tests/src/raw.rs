//! Requests as they stand: no client here tidies up a path before it is sent.

use std::io::{BufRead, BufReader, Read, Write};
use std::net::TcpStream;
use std::time::Duration;

use crate::Server;

/// A connection on which one request after another is sent.
#[derive(Debug)]
pub struct Raw {
    address: String,
    stream: Option<BufReader<TcpStream>>,
}

/// What came back.
#[derive(Debug)]
pub struct Answer {
    /// HTTP status.
    pub status: u16,
    /// Headers, names in small letters, in the order they came.
    pub headers: Vec<(String, String)>,
    /// The body, where its length was said beforehand; a stream is not waited for.
    pub text: String,
}

impl Answer {
    /// A header's value.
    #[must_use]
    pub fn header(&self, name: &str) -> Option<&str> {
        let mut found = self.headers.iter().filter(|(known, _)| known == name);
        found.next().map(|(_, value)| value.as_str())
    }
}

impl Raw {
    /// Connections to a server.
    ///
    /// # Panics
    /// If its address is none.
    #[must_use]
    pub fn to(server: &Server) -> Self {
        let address = server.root().strip_prefix("http://").expect("an address");
        Self {
            address: address.to_owned(),
            stream: None,
        }
    }

    /// Sends a request with headers and a body, and gives the answer.
    ///
    /// # Panics
    /// If there is none.
    pub fn send(
        &mut self,
        method: &str,
        path: &str,
        headers: &[(&str, &str)],
        body: &str,
    ) -> Answer {
        let mut text = format!("{method} {path} HTTP/1.1\r\nhost: {}\r\n", self.address);
        for (name, value) in headers {
            text.push_str(&format!("{name}: {value}\r\n"));
        }
        if !body.is_empty() || method != "GET" {
            text.push_str(&format!("content-length: {}\r\n", body.len()));
        }
        text.push_str("\r\n");
        text.push_str(body);
        // A connection that was kept may have been closed meanwhile.
        if self.stream.is_some()
            && let Some(answer) = self.exchange(&text)
        {
            return answer;
        }
        self.stream = None;
        let answer = self.exchange(&text);
        answer.unwrap_or_else(|| panic!("no answer to {method} {path}"))
    }

    fn exchange(&mut self, text: &str) -> Option<Answer> {
        if self.stream.is_none() {
            let stream = TcpStream::connect(&self.address).expect("the server listens");
            let patience = Duration::from_secs(60);
            stream.set_read_timeout(Some(patience)).expect("a time-out");
            self.stream = Some(BufReader::new(stream));
        }
        let stream = self.stream.as_mut()?;
        stream.get_mut().write_all(text.as_bytes()).ok()?;
        let (answer, over) = read(stream)?;
        if over {
            self.stream = None;
        }
        Some(answer)
    }
}

/// Reads an answer, and whether its connection is over.
fn read(stream: &mut BufReader<TcpStream>) -> Option<(Answer, bool)> {
    let mut line = String::new();
    stream.read_line(&mut line).ok().filter(|read| *read > 0)?;
    let status = line.split(' ').nth(1)?.parse().ok()?;
    let mut headers = Vec::new();
    loop {
        line.clear();
        stream.read_line(&mut line).ok()?;
        let Some((name, value)) = line.trim().split_once(':') else {
            break;
        };
        headers.push((name.to_lowercase(), value.trim().to_owned()));
    }
    let mut answer = Answer {
        status,
        headers,
        text: String::new(),
    };
    let length = answer.header("content-length").map(str::parse::<usize>);
    let bodiless = [204, 304].contains(&status);
    let over = answer.header("connection") == Some("close") || (length.is_none() && !bodiless);
    let mut body = vec![0; length.and_then(Result::ok).unwrap_or(0)];
    stream.read_exact(&mut body).ok()?;
    answer.text = String::from_utf8_lossy(&body).into_owned();
    Some((answer, over))
}
