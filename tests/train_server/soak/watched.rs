//! A server's process from outside: its size by `/proc`, and the emergency stops in its log.

use std::io::{BufRead, BufReader};
use std::process::ChildStderr;
use std::thread::JoinHandle;

/// How large a process is.
#[derive(Clone, Copy, Debug, Default)]
pub struct Size {
    /// Resident memory, MB.
    pub memory_mb: f64,
    pub threads: usize,
    /// Open files, sockets among them.
    pub files: usize,
}

/// The median.
pub fn middle<T: Copy>(mut all: Vec<T>, before: impl Fn(&T, &T) -> std::cmp::Ordering) -> T {
    all.sort_by(before);
    *all.get(all.len() / 2).expect("samples")
}

impl Size {
    /// Of a running process.
    pub fn of(pid: u32) -> Self {
        let status = std::fs::read_to_string(format!("/proc/{pid}/status")).expect("it runs");
        let number = |key: &str| -> f64 {
            let line = status.lines().find_map(|line| line.strip_prefix(key));
            let digits = line.and_then(|rest| rest.split_whitespace().next());
            digits.and_then(|text| text.parse().ok()).expect("a number")
        };
        let files = std::fs::read_dir(format!("/proc/{pid}/fd")).expect("it runs");
        Self {
            memory_mb: number("VmRSS:") / 1024.0,
            threads: number("Threads:") as usize,
            files: files.count(),
        }
    }

    /// The larger of each.
    pub fn larger(self, other: Self) -> Self {
        Self {
            memory_mb: twinplate_sim::math::max(self.memory_mb, other.memory_mb),
            threads: self.threads.max(other.threads),
            files: self.files.max(other.files),
        }
    }

    /// The median of each.
    pub fn middle(all: Vec<Self>) -> Self {
        Self {
            memory_mb: middle(all.iter().map(|s| s.memory_mb).collect(), f64::total_cmp),
            threads: middle(all.iter().map(|s| s.threads).collect(), Ord::cmp),
            files: middle(all.iter().map(|s| s.files).collect(), Ord::cmp),
        }
    }
}

/// A log that is read as it comes, for the emergency stops in it.
pub struct Log(JoinHandle<(u64, u32)>);

/// The number behind a word of the log.
fn after(line: &str, word: &str) -> Option<u32> {
    let (_, rest) = line.split_once(word)?;
    let digits: String = rest.chars().take_while(char::is_ascii_digit).collect();
    digits.parse().ok()
}

impl Log {
    pub fn follow(log: ChildStderr) -> Self {
        Self(std::thread::spawn(move || {
            let (mut presses, mut worst) = (0, 0);
            for line in BufReader::new(log).lines() {
                let Ok(line) = line else { break };
                let ticks = after(&line, "arrived: ").zip(after(&line, "acted: "));
                if let Some((arrived, acted)) = ticks {
                    presses += 1;
                    worst = worst.max(acted.wrapping_sub(arrived));
                }
            }
            (presses, worst)
        }))
    }

    /// Emergency stops, and the most ticks from arrival to action.
    pub fn end(self) -> (u64, u32) {
        self.0.join().expect("read to its end")
    }
}
