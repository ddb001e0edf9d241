//! A PostgreSQL of our own, thrown away when the tests end.

use std::fs;
use std::os::unix::fs::chown;
use std::os::unix::process::CommandExt;
use std::path::{Path, PathBuf};
use std::process::{Child, Command, Stdio};
use std::sync::OnceLock;
use std::sync::atomic::{AtomicU32, Ordering};
use std::time::{Duration, Instant};

/// Waits for its input to end, which it does when the tests do, however they end.
const WATCH: &str = r#"
"$1/postgres" -D "$2/data" -k "$2" >"$2/log" 2>&1 &
server=$!
cat >/dev/null
kill -INT $server
wait $server
rm -rf "$2"
"#;

/// As little waiting for disks as there can be: what is in it is worth nothing tomorrow.
const SETTINGS: &str = "\nlisten_addresses = ''\nfsync = off\nsynchronous_commit = off\n\
    full_page_writes = off\nmax_connections = 500\nshared_buffers = 32MB\n";

/// A running server.
#[derive(Debug)]
pub struct Cluster {
    programs: PathBuf,
    dir: PathBuf,
    /// The user it runs as: PostgreSQL does not run as root.
    user: Option<(u32, u32)>,
    /// Kept open; the server ends with it.
    _watch: Child,
}

/// The server, if the running tests are those that want one.
#[must_use]
pub fn asked_for() -> Option<&'static Cluster> {
    static CLUSTER: OnceLock<Cluster> = OnceLock::new();
    let test = std::env::current_exe().expect("a test knows where it is");
    let name = test.file_name().expect("a name").to_string_lossy();
    name.starts_with("postgres-")
        .then(|| CLUSTER.get_or_init(Cluster::start))
}

impl Cluster {
    fn start() -> Self {
        let user = other_user();
        // A path of a socket must be short.
        let dir = PathBuf::from(format!("/tmp/fizz-pg-{}", std::process::id()));
        fs::create_dir(&dir).expect("a directory for the cluster");
        if let Some((user, group)) = user {
            chown(&dir, Some(user), Some(group)).expect("a directory for another user");
        }
        let programs = programs();
        let mut made = as_user(Command::new(programs.join("initdb")), &dir, user);
        made.args(["-A", "trust", "-U", "fizzwright", "-E", "UTF8"])
            .args(["--locale=C.UTF-8", "--no-sync", "-D"])
            .arg(dir.join("data"));
        ran(&mut made);
        let settings = dir.join("data/postgresql.conf");
        let usual = fs::read_to_string(&settings).expect("initdb wrote the settings");
        fs::write(&settings, usual + SETTINGS).expect("settings");
        let mut watch = as_user(Command::new("sh"), &dir, user);
        watch.args(["-c", WATCH, "sh"]).arg(&programs).arg(&dir);
        let watch = watch
            .stdin(Stdio::piped())
            .spawn()
            .expect("a shell that watches over the server");
        let cluster = Self {
            programs,
            dir,
            user,
            _watch: watch,
        };
        cluster.wait();
        cluster
    }

    fn wait(&self) {
        let begun = Instant::now();
        let ready = || {
            self.client("pg_isready")
                .stdout(Stdio::null())
                .status()
                .expect("pg_isready runs")
        };
        while !ready().success() {
            let log = fs::read_to_string(self.dir.join("log")).unwrap_or_default();
            let late = begun.elapsed() > Duration::from_secs(60);
            assert!(!late, "PostgreSQL does not start:\n{log}");
            std::thread::sleep(Duration::from_millis(50));
        }
    }

    fn client(&self, name: &str) -> Command {
        let mut command = as_user(Command::new(self.programs.join(name)), &self.dir, self.user);
        command.arg("-h").arg(&self.dir).args(["-U", "fizzwright"]);
        command
    }

    /// The URL of a new, empty database.
    #[must_use]
    pub fn fresh(&self) -> String {
        static COUNT: AtomicU32 = AtomicU32::new(0);
        let name = format!("test_{}", COUNT.fetch_add(1, Ordering::Relaxed));
        ran(self.client("createdb").arg(&name));
        let dir = self.dir.display();
        format!("postgres:///{name}?host={dir}&user=fizzwright")
    }

    /// The URL by which a database is reached through a port of this machine.
    #[must_use]
    pub fn through(url: &str, port: u16) -> String {
        let name = url.trim_start_matches("postgres:///");
        let name = name.split('?').next().unwrap_or_default();
        format!("postgres://fizzwright@127.0.0.1:{port}/{name}")
    }

    /// The socket it listens on.
    #[must_use]
    pub fn socket(&self) -> PathBuf {
        self.dir.join(".s.PGSQL.5432")
    }

    /// Runs SQL against one of its databases and gives what it printed.
    ///
    /// # Panics
    /// If PostgreSQL refuses it.
    #[must_use]
    pub fn sql(&self, url: &str, sql: &str) -> String {
        let mut command = as_user(
            Command::new(self.programs.join("psql")),
            &self.dir,
            self.user,
        );
        ran(command.args(["-XAtq", "-v", "ON_ERROR_STOP=1", "-d", url, "-c", sql]))
    }
}

/// Where the programs of the newest version are; Debian keeps them out of the path.
fn programs() -> PathBuf {
    let versions = fs::read_dir("/usr/lib/postgresql").into_iter().flatten();
    let mut found: Vec<(u32, PathBuf)> = versions
        .flatten()
        .filter_map(|entry| {
            let version = entry.file_name().to_str()?.parse().ok()?;
            Some((version, entry.path().join("bin")))
        })
        .filter(|(_, bin)| bin.join("initdb").is_file())
        .collect();
    found.sort();
    if let Some((_, bin)) = found.pop() {
        return bin;
    }
    let paths = std::env::var_os("PATH").unwrap_or_default();
    std::env::split_paths(&paths)
        .find(|bin| bin.join("initdb").is_file())
        .expect("PostgreSQL is needed to test with it; `make setup` installs it")
}

/// User and group to run as instead of root.
fn other_user() -> Option<(u32, u32)> {
    let number = |arguments: &[&str]| -> Option<u32> {
        let said = Command::new("id").args(arguments).output().ok()?;
        String::from_utf8(said.stdout).ok()?.trim().parse().ok()
    };
    if number(&["-u"])? != 0 {
        return None;
    }
    let of = |name: &str| Some((number(&["-u", name])?, number(&["-g", name])?));
    of("postgres").or_else(|| of("nobody"))
}

fn as_user(mut command: Command, dir: &Path, user: Option<(u32, u32)>) -> Command {
    if let Some((user, group)) = user {
        command.uid(user).gid(group);
    }
    command.current_dir(dir);
    command
}

fn ran(command: &mut Command) -> String {
    let said = command
        .output()
        .unwrap_or_else(|error| panic!("{command:?}: {error}"));
    let errors = String::from_utf8_lossy(&said.stderr);
    assert!(said.status.success(), "{command:?}: {errors}");
    String::from_utf8_lossy(&said.stdout).trim().to_owned()
}
