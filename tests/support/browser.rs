//! A real browser, driven over the WebDriver protocol: what a page does, not what it says.
//!
//! Needs Chromium and its driver on the path (Debian: chromium, chromium-driver).

use std::io::{BufRead, BufReader};
use std::path::Path;
use std::process::{Child, Command, Stdio};

use serde_json::{Value, json};

/// Keys as WebDriver writes them.
pub(crate) const RIGHT: &str = "\u{e014}";
pub(crate) const LEFT: &str = "\u{e012}";
pub(crate) const HOME: &str = "\u{e011}";
pub(crate) const TAB: &str = "\u{e004}";
pub(crate) const ENTER: &str = "\u{e007}";
pub(crate) const SPACE: &str = " ";

const ELEMENT: &str = "element-6066-11e4-a52e-4f735466cecf";

/// A browser window; it closes when this goes.
pub(crate) struct Browser {
    driver: Child,
    agent: ureq::Agent,
    base: String,
    session: String,
}

impl Browser {
    /// A window, or `None` with a line that says what was not checked when there is no browser here.
    pub(crate) fn open(unchecked: &str) -> Option<Self> {
        let started = Command::new("chromedriver")
            .arg("--port=0")
            .stdout(Stdio::piped())
            .stderr(Stdio::null())
            .spawn();
        let Ok(mut driver) = started else {
            eprintln!("SKIPPED: no chromedriver on the path; not checked: {unchecked}");
            return None;
        };
        let said = BufReader::new(driver.stdout.take().unwrap());
        let port = said.lines().map_while(Result::ok).find_map(|line| {
            line.split_once("successfully on port ")
                .map(|(_, port)| port.trim_end_matches('.').to_owned())
        });
        let base = format!("http://127.0.0.1:{}", port.expect("the driver names its port"));
        let agent = ureq::Agent::config_builder().http_status_as_error(false).build().into();
        let mut browser = Self { driver, agent, base, session: String::new() };
        let made = browser.ask(
            "/session",
            Some(json!({"capabilities": {"alwaysMatch": {
                "goog:chromeOptions": {"args": [
                    "--headless=new", "--no-sandbox", "--disable-gpu", "--disable-dev-shm-usage",
                    "--disable-background-networking", "--window-size=1280,900",
                ]},
                "goog:loggingPrefs": {"browser": "ALL", "performance": "ALL"},
            }}})),
        );
        let Some(session) = made["sessionId"].as_str() else {
            eprintln!("SKIPPED: the browser does not start ({made}); not checked: {unchecked}");
            return None;
        };
        browser.session = format!("/session/{session}");
        Some(browser)
    }

    /// One command; what it answers.
    fn ask(&self, path: &str, body: Option<Value>) -> Value {
        let url = format!("{}{path}", self.base);
        let answer = match body {
            Some(body) => self.agent.post(&url).send_json(body),
            None => self.agent.get(&url).call(),
        };
        let mut answer = answer.unwrap();
        answer.body_mut().read_json::<Value>().unwrap()["value"].clone()
    }

    fn tell(&self, command: &str, body: Value) -> Value {
        let answer = self.ask(&format!("{}{command}", self.session), Some(body));
        assert!(answer.get("error").is_none(), "{command}: {answer}");
        answer
    }

    /// Opens a file.
    pub(crate) fn open_file(&self, file: &Path) {
        self.tell("/url", json!({"url": format!("file://{}", file.display())}));
    }

    /// Runs a script in the page; what it returns.
    pub(crate) fn script(&self, script: &str) -> Value {
        self.tell("/execute/sync", json!({"script": script, "args": []}))
    }

    /// Runs a script that hands its result to its last argument.
    pub(crate) fn script_later(&self, script: &str) -> Value {
        self.tell("/execute/async", json!({"script": script, "args": []}))
    }

    /// A command of the browser's own protocol.
    pub(crate) fn command(&self, name: &str, parameters: Value) -> Value {
        self.tell("/goog/cdp/execute", json!({"cmd": name, "params": parameters}))
    }

    /// Presses keys in the element of a selector.
    pub(crate) fn keys(&self, selector: &str, keys: &str) {
        let found = self.tell("/element", json!({"using": "css selector", "value": selector}));
        let id = found[ELEMENT].as_str().unwrap().to_owned();
        self.tell(&format!("/element/{id}/value"), json!({"text": keys}));
    }

    /// Presses keys wherever the focus is.
    pub(crate) fn keys_at_focus(&self, keys: &str) {
        let actions: Vec<Value> = keys
            .chars()
            .flat_map(|key| {
                [
                    json!({"type": "keyDown", "value": key.to_string()}),
                    json!({"type": "keyUp", "value": key.to_string()}),
                ]
            })
            .collect();
        self.tell(
            "/actions",
            json!({"actions": [{"type": "key", "id": "keys", "actions": actions}]}),
        );
    }

    /// The text of the element of a selector.
    pub(crate) fn text(&self, selector: &str) -> String {
        let script = format!("return document.querySelector({}).textContent", json!(selector));
        self.script(&script).as_str().unwrap_or_else(|| panic!("{selector}")).to_owned()
    }

    /// Width and height as a device has them.
    pub(crate) fn size(&self, width_px: u32, height_px: u32) {
        let is_mobile = width_px < 600;
        self.command(
            "Emulation.setDeviceMetricsOverride",
            json!({"width": width_px, "height": height_px, "deviceScaleFactor": 1, "mobile": is_mobile}),
        );
    }

    /// Dark or light, as the reader prefers.
    pub(crate) fn scheme(&self, scheme: &str) {
        let features = json!([{"name": "prefers-color-scheme", "value": scheme}]);
        self.command("Emulation.setEmulatedMedia", json!({"features": features}));
    }

    /// What the console says, each with its level.
    pub(crate) fn console(&self) -> Vec<String> {
        let log = self.tell("/se/log", json!({"type": "browser"}));
        let entry = |entry: &Value| format!("{} {}", entry["level"], entry["message"]);
        log.as_array().unwrap().iter().map(entry).collect()
    }

    /// Every address the browser was asked for since the last look, the page itself included.
    pub(crate) fn requests(&self) -> Vec<String> {
        let log = self.tell("/se/log", json!({"type": "performance"}));
        let told = log.as_array().unwrap().iter().filter_map(|entry| {
            let message: Value = serde_json::from_str(entry["message"].as_str()?).ok()?;
            let message = &message["message"];
            let is_request = message["method"] == "Network.requestWillBeSent";
            is_request
                .then(|| message["params"]["request"]["url"].as_str().unwrap_or("").to_owned())
        });
        told.collect()
    }

    /// The whole page as a picture, into the folder named by `LOOPCREST_PICTURES` when there is one.
    pub(crate) fn picture(&self, name: &str) {
        let Some(folder) = std::env::var_os("LOOPCREST_PICTURES") else { return };
        let shot = self.command("Page.captureScreenshot", json!({"captureBeyondViewport": true}));
        let file = Path::new(&folder).join(format!("{name}.png.base64"));
        std::fs::write(file, shot["data"].as_str().unwrap()).unwrap();
    }
}

impl Drop for Browser {
    fn drop(&mut self) {
        if !self.session.is_empty() {
            let _ = self.agent.delete(format!("{}{}", self.base, self.session)).call();
        }
        let _ = self.driver.kill();
        let _ = self.driver.wait();
    }
}
