//! The binary as a server in a process of its own, to be killed and looked at from outside.

use crate::house::House;
use crate::root;
use std::io::{BufRead, BufReader, Read};
use std::path::{Path, PathBuf};
use std::process::{Child, ChildStderr, Command, Stdio};

/// A server's process.
pub struct Server {
    pub child: Child,
    url: String,
}

/// A folder that is taken away afterwards.
pub struct Folder(pub PathBuf);

impl Folder {
    pub fn new(name: &str) -> Self {
        let path = std::env::temp_dir().join(format!("twinplate-{name}-{}", std::process::id()));
        let _ = std::fs::remove_dir_all(&path);
        Self(path)
    }
}

impl Drop for Folder {
    fn drop(&mut self) {
        let _ = std::fs::remove_dir_all(&self.0);
    }
}

/// The command that starts a server on a port of its own, with a log of this level.
pub fn command(records: &Path, log: &str) -> Command {
    let mut command = Command::new(env!("CARGO_BIN_EXE_twinplate"));
    command
        .current_dir(root())
        .args(["train", "--port", "0", "--log", log, "--records"])
        .arg(records)
        .stdin(Stdio::null())
        .stdout(Stdio::piped())
        .stderr(Stdio::piped());
    command
}

impl Drop for Server {
    fn drop(&mut self) {
        // After a failed test; otherwise it is gone.
        let _ = self.child.kill();
        let _ = self.child.wait();
    }
}

impl Server {
    /// Starts one that logs everything.
    pub fn start(records: &Path) -> Self {
        Self::logging(records, "trace")
    }

    /// Starts one with a log of this level. Its end of the pipe has to be read: [`Self::log`], or [`Self::kill`] before it is full.
    pub fn logging(records: &Path, log: &str) -> Self {
        let mut child = command(records, log).spawn().expect("starts");
        let mut line = String::new();
        let out = child.stdout.take().expect("piped");
        BufReader::new(out).read_line(&mut line).expect("a line");
        let url = line.trim().to_owned();
        assert!(url.starts_with("http://127.0.0.1:"), "{url}");
        Self { child, url }
    }

    /// For talking to it.
    pub async fn house(&self) -> House {
        let host = self.url.trim_start_matches("http://").trim_end_matches('/');
        House::elsewhere(host.parse().expect("an address")).await
    }

    /// What it logs, for whoever reads all of it.
    pub fn log(&mut self) -> ChildStderr {
        self.child.stderr.take().expect("taken once")
    }

    /// Kills it as a power cut does, and gives what it said and nobody has read.
    pub fn kill(mut self) -> String {
        self.child.kill().expect("killed");
        self.child.wait().expect("gone");
        let mut said = String::new();
        if let Some(mut err) = self.child.stderr.take() {
            err.read_to_string(&mut said).expect("read");
        }
        said
    }
}
