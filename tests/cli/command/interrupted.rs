//! A command that is told to stop leaves nothing behind: no temporary file, no half result, the old file as it was.

use crate::{command, names, root, scratch, text};
use std::path::Path;
use std::process::{Command, Stdio};
use std::time::{Duration, Instant};

const GOOD: &str = "recipes/recipes/glass-f800.toml";
/// Three simulated hours in which nobody starts, and the run may not end before what is dated to their end: seconds of work.
const NOBODY: &str = "format = \"scenario-1\"\nid = \"nobody-starts\"\ntitle = \"Nobody starts (invented)\"\n\
                      operator = \"scripted\"\nlongest = \"3 h\"\n\
                      [[events]]\nat = \"179 min\"\ncommand = \"start\"\n";
const BEFORE: &str = "what was here before";

/// Hidden names in a folder: files that are still being written.
fn hidden(folder: &Path) -> Vec<String> {
    if !folder.is_dir() {
        return Vec::new();
    }
    let mut names = names(folder);
    names.retain(|name| name.starts_with('.'));
    names
}

/// Waits until something is so.
fn wait(what: &str, mut is_so: impl FnMut() -> bool) {
    let start = Instant::now();
    while !is_so() {
        assert!(start.elapsed() < Duration::from_secs(60), "never: {what}");
        std::thread::sleep(Duration::from_millis(5));
    }
}

/// Starts a call in `folder`, waits until `written` has that many temporary files, sends the signal, and gives the exit code.
fn interrupt(
    folder: &Path,
    call: &[&str],
    written: &Path,
    files: usize,
    signal: &str,
) -> Option<i32> {
    let mut child = command()
        .current_dir(folder)
        .args(call)
        .stdout(Stdio::null())
        .stderr(Stdio::null())
        .spawn()
        .expect("the binary starts");
    wait(&format!("{files} files of {call:?}"), || {
        assert_eq!(
            child.try_wait().expect("asked"),
            None,
            "{call:?} is over too soon"
        );
        hidden(written).len() == files
    });
    let sent = Command::new("kill")
        .args([signal, &child.id().to_string()])
        .status()
        .expect("kill runs");
    assert!(sent.success());
    child.wait().expect("it ends").code()
}

#[test]
fn ctrl_c_and_a_polite_request_leave_no_temporary_file() {
    let folder = scratch("interrupted");
    let recipe = root().join(GOOD);
    let machine = folder.join("machine-a.toml");
    let demo =
        std::fs::read_to_string(root().join("recipes/machines/machine-a.toml")).expect("demo");
    std::fs::write(&machine, &demo).expect("written");
    let recipe = text(&recipe);
    std::fs::write(folder.join("nobody-starts.toml"), NOBODY).expect("written");
    let out = folder.join("out");
    // What is called, where its temporary files are, and how many.
    let calls: &[(&[&str], &Path, usize)] = &[
        (
            &["check", recipe, "--runs=1000000", "--report", "kept"],
            &folder,
            1,
        ),
        (&["check", recipe, "--runs=1000000"], &out, 1),
        (
            &[
                "run",
                recipe,
                "--scenario",
                "nobody-starts.toml",
                "--trace",
                "kept",
                "--journal",
                "journal",
                "--report",
                "page",
            ],
            &folder,
            3,
        ),
        (&["check", recipe, "--seek=600"], &out, 6),
        (
            &[
                "tune",
                "machine-a.toml",
                "--runs=1000000",
                "--write",
                "--report",
                "kept",
            ],
            &folder,
            2,
        ),
    ];
    for (call, written, files) in calls {
        for (signal, code) in [("-INT", 130), ("-TERM", 143)] {
            std::fs::write(folder.join("kept"), BEFORE).expect("written");
            let ended = interrupt(&folder, call, written, *files, signal);
            // 128 and the number of the signal, as a shell says it.
            assert_eq!(ended, Some(code), "{call:?}, {signal}");
            assert_eq!(hidden(&folder), [""; 0], "{call:?}, {signal}");
            assert_eq!(hidden(&out), [""; 0], "{call:?}, {signal}");
            let kept = std::fs::read_to_string(folder.join("kept"));
            assert_eq!(kept.ok().as_deref(), Some(BEFORE), "{call:?}, {signal}");
            let now = std::fs::read_to_string(&machine).expect("machine");
            assert_eq!(now, demo, "{call:?}, {signal}");
        }
    }
    let left: Vec<String> = if out.is_dir() {
        names(&out)
    } else {
        Vec::new()
    };
    assert!(left.is_empty(), "{left:?}");
}

/// The folder of the demonstration set is there whole or not at all, whenever its making is cut short.
#[test]
fn a_set_that_is_being_written_is_removed() {
    let folder = scratch("interrupted-demo");
    for delay in 0..40 {
        let set = folder.join(format!("set-{delay}"));
        let mut child = command()
            .args(["demo", text(&set)])
            .stdout(Stdio::null())
            .stderr(Stdio::null())
            .spawn()
            .expect("the binary starts");
        std::thread::sleep(Duration::from_millis(delay));
        // It may be over already.
        let _ = Command::new("kill")
            .args(["-INT", &child.id().to_string()])
            .stderr(Stdio::null())
            .status();
        child.wait().expect("it ends");
        assert_eq!(hidden(&folder), [""; 0], "after {delay} ms");
        if set.exists() {
            assert!(set.join("recipes/glass-f800.toml").is_file());
        }
    }
}
