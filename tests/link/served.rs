//! A machine that is served, as another process.

use std::io::{BufRead, BufReader, Write};
use std::path::{Path, PathBuf};
use std::process::{Child, ChildStdin, Command, Stdio};
use std::sync::{Arc, Mutex};
use std::time::{Duration, Instant};

/// Longest wait for anything.
const PATIENCE: Duration = Duration::from_secs(60);

pub fn root() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../..")
}

/// A command for the binary, with nothing of the caller's environment that changes what it draws.
pub fn twinplate() -> Command {
    let mut command = Command::new(env!("CARGO_BIN_EXE_twinplate"));
    command
        .current_dir(root())
        .env_remove("COLUMNS")
        .env("NO_COLOR", "1")
        .env("LC_ALL", "C.UTF-8");
    command
}

/// A copy of the demonstration files with a recipe that lasts half a minute.
pub fn short(name: &str) -> PathBuf {
    let folder = std::env::temp_dir().join(format!("twinplate-link-{name}-{}", std::process::id()));
    for kind in ["machines", "batches", "recipes"] {
        let to = folder.join(kind);
        std::fs::create_dir_all(&to).expect("folder");
        for file in std::fs::read_dir(root().join("recipes").join(kind)).expect("folder") {
            let file = file.expect("entry").path();
            std::fs::copy(&file, to.join(file.file_name().expect("name"))).expect("copied");
        }
    }
    let recipe = folder.join("recipes/steel-f400.toml");
    let text = std::fs::read_to_string(&recipe).expect("read");
    let text = text
        .replacen("time = \"60 s\"", "time = \"5 s\"", 1)
        .replacen("size = \"17.9796 mm\"", "time = \"10 s\"", 1);
    assert!(text.contains("\"5 s\"") && text.contains("\"10 s\""));
    std::fs::write(&recipe, text).expect("written");
    recipe
}

pub struct Served {
    child: Child,
    panel: ChildStdin,
    /// Where it listens.
    pub address: String,
    log: Arc<Mutex<String>>,
}

impl Served {
    /// Serves a recipe as fast as the computer can.
    pub fn start(recipe: &Path, more: &[&str]) -> Self {
        Self::paced(recipe, "fastest", more)
    }

    /// Serves a recipe at a pace.
    pub fn paced(recipe: &Path, pace: &str, more: &[&str]) -> Self {
        let mut child = twinplate()
            .arg("serve")
            .arg(recipe)
            .args(["--port", "0", "--pace", pace])
            .args(more)
            .stdin(Stdio::piped())
            .stdout(Stdio::piped())
            .spawn()
            .expect("runs");
        let panel = child.stdin.take().expect("piped");
        let mut out = BufReader::new(child.stdout.take().expect("piped"));
        let mut address = String::new();
        out.read_line(&mut address).expect("an address");
        let log = Arc::new(Mutex::new(String::new()));
        let kept = Arc::clone(&log);
        std::thread::spawn(move || {
            for line in out.lines().map_while(Result::ok) {
                *kept.lock().expect("not poisoned") += &(line + "\n");
            }
        });
        Self {
            child,
            panel,
            address: address.trim().to_owned(),
            log,
        }
    }

    /// Types at the panel.
    pub fn type_in(&mut self, words: &str) {
        self.panel.write_all(words.as_bytes()).expect("it reads");
        self.panel.flush().expect("it reads");
    }

    /// What was printed until now, without the address.
    pub fn log(&self) -> String {
        self.log.lock().expect("not poisoned").clone()
    }

    /// Waits until something was printed so often.
    pub fn wait_for(&self, what: &str, times: usize) {
        let begun = Instant::now();
        while self.log().matches(what).count() < times {
            assert!(begun.elapsed() < PATIENCE, "{what}\n{}", self.log());
            std::thread::sleep(Duration::from_millis(5));
        }
    }

    /// Waits for its end; the exit code.
    pub fn ends(&mut self) -> Option<i32> {
        let begun = Instant::now();
        loop {
            if let Some(status) = self.child.try_wait().expect("a process") {
                return status.code();
            }
            assert!(begun.elapsed() < PATIENCE, "{}", self.log());
            std::thread::sleep(Duration::from_millis(5));
        }
    }
}

impl Drop for Served {
    fn drop(&mut self) {
        let _ = self.child.kill();
        let _ = self.child.wait();
    }
}
