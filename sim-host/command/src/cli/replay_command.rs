//! The line that runs something again, as a shell takes it.

use super::resolved::Files;
use std::path::Path;
use twinplate_check::trials::TrialRun;

/// The command that runs a numbered trial again, as a shell takes it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct ReplayCommand {
    front: String,
}

impl ReplayCommand {
    /// For the trials of `files` with `seed`. `program` is the name by which this program was called, so that the line works
    /// where it was printed.
    #[must_use]
    pub fn new(program: &str, files: &Files, seed: u64) -> Self {
        let mut front = run_of(program, files);
        front.push_str(&format!(" --seed {seed}"));
        Self { front }
    }

    /// The line for one run.
    #[must_use]
    pub fn line(&self, run: TrialRun) -> String {
        let warm = if run.warm { " --warm" } else { "" };
        format!("{} --draw {}{warm}", self.front, run.draw)
    }

    /// The line that runs a journal again.
    #[must_use]
    pub fn of_journal(program: &str, files: &Files, journal: &Path) -> String {
        format!(
            "{} --replay {}",
            run_of(program, files),
            quoted_path(journal)
        )
    }
}

/// `run` of these files, as a shell takes it.
pub(super) fn run_of(program: &str, files: &Files) -> String {
    let mut front = format!("{} run {}", quoted(program), quoted_path(&files.recipe));
    for (option, path) in [
        ("--machine", &files.overrides.machine),
        ("--batch", &files.overrides.batch),
    ] {
        if let Some(path) = path {
            front.push_str(&format!(" {option} {}", quoted_path(path)));
        }
    }
    front
}

fn quoted_path(path: &Path) -> String {
    let text = path.display().to_string();
    if text.starts_with('-') {
        // A path that looks like an option.
        quoted(&format!("./{text}"))
    } else {
        quoted(&text)
    }
}

/// A word as a POSIX shell reads it back.
fn quoted(word: &str) -> String {
    let plain = |c: char| c.is_ascii_alphanumeric() || "_./:=@%+,-".contains(c);
    if !word.is_empty() && word.chars().all(plain) {
        word.to_owned()
    } else {
        format!("'{}'", word.replace('\'', r"'\''"))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use twinplate_sim::files::Overrides;

    #[test]
    fn the_replay_line_survives_a_shell() {
        let files = Files {
            recipe: "-my recipes/it's.toml".into(),
            overrides: Overrides {
                machine: Some("m.toml".into()),
                batch: None,
            },
        };
        assert_eq!(
            ReplayCommand::new("twinplate", &files, 7).line(TrialRun {
                draw: 3,
                warm: true
            }),
            r"twinplate run './-my recipes/it'\''s.toml' --machine m.toml --seed 7 --draw 3 --warm"
        );
    }
}
