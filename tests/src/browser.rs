//! A real Chromium, driven over WebDriver (the W3C's protocol: JSON over HTTP).

use std::fs;
use std::net::TcpListener;
use std::path::Path;
use std::process::{Child, Command, Stdio};
use std::time::{Duration, Instant};

use data_encoding::BASE64;
use reqwest::blocking::Client;
use serde_json::{Value, json};
use tempfile::TempDir;

/// Nothing is looked up, fetched or sent but what the test asks for.
const FLAGS: [&str; 8] = [
    "--headless=new",
    "--no-sandbox",
    "--disable-gpu",
    "--disable-dev-shm-usage",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
];

/// How long a page may take to show what is waited for: a search on a busy machine.
const PATIENCE: Duration = Duration::from_secs(400);

/// How W3C WebDriver names an element in JSON.
const ELEMENT: &str = "element-6066-11e4-a52e-4f735466cecf";

/// A browser with a profile of its own; it is closed when the test ends.
#[derive(Debug)]
pub struct Browser {
    driver: Child,
    session: String,
    client: Client,
    /// What the browser keeps on disk.
    _profile: TempDir,
}

impl Browser {
    /// Starts a driver on a free port, and a browser.
    ///
    /// # Panics
    /// If there is none, or it does not come up.
    #[must_use]
    pub fn start() -> Self {
        let port = free_port();
        let driver = Command::new("chromedriver")
            .arg(format!("--port={port}"))
            .stdout(Stdio::null())
            .stderr(Stdio::null())
            .spawn()
            .expect("chromedriver is needed for the board's tests; `make setup` installs it");
        let _ = rustls::crypto::ring::default_provider().install_default();
        let client = Client::builder()
            .no_proxy()
            .timeout(PATIENCE)
            .build()
            .expect("a client");
        let profile = tempfile::tempdir().expect("a profile");
        let mut browser = Self {
            driver,
            session: format!("http://127.0.0.1:{port}"),
            client,
            _profile: profile,
        };
        browser.open();
        browser
    }

    fn open(&mut self) {
        let root = self.session.clone();
        let begun = Instant::now();
        while self.client.get(format!("{root}/status")).send().is_err() {
            assert!(begun.elapsed() < PATIENCE, "chromedriver does not come up");
            std::thread::sleep(Duration::from_millis(50));
        }
        let mut flags: Vec<String> = FLAGS.iter().map(|flag| (*flag).to_owned()).collect();
        flags.push(format!(
            "--user-data-dir={}",
            self._profile.path().display()
        ));
        let wanted = json!({ "capabilities": { "alwaysMatch": {
            "browserName": "chrome",
            "goog:loggingPrefs": { "browser": "ALL" },
            "goog:chromeOptions": { "args": flags },
        } } });
        self.session = format!("{root}/session");
        let made = self.post("", &wanted);
        let id = made["sessionId"].as_str().expect("a session").to_owned();
        self.session = format!("{root}/session/{id}");
    }

    fn post(&self, path: &str, body: &Value) -> Value {
        self.try_post(path, body)
            .unwrap_or_else(|said| panic!("{path}: {said}"))
    }

    fn try_post(&self, path: &str, body: &Value) -> Result<Value, Value> {
        let sent = self
            .client
            .post(format!("{}{path}", self.session))
            .json(body)
            .send();
        let response = sent.expect("the driver answers");
        let good = response.status().is_success();
        let said: Value = response.json().expect("JSON");
        if good {
            Ok(said["value"].clone())
        } else {
            Err(said["value"].clone())
        }
    }

    /// A command of Chromium's own protocol.
    pub fn chromium(&self, command: &str, params: Value) -> Value {
        self.post(
            "/goog/cdp/execute",
            &json!({ "cmd": command, "params": params }),
        )
    }

    /// Makes the window as large as a device's.
    pub fn resize(&self, (width, height): (u32, u32)) {
        let device = json!({
            "width": width, "height": height, "deviceScaleFactor": 1, "mobile": width < 600,
        });
        let _ = self.chromium("Emulation.setDeviceMetricsOverride", device);
    }

