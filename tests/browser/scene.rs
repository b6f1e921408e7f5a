//! A server and a browser of its own for each test. Both end with it.

use crate::installed;
use fantoccini::{Client, ClientBuilder, Locator};
use serde_json::{Value, json};
use std::fs;
use std::future::Future;
use std::io::{BufRead, BufReader};
use std::path::{Path, PathBuf};
use std::process::{Child, Command, Stdio};
use std::time::{Duration, Instant};

/// The day on which the demo is asked about: its evidence is fresh, whatever today's date.
const AS_OF: &str = "2026-10-20";

/// A desk: 1366×768 is the smallest screen on which the answer must be whole.
pub(crate) const DESK: (u32, u32) = (1366, 768);

/// How long an answer may take to appear: tens of times what it takes, for a busy machine.
const APPEARS_WITHIN: Duration = Duration::from_secs(20);

/// How long to wait before looking again.
const LOOKS_AGAIN: Duration = Duration::from_millis(50);

/// A program that is killed when the test ends, however it ends.
struct Running(Child);

impl Drop for Running {
    fn drop(&mut self) {
        let _ = self.0.kill();
        let _ = self.0.wait();
    }
}

impl Running {
    /// Starts a program and reads what it prints until a line says what is looked for.
    fn until<T>(command: &mut Command, found: impl Fn(&str) -> Option<T>) -> (Self, T) {
        let mut child = command.stdout(Stdio::piped()).stderr(Stdio::null()).spawn().unwrap();
        let mut lines = BufReader::new(child.stdout.take().unwrap()).lines();
        let own = Self(child);
        let value = lines.find_map(|line| found(&line.unwrap())).unwrap();
        // Nobody may block on a full pipe.
        std::thread::spawn(move || lines.for_each(drop));
        (own, value)
    }
}

/// What the browser is like.
#[derive(Debug, Clone, Copy, Default)]
pub(crate) struct Look {
    pub(crate) dark: bool,
    pub(crate) without_scripts: bool,
    pub(crate) size: Option<(u32, u32)>,
}

/// A server, a browser and a folder.
pub(crate) struct Scene {
    _server: Running,
    _driver: Running,
    pub(crate) base: String,
    pub(crate) records: PathBuf,
    pub(crate) browser: Client,
}

/// Runs a test in a scene.
pub(crate) fn on_stage<F: Future<Output = ()>>(
    name: &str,
    look: Look,
    test: impl FnOnce(Scene) -> F,
) {
    installed::make_sure();
    let runtime = tokio::runtime::Builder::new_current_thread().enable_all().build().unwrap();
    runtime.block_on(async {
        let scene = Scene::set(name, look).await;
        let browser = scene.browser.clone();
        test(scene).await;
        let _ = browser.close().await;
    });
}

impl Scene {
    async fn set(name: &str, look: Look) -> Self {
        let folder = Path::new(env!("CARGO_TARGET_TMPDIR")).join("browser").join(name);
        let _ = fs::remove_dir_all(&folder);
        fs::create_dir_all(&folder).unwrap();
        let records = folder.join("records.sqlite");
        let mut serve = Command::new(env!("CARGO_BIN_EXE_bubblemargin"));
        serve.args(["serve", "demo-data/units", "--listen", "127.0.0.1:0", "--as-of", AS_OF]);
        serve.args(["--outages", "demo-data/outages.yaml", "--records"]).arg(&records);
        let address =
            |line: &str| line.starts_with("http://").then(|| line.trim_end_matches('/').to_owned());
        let (server, base) = Running::until(&mut serve, address);
        let mut driver = Command::new("chromedriver");
        let port = |line: &str| {
            let after = line.split("successfully on port ").nth(1)?;
            Some(after.trim_end_matches('.').to_owned())
        };
        let (driver, port) = Running::until(driver.arg("--port=0"), port);
        let browser = browser(&port, &folder, look).await;
        Self { _server: server, _driver: driver, base, records, browser }
    }

    /// Goes to a page of the server.
    pub(crate) async fn goto(&self, path: &str) {
        self.browser.goto(&format!("{}{path}", self.base)).await.unwrap();
    }

    /// What a script of the test finds on the page.
    pub(crate) async fn finds(&self, script: &str) -> Value {
        self.browser.execute(script, vec![]).await.unwrap()
    }

    /// The text of the first element.
    pub(crate) async fn text(&self, css: &str) -> String {
        self.browser.find(Locator::Css(css)).await.unwrap().text().await.unwrap()
    }

    /// Waits until an element is there.
    pub(crate) async fn appears(&self, css: &str) {
        let wait = self.browser.wait().at_most(APPEARS_WITHIN);
        wait.for_element(Locator::Css(css)).await.unwrap();
    }

    /// Waits until the first element says it. After a click, the page being left may still be
    /// there, or go while it is read.
    pub(crate) async fn comes_to_say(&self, css: &str, said: &str) {
        let begun = Instant::now();
        loop {
            let read = match self.browser.find(Locator::Css(css)).await {
                Ok(element) => element.text().await,
                Err(error) => Err(error),
            };
            if read.as_ref().is_ok_and(|text| text.contains(said)) {
                return;
            }
            assert!(begun.elapsed() < APPEARS_WITHIN, "{css} never said {said:?}: {read:?}");
            tokio::time::sleep(LOOKS_AGAIN).await;
        }
    }

    /// Clears a field and types.
    pub(crate) async fn fill(&self, css: &str, text: &str) {
        let field = self.browser.find(Locator::Css(css)).await.unwrap();
        field.clear().await.unwrap();
        field.send_keys(text).await.unwrap();
    }

    pub(crate) async fn click(&self, css: &str) {
        self.browser.find(Locator::Css(css)).await.unwrap().click().await.unwrap();
    }
}

async fn browser(port: &str, folder: &Path, look: Look) -> Client {
    let (width, height) = look.size.unwrap_or(DESK);
    let mut arguments = vec![
        "--headless=new".to_owned(),
        "--no-sandbox".to_owned(),
        "--disable-gpu".to_owned(),
        "--disable-dev-shm-usage".to_owned(),
        "--hide-scrollbars".to_owned(),
        format!("--user-data-dir={}", folder.join("profile").display()),
    ];
    if look.dark {
        arguments.push("--blink-settings=preferredColorScheme=0".to_owned());
    }
    let mut options = json!({
        "args": arguments,
        // The page is as large as is said, whatever the window has around it.
        "mobileEmulation": { "deviceMetrics": { "width": width, "height": height, "pixelRatio": 1.0, "mobile": false, "touch": false } },
    });
    if look.without_scripts {
        options["prefs"] = json!({ "profile.managed_default_content_settings.javascript": 2 });
    }
    let wanted = json!({ "goog:chromeOptions": options, "browserName": "chrome" });
    let mut builder = ClientBuilder::new(hyper_util::client::legacy::connect::HttpConnector::new());
    builder.capabilities(wanted.as_object().unwrap().clone());
    builder.connect(&format!("http://127.0.0.1:{port}")).await.unwrap()
}

/// The question that most tests ask: a go with cautions.
pub(crate) const GOES: &str = "/unit/fellmoor-t2?step_pu=0.80&step_for=60min&step_pu=0.76&step_for=1h&preload=0.65&ambient=27";

/// One that is a no-go.
pub(crate) const DOES_NOT_GO: &str =
    "/unit/fellmoor-t2?step_pu=1.25&step_for=90min&preload=0.65&ambient=27";
