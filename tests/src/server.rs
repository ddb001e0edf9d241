//! A real server on a free port, with a database of its own.

use std::io::{BufRead, BufReader};
use std::path::{Path, PathBuf};
use std::process::{Child, Command, Stdio};
use std::time::{Duration, Instant};

use reqwest::Method;
use reqwest::blocking::{Client, RequestBuilder};
use serde_json::Value;
use tempfile::TempDir;

use crate::{Reply, cluster, database, program};

/// A running server; it is killed when the test ends.
#[derive(Debug)]
pub struct Server {
    child: Child,
    root: String,
    client: Client,
    key: String,
    database: String,
    /// What the server keeps on disk, for as long as it is wanted.
    dir: TempDir,
}

impl Server {
    /// Starts a server with an empty database.
    #[must_use]
    pub fn empty() -> Self {
        Self::start(&[])
    }

    /// Starts a server with the demo site, whose first plan is being made.
    #[must_use]
    pub fn demo() -> Self {
        Self::start(&["--demo"])
    }

    /// Starts a server with an empty database and more arguments.
    #[must_use]
    pub fn start(arguments: &[&str]) -> Self {
        let dir = tempfile::tempdir().expect("a temporary directory");
        let database = cluster::asked_for().map_or_else(
            || dir.path().join("test.sqlite").display().to_string(),
            cluster::Cluster::fresh,
        );
        let program = Command::new(program::path());
        let (child, root) = launch(program, dir.path(), &database, arguments);
        Self::of(dir, database, child, root)
    }

    /// Starts a server on a database that is there already.
    #[must_use]
    pub fn on(database: &str, arguments: &[&str]) -> Self {
        let dir = tempfile::tempdir().expect("a temporary directory");
        let program = Command::new(program::path());
        let (child, root) = launch(program, dir.path(), database, arguments);
        Self::of(dir, database.to_owned(), child, root)
    }

    /// Starts a server with an empty database whose files cannot grow beyond so many kilobytes, as
    /// on a disk that is almost full.
    ///
    /// # Panics
    /// If it does not start.
    #[must_use]
    pub fn cramped(kilobytes: u32) -> Self {
        let dir = tempfile::tempdir().expect("a temporary directory");
        let database = dir.path().join("test.sqlite").display().to_string();
        let mut program = Command::new("bash");
        // The signal would end the program; without it, writing fails as on a full disk.
        let limits = format!("trap '' XFSZ; ulimit -S -f {kilobytes}; exec \"$@\"");
        program.args(["-c", &limits, "bash"]).arg(program::path());
        let (child, root) = launch(program, dir.path(), &database, &[]);
        Self::of(dir, database, child, root)
    }

    /// Starts a server with an empty database that logs everything it can; the file it logs to.
    ///
    /// # Panics
    /// If it does not start.
    #[must_use]
    pub fn logging_everything() -> (Self, PathBuf) {
        let dir = tempfile::tempdir().expect("a temporary directory");
        let database = cluster::asked_for().map_or_else(
            || dir.path().join("test.sqlite").display().to_string(),
            cluster::Cluster::fresh,
        );
        let log = dir.path().join("log");
        let mut program = Command::new("bash");
        let logged = format!("export RUST_LOG=trace; exec \"$@\" 2> {}", log.display());
        program.args(["-c", &logged, "bash"]).arg(program::path());
        let (child, root) = launch(program, dir.path(), &database, &[]);
        (Self::of(dir, database, child, root), log)
    }

    fn of(dir: TempDir, database: String, child: Child, root: String) -> Self {
        // A database that has a key already makes no other.
        let key = std::fs::read_to_string(dir.path().join("key")).unwrap_or_default();
        // The client is built with TLS, though it is never used here; it may be set up already.
        let _ = rustls::crypto::ring::default_provider().install_default();
        let client = Client::builder()
            .no_proxy()
            .redirect(reqwest::redirect::Policy::none())
            .timeout(Duration::from_secs(120))
            .build()
            .expect("a client");
        Self {
            child,
            root,
            client,
            key: key.trim().to_owned(),
            database,
            dir,
        }
    }

    /// Starts another server on the same database, with the same key.
    ///
    /// # Panics
    /// If it does not start.
    #[must_use]
    pub fn beside(&self) -> Self {
        let dir = tempfile::tempdir().expect("a temporary directory");
        std::fs::write(dir.path().join("key"), &self.key).expect("the key is copied");
        let program = Command::new(program::path());
        let (child, root) = launch(program, dir.path(), &self.database, &[]);
        Self::of(dir, self.database.clone(), child, root)
    }

    /// Runs SQL against its database, behind its back, and gives what was selected.
    ///
    /// # Panics
    /// If the database refuses it.
    #[must_use]
    pub fn sql(&self, sql: &str) -> String {
        database::sql(self, sql)
    }

    /// Kills the server where it stands, as a power cut would, and starts it again.
    pub fn crash_and_restart(&mut self) {
        self.crash();
        self.restart();
    }

    /// Kills the server where it stands, as a power cut would.
    pub fn crash(&mut self) {
        self.child.kill().expect("it can be killed");
        self.child.wait().expect("it ends");
    }

    /// Waits until it has ended by itself.
    ///
    /// # Panics
    /// If that takes too long.
    pub fn ended(&mut self) -> std::process::ExitStatus {
        let begun = Instant::now();
        loop {
            if let Some(status) = self.child.try_wait().expect("it can be waited for") {
                return status;
            }
            assert!(
                begun.elapsed() < Duration::from_secs(120),
                "it does not end"
            );
            std::thread::sleep(Duration::from_millis(10));
        }
    }

