//! What a process calls itself in its leases, so that others on the same machine can tell at once
//! that it is gone.

use std::fs;

use uuid::Uuid;

/// This process, for leases.
#[derive(Debug)]
pub(super) struct Owner {
    name: String,
}

/// What makes a process the one it is, as long as the machine is up: the machine's boot, the
/// namespace its number is from, its number, and when it began.
#[derive(Debug, PartialEq, Eq)]
struct Process<'a> {
    boot: &'a str,
    namespace: &'a str,
    number: &'a str,
    began: &'a str,
}

impl Owner {
    pub(super) fn new() -> Self {
        let number = std::process::id().to_string();
        let known = here().zip(began(&number));
        let once = Uuid::now_v7();
        let name = match known {
            Some(((boot, namespace), began)) => {
                format!("{boot}:{namespace}:{number}:{began}:{once}")
            }
            // Where the system does not say, others wait until the lease is no longer renewed.
            None => once.to_string(),
        };
        Self { name }
    }

    /// A lease that nobody has had.
    pub(super) fn lease(&self) -> String {
        format!("{}/{}", self.name, Uuid::now_v7())
    }

    /// Whether a lease is this process's.
    pub(super) fn holds(&self, lease: &str) -> bool {
        lease
            .split_once('/')
            .is_some_and(|(name, _)| name == self.name)
    }
}

/// Whether the process that took a lease is gone for certain.
pub(super) fn is_gone(lease: &str) -> bool {
    let name = lease.split('/').next().unwrap_or_default();
    let parts: Vec<&str> = name.split(':').collect();
    let [boot, namespace, number, began, _] = parts[..] else {
        return false;
    };
    let process = Process {
        boot,
        namespace,
        number,
        began,
    };
    let Some((boot, namespace)) = here() else {
        return false;
    };
    if process.boot != boot || process.namespace != namespace {
        return false;
    }
    self::began(process.number).as_deref() != Some(process.began)
}

/// This boot of the machine, and the namespace of process numbers; none where the system does not
/// say.
fn here() -> Option<(String, String)> {
    let boot = fs::read_to_string("/proc/sys/kernel/random/boot_id").ok()?;
    let namespace = fs::read_link("/proc/self/ns/pid").ok()?;
    let namespace: String = namespace
        .to_string_lossy()
        .chars()
        .filter(char::is_ascii_digit)
        .collect();
    Some((boot.trim().to_owned(), namespace))
}

/// When a process began, in ticks since the boot; none where it is gone, or only its exit code is
/// left (`proc_pid_stat(5)`).
fn began(number: &str) -> Option<String> {
    let line = fs::read_to_string(format!("/proc/{number}/stat")).ok()?;
    // The name before it may hold anything but is the last thing in parentheses.
    let (_, rest) = line.rsplit_once(')')?;
    let fields: Vec<&str> = rest.split_whitespace().collect();
    let over = matches!(fields.first(), Some(&("Z" | "X")));
    (!over).then(|| fields.get(19).map(|began| (*began).to_owned()))?
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn each_lease_is_another_and_its_holder_is_known() {
        let (one, two) = (Owner::new(), Owner::new());
        let lease = one.lease();
        assert_ne!(lease, one.lease());
        assert!(one.holds(&lease));
        assert!(!two.holds(&lease));
        assert!(!is_gone(&lease), "{lease}");
    }

    #[test]
    fn a_process_that_ended_is_gone_and_one_that_cannot_be_seen_may_live() {
        let Some((boot, namespace)) = here() else {
            return;
        };
        let mut child = std::process::Command::new("true").spawn().unwrap();
        let number = child.id();
        child.wait().unwrap();
        let lease = format!("{boot}:{namespace}:{number}:1:x/y");
        assert!(is_gone(&lease), "{lease}");
        // The number was given to another process since.
        let me = std::process::id();
        assert!(is_gone(&format!("{boot}:{namespace}:{me}:1:x/y")));
        assert!(!is_gone(&format!("elsewhere:{namespace}:{number}:1:x/y")));
        assert!(!is_gone("01975c1e-7a58-7b3e-9d2c-5d1f0a4b6c7d"));
    }
}
