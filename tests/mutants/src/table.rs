//! What a run came to.

use crate::find::Mutant;
use crate::judge::Fate;
use crate::known::{Kind, Known};
use std::collections::BTreeMap;
use std::fmt::Write;
use std::path::Path;

/// Share of the mutants that are no equivalents which the suites must see, in the modules that carry the machine.
const SHARE: f64 = 0.97;

/// Modules that carry the machine, by the beginning of their path.
const CARRY: [&str; 9] = [
    "interlock",
    "sequence",
    "motion",
    "judge",
    "signal",
    "recipe/limits",
    "params",
    "controller",
    "link",
];

#[derive(Clone, Copy, Debug, Default)]
struct Row {
    tried: usize,
    caught: usize,
    missed: usize,
    equivalent: usize,
    timeouts: usize,
}

impl Row {
    fn share(self) -> f64 {
        let counted = self.tried - self.equivalent;
        if counted == 0 {
            1.0
        } else {
            (self.caught + self.timeouts) as f64 / counted as f64
        }
    }

    fn add(&mut self, fate: &Fate, kind: Option<Kind>) {
        self.tried += 1;
        match fate {
            Fate::Caught { .. } => self.caught += 1,
            Fate::Timeout { .. } => self.timeouts += 1,
            Fate::Missed if kind == Some(Kind::Equivalent) => self.equivalent += 1,
            Fate::Missed => self.missed += 1,
        }
    }
}

fn module(file: &str) -> &str {
    CARRY
        .into_iter()
        .find(|name| file.starts_with(name))
        .unwrap_or("the rest")
}

fn rows(all: &[Mutant], judged: &BTreeMap<usize, Fate>, known: &Known) -> BTreeMap<String, Row> {
    let mut rows: BTreeMap<String, Row> = BTreeMap::new();
    for (&index, fate) in judged {
        let mutant = &all[index];
        let kind = known.get(mutant).map(|(kind, _)| *kind);
        rows.entry(module(&mutant.file).to_owned())
            .or_default()
            .add(fate, kind);
    }
    rows
}

/// To the terminal.
pub fn tell(all: &[Mutant], judged: &BTreeMap<usize, Fate>, known: &Known) {
    for (name, row) in rows(all, judged, known) {
        println!(
            "{name:<14} tried {:>4}, caught {:>4}, timeouts {:>3}, missed {:>3}, equivalent {:>3}: {:.1} %",
            row.tried,
            row.caught,
            row.timeouts,
            row.missed,
            row.equivalent,
            row.share() * 100.0
        );
    }
}

/// Nothing is missed that the list does not name; over a whole run, the share holds in every module that carries the machine, and
/// nothing is listed that is seen.
pub fn passes(all: &[Mutant], judged: &BTreeMap<usize, Fate>, known: &Known, whole: bool) -> bool {
    let mut good = true;
    for (&index, fate) in judged {
        let mutant = &all[index];
        match (fate, known.get(mutant)) {
            (Fate::Missed, None) => {
                println!("NOT SEEN: {} (line {})", mutant.name(), mutant.line);
                good = false;
            }
            (Fate::Caught { .. } | Fate::Timeout { .. }, Some(_)) => {
                println!(
                    "seen, and yet listed in tests/mutants/known: {}",
                    mutant.name()
                );
                good = false;
            }
            _ => {}
        }
    }
    if whole {
        for (name, row) in rows(all, judged, known) {
            if CARRY.contains(&name.as_str()) && row.share() < SHARE {
                println!(
                    "{name}: {:.1} % seen, {:.0} % wanted",
                    row.share() * 100.0,
                    SHARE * 100.0
                );
                good = false;
            }
        }
    }
    good
}

/// The committed page.
pub fn write(
    root: &Path,
    all: &[Mutant],
    judged: &BTreeMap<usize, Fate>,
    known: &Known,
) -> Result<(), String> {
    let path = root.join("docs/mutants.md");
    let old = std::fs::read_to_string(&path).map_err(|e| format!("{}: {e}", path.display()))?;
    let (begin, end) = (
        "<!-- made by tests/mutants/run: mutants -->\n",
        "<!-- end -->",
    );
    let (before, rest) = old
        .split_once(begin)
        .ok_or("docs/mutants.md has no generated block")?;
    let (_, after) = rest
        .split_once(end)
        .ok_or("docs/mutants.md: the generated block has no end")?;
    let mut page = String::new();
    let _ = writeln!(
        page,
        "| module | tried | caught | timeouts | missed | equivalent | seen of what counts |"
    );
    let _ = writeln!(page, "|---|---|---|---|---|---|---|");
    for (name, row) in rows(all, judged, known) {
        let _ = writeln!(
            page,
            "| {name} | {} | {} | {} | {} | {} | {:.1} % |",
            row.tried,
            row.caught,
            row.timeouts,
            row.missed,
            row.equivalent,
            row.share() * 100.0
        );
    }
    for (title, wanted) in [("Missed", Kind::Missed), ("Equivalent", Kind::Equivalent)] {
        let listed = all.iter().filter_map(|mutant| {
            let (kind, reason) = known.get(mutant)?;
            (*kind == wanted).then(|| (mutant.name(), reason.as_str()))
        });
        list(&mut page, title, "why", listed);
    }
    let late = judged.iter().filter_map(|(&index, fate)| match fate {
        Fate::Timeout { suite } => Some((all[index].name(), suite.as_str())),
        Fate::Caught { .. } | Fate::Missed => None,
    });
    list(&mut page, "Timeouts", "suite", late);
    std::fs::write(&path, format!("{before}{begin}{page}{end}{after}"))
        .map_err(|e| format!("{}: {e}", path.display()))
}

/// Mutants of one kind, each with a word on it.
fn list<'a>(
    page: &mut String,
    title: &str,
    word: &str,
    of: impl Iterator<Item = (String, &'a str)>,
) {
    let _ = writeln!(page, "\n### {title}\n");
    let mut rows = String::new();
    for (name, about) in of {
        // A bar would end the cell, in code too.
        let name = name.replace('|', "\\|");
        let _ = writeln!(rows, "| `{name}` | {about} |");
    }
    if rows.is_empty() {
        let _ = writeln!(page, "None.");
    } else {
        let _ = write!(page, "| mutant | {word} |\n|---|---|\n{rows}");
    }
}