    /// Starts a server that has ended again.
    pub fn restart(&mut self) {
        let program = Command::new(program::path());
        (self.child, self.root) = launch(program, self.dir.path(), &self.database, &[]);
    }

    /// Stops the server politely, as a service manager would, and starts it again.
    pub fn stop_and_restart(&mut self) {
        interrupt(self.child.id());
        let ended = self.child.wait().expect("it ends");
        assert!(ended.success(), "{ended}");
        let program = Command::new(program::path());
        (self.child, self.root) = launch(program, self.dir.path(), &self.database, &[]);
    }

    /// Tells the server to stop, as a service manager would, and waits until it has.
    ///
    /// # Panics
    /// If it does not end well.
    pub fn terminate(&mut self) {
        signal("-TERM", self.child.id());
        let ended = self.child.wait().expect("it ends");
        assert!(ended.success(), "{ended}");
    }

    /// The id of its process.
    #[must_use]
    pub fn process(&self) -> u32 {
        self.child.id()
    }

    /// Where its database is.
    #[must_use]
    pub fn database(&self) -> &str {
        &self.database
    }

    /// The address it listens on.
    #[must_use]
    pub fn root(&self) -> &str {
        &self.root
    }

    /// The key it made first, which may do everything.
    #[must_use]
    pub fn key(&self) -> &str {
        &self.key
    }

    /// A place for files of this test.
    #[must_use]
    pub fn dir(&self) -> &Path {
        self.dir.path()
    }

    /// A request with the first key, to be added to.
    pub fn request(&self, method: Method, path: &str) -> RequestBuilder {
        self.request_as(&self.key, method, path)
    }

    /// A request with another key.
    pub fn request_as(&self, key: &str, method: Method, path: &str) -> RequestBuilder {
        self.stranger(method, path).bearer_auth(key)
    }

    /// A request of somebody who shows nothing.
    pub fn stranger(&self, method: Method, path: &str) -> RequestBuilder {
        self.client.request(method, format!("{}{path}", self.root))
    }

    /// Sends a request.
    ///
    /// # Panics
    /// If there is no answer.
    #[must_use]
    pub fn send(&self, request: RequestBuilder) -> Reply {
        let response = request.send().expect("the server answers");
        Reply {
            status: response.status().as_u16(),
            headers: response.headers().clone(),
            text: response.text().expect("a text"),
        }
    }

    /// GETs a path.
    #[must_use]
    pub fn get(&self, path: &str) -> Reply {
        self.send(self.request(Method::GET, path))
    }

    /// POSTs JSON to a path.
    #[must_use]
    pub fn post(&self, path: &str, body: &Value) -> Reply {
        self.send(self.request(Method::POST, path).json(body))
    }

    /// PUTs JSON to a path.
    #[must_use]
    pub fn put(&self, path: &str, body: &Value) -> Reply {
        self.send(self.request(Method::PUT, path).json(body))
    }

    /// PUTs JSON to a path, on condition.
    #[must_use]
    pub fn put_if(&self, path: &str, etag: &str, body: &Value) -> Reply {
        self.send(
            self.request(Method::PUT, path)
                .header("If-Match", etag)
                .json(body),
        )
    }

    /// DELETEs a path.
    #[must_use]
    pub fn delete(&self, path: &str) -> Reply {
        self.send(self.request(Method::DELETE, path))
    }

    /// GETs a path until what it answers is as wanted.
    ///
    /// # Panics
    /// If that takes too long.
    #[must_use]
    pub fn poll(&self, path: &str, wanted: impl Fn(&Value) -> bool) -> Value {
        let begun = Instant::now();
        loop {
            let found = self.get(path).ok();
            if wanted(&found) {
                return found;
            }
            assert!(
                begun.elapsed() < Duration::from_secs(120),
                "{path} stays: {found}"
            );
            std::thread::sleep(Duration::from_millis(20));
        }
    }
}

impl Drop for Server {
    fn drop(&mut self) {
        // It may have ended already.
        let _ = self.child.kill();
        let _ = self.child.wait();
    }
}

/// Asks a process to end, as Ctrl-C does.
///
/// # Panics
/// If it cannot be asked.
pub fn interrupt(process: u32) {
    signal("-INT", process);
}

fn signal(which: &str, process: u32) {
    let sent = Command::new("kill")
        .args([which, &process.to_string()])
        .status();
    assert!(sent.expect("kill runs").success());
}

fn launch(mut program: Command, dir: &Path, database: &str, arguments: &[&str]) -> (Child, String) {
    let mut child = program
        .args(["serve", "--listen", "127.0.0.1:0", "--database", database])
        .arg("--key-file")
        .arg(dir.join("key"))
        .env("FIZZWRIGHT_REQUESTS_PER_MINUTE", "0")
        .args(arguments)
        .env("RUST_LOG", "warn")
        .stdout(Stdio::piped())
        .spawn()
        .expect("the server starts");
    let out = child.stdout.take().expect("stdout is piped");
    let mut lines = BufReader::new(out).lines();
    let first = lines.next().expect("a first line").expect("a text");
    let root = first
        .strip_prefix("Listening on ")
        .expect("the address")
        .to_owned();
    // Keep the pipe open, or the next line the server prints has nowhere to go.
    std::thread::spawn(move || lines.for_each(drop));
    (child, root)
}