    /// Opens a page.
    pub fn go(&self, address: &str) {
        let _ = self.post("/url", &json!({ "url": address }));
    }

    /// Runs a script in the page and gives what it returns.
    pub fn run(&self, script: &str, arguments: Value) -> Value {
        self.post(
            "/execute/sync",
            &json!({ "script": script, "args": arguments }),
        )
    }

    /// Runs a script that answers later, by calling its last argument.
    pub fn run_later(&self, script: &str, arguments: Value) -> Value {
        let _ = self.post("/timeouts", &json!({ "script": 60_000 }));
        self.post(
            "/execute/async",
            &json!({ "script": script, "args": arguments }),
        )
    }

    /// Waits until there is an element, and gives its text.
    ///
    /// # Panics
    /// If there is none for long.
    pub fn wait_for(&self, css: &str) -> String {
        let begun = Instant::now();
        loop {
            let script =
                "const e = document.querySelector(arguments[0]); return e && e.textContent";
            // A page that is just being left has no answer.
            let found = self.try_post("/execute/sync", &json!({ "script": script, "args": [css] }));
            if let Ok(Value::String(text)) = found {
                return text;
            }
            assert!(begun.elapsed() < PATIENCE, "no {css} in {}", self.text());
            std::thread::sleep(Duration::from_millis(100));
        }
    }

    /// Clicks an element as a person would.
    pub fn click(&self, css: &str) {
        let _ = self.wait_for(css);
        let found = self.post(
            "/element",
            &json!({ "using": "css selector", "value": css }),
        );
        let id = found[ELEMENT].as_str().expect("an element").to_owned();
        // What stays at the window's edge may lie over it there.
        let scroll = "arguments[0].scrollIntoView({ block: 'center', behavior: 'instant' })";
        let _ = self.run(scroll, json!([found]));
        let _ = self.post(&format!("/element/{id}/click"), &json!({}));
    }

    /// Writes into a field.
    pub fn fill(&self, css: &str, text: &str) {
        let _ = self.wait_for(css);
        let script = "const e = document.querySelector(arguments[0]); e.value = arguments[1]; \
            e.dispatchEvent(new Event('input', { bubbles: true }))";
        let _ = self.run(script, json!([css, text]));
    }

    /// What the page says.
    #[must_use]
    pub fn text(&self) -> String {
        let said = self.run("return document.body.innerText", json!([]));
        said.as_str().unwrap_or_default().to_owned()
    }

    /// Where the browser is.
    #[must_use]
    pub fn address(&self) -> String {
        let said = self.run("return location.href", json!([]));
        said.as_str().unwrap_or_default().to_owned()
    }

    /// What the browser wrote to its console since it was asked last.
    #[must_use]
    pub fn console(&self) -> Vec<String> {
        let said = self.post("/se/log", &json!({ "type": "browser" }));
        let entries = said.as_array().cloned().unwrap_or_default();
        entries.iter().map(ToString::to_string).collect()
    }

    /// Keeps a picture of the whole page.
    ///
    /// # Panics
    /// If it cannot be written.
    pub fn picture(&self, file: &Path) {
        let shot = self.chromium(
            "Page.captureScreenshot",
            json!({ "format": "png", "captureBeyondViewport": true }),
        );
        let text = shot["data"].as_str().expect("a picture");
        let bytes = BASE64.decode(text.as_bytes()).expect("base64");
        fs::write(file, bytes).expect("a file");
    }
}

impl Drop for Browser {
    fn drop(&mut self) {
        // The browser ends with its session; the driver with its process. Either may have ended.
        let _ = self.client.delete(&self.session).send();
        let _ = self.driver.kill();
        let _ = self.driver.wait();
    }
}

fn free_port() -> u16 {
    let listener = TcpListener::bind("127.0.0.1:0").expect("a free port");
    listener.local_addr().expect("an address").port()
}
