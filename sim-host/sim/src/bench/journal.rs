//! Every action from outside, stamped with the tick at which it acted. Seed, hashes of the files and journal give the run again.
//!
//! As text a journal is JSON lines: one header, one line an entry, in the order in which they acted.

use crate::files::error::said;
use crate::files::{FileKind, Loaded, Set};
use crate::model::{Component, Deviations, Fault, Scenario, StationAct};
use crate::plant::Substeps;
use firmware_core::process_image::FACES;
use firmware_core::sequence::{Command, Request};
use serde::{Deserialize, Serialize};
use std::fmt;

/// Version of the text form.
pub const JOURNAL_VERSION: u16 = 1;

/// One action from outside the loop.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Action {
    /// One of the six commands.
    Command(Command),
    /// A request to the controller (boxed: one of them carries a whole recipe).
    Request(Box<Request>),
    /// A hand on the machine.
    Station(StationAct),
    /// A fault begins.
    Fault(Fault),
    /// A fault ends.
    Clear(Component),
    /// The controller's power was away for a moment: it boots anew on the machine as it stands.
    PowerReturns,
}

/// An action and when it acted.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Entry {
    /// Tick of the bench, from 0.
    pub tick: u32,
    /// What.
    pub action: Action,
}

/// A file the run was made from.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct FileHash {
    /// What it is: `machine`, `batch`, `recipe`, `scenario`.
    pub kind: String,
    /// Its identifier.
    pub id: String,
    /// Hash of its text.
    #[serde(with = "hex")]
    pub hash: u64,
}

impl FileHash {
    /// What the journal notes about the files of a run.
    #[must_use]
    pub fn of(set: &Set, scenario: Option<&Loaded<Scenario>>) -> Vec<Self> {
        let note = |kind: FileKind, id: &str, hash| Self {
            kind: kind.word().to_owned(),
            id: id.to_owned(),
            hash,
        };
        let mut notes = vec![
            note(FileKind::Recipe, &set.recipe.value.id, set.recipe.hash),
            note(FileKind::Machine, &set.machine.value.id, set.machine.hash),
            note(FileKind::Batch, &set.batch.value.id, set.batch.hash),
        ];
        notes.extend(scenario.map(|file| note(FileKind::Scenario, &file.value.id, file.hash)));
        notes
    }

    /// Whether it is a scenario's.
    #[must_use]
    pub(crate) fn is_scenario(&self) -> bool {
        self.kind == FileKind::Scenario.word()
    }
}

/// Which draw of the envelope a run was.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Drawn {
    /// Seed of the draws; the run's own seed follows from it and the number.
    #[serde(with = "hex")]
    pub seed: u64,
    /// Number of the draw; 0 is the nominal machine.
    pub index: u64,
}

/// Where a run ended and what it came to, so that a replay knows how far to go and whether it is the same run.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct End {
    /// Ticks made.
    pub ticks: u32,
    /// Hash of what the controller did.
    #[serde(with = "hex")]
    pub control_hash: u64,
}

/// What a search drove down in the run, so that a replay can say whether the same margin came out.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Sought {
    /// The requirement, one word.
    pub requirement: String,
    /// Margin to its limit, in its unit; negative beyond it.
    pub margin: f64,
}

/// Pieces that a shortened journal loads, where they are fewer than the batch file says.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Pieces {
    /// Real parts.
    pub parts: u32,
    /// Dummies.
    pub dummies: u32,
}

/// What a run was made from and what was done to it.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Journal {
    /// Seed of all randomness in the run.
    pub seed: u64,
    /// Files it was made from.
    pub files: Vec<FileHash>,
    /// The draw that the machine and batch were; `None` when whoever ran it did not say.
    pub drawn: Option<Drawn>,
    /// How the machine and batch differed from their files, where they were no numbered draw: a search or a shrinker chose them.
    /// They go before `drawn`, and the noise is then that of `seed`.
    pub deviations: Option<Deviations>,
    /// What was sought in it; `None` where nothing was.
    pub sought: Option<Sought>,
    /// Pieces loaded, where shortening left fewer than the batch file says.
    pub pieces: Option<Pieces>,
    /// Steps of the plant's fast physics in a tick of the controller.
    pub substeps: Substeps,
    /// Temperatures of the lower and the upper plate before the cycle, °C, where they were not those of the room.
    pub plates: Option<[f64; FACES]>,
    /// How the run ended; `None` while it goes on.
    pub end: Option<End>,
    /// What was done, ticks never falling.
    pub entries: Vec<Entry>,
}

/// First line of the text form.
#[derive(Serialize, Deserialize)]
struct Header {
    journal: u16,
    #[serde(with = "hex")]
    seed: u64,
    files: Vec<FileHash>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    drawn: Option<Drawn>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    deviations: Option<Deviations>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    sought: Option<Sought>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pieces: Option<Pieces>,
    #[serde(default, skip_serializing_if = "Substeps::is_one")]
    substeps: Substeps,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    plates: Option<[f64; FACES]>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    end: Option<End>,
}

/// Why a text is not a journal.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct JournalError {
    /// Line, from 1.
    pub line: usize,
    /// What is wrong and what was expected.
    pub what: String,
}

impl fmt::Display for JournalError {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(out, "journal, line {}: {}", self.line, self.what)
    }
}

impl std::error::Error for JournalError {}

impl Journal {
    /// An empty journal of a run, with room for the actions of an ordinary one.
    #[must_use]
    pub fn new(seed: u64, files: Vec<FileHash>) -> Self {
        Self {
            seed,
            files,
            drawn: None,
            deviations: None,
            sought: None,
            pieces: None,
            substeps: Substeps::ONE,
            plates: None,
            end: None,
            entries: Vec::with_capacity(64),
        }
    }

    /// The first of these files that is another than the one the journal was made from. Only the journal's own files give its run
    /// again; a file that it does not name is none of its business.
    #[must_use]
    pub fn other_file<'a>(&self, now: &'a [FileHash]) -> Option<&'a FileHash> {
        now.iter().find(|now| {
            self.files
                .iter()
                .any(|then| then.kind == now.kind && then.hash != now.hash)
        })
    }

    /// Notes an action.
    pub fn note(&mut self, tick: u32, action: Action) {
        self.entries.push(Entry { tick, action });
    }

    /// The text form.
    ///
    /// # Errors
    /// An entry that JSON cannot carry: a fault whose magnitude is not finite (which a plant refuses anyway), or deviations that no
    /// machine can have.
    pub fn to_text(&self) -> Result<String, JournalError> {
        possible(self.deviations.as_ref())?;
        plausible(self.plates)?;
        let header = Header {
            journal: JOURNAL_VERSION,
            seed: self.seed,
            files: self.files.clone(),
            drawn: self.drawn,
            deviations: self.deviations,
            sought: self.sought.clone(),
            pieces: self.pieces,
            substeps: self.substeps,
            plates: self.plates,
            end: self.end,
        };
        let mut text = String::new();
        let mut line = |number: usize, json: serde_json::Result<String>| {
            let json = json.map_err(|error| JournalError {
                line: number,
                what: format!("cannot be written as JSON ({error})"),
            })?;
            text.push_str(&json);
            text.push('\n');
            Ok(())
        };
        line(1, serde_json::to_string(&header))?;
        for (index, entry) in self.entries.iter().enumerate() {
            // JSON has no word for these; it would come back as "the default magnitude", another run.
            if let Action::Fault(fault) = &entry.action
                && fault.magnitude.is_some_and(|size| !size.is_finite())
            {
                return Err(JournalError {
                    line: index + 2,
                    what: "has a fault whose magnitude is not a finite number".into(),
                });
            }
            line(index + 2, serde_json::to_string(entry))?;
        }
        Ok(text)
    }

    /// Reads the text form back.
    ///
    /// # Errors
    /// The first line that is not what it should be.
    pub fn from_text(text: &str) -> Result<Self, JournalError> {
        let mut lines = text.lines().enumerate();
        let wrong = |line: usize, what: String| JournalError {
            line,
            what: said(what),
        };
        let (_, first) = lines.next().ok_or_else(|| {
            wrong(
                1,
                "is empty; expected a header such as {\"journal\":1,\"seed\":\"0x2a\",\"files\":[]}".into(),
            )
        })?;
        let header: Header = serde_json::from_str(first)
            .map_err(|error| wrong(1, format!("is not a journal's header: {error}")))?;
        if header.journal != JOURNAL_VERSION {
            return Err(wrong(
                1,
                format!(
                    "is of version {}; this program reads version {JOURNAL_VERSION}: use the one that wrote it",
                    header.journal
                ),
            ));
        }
        possible(header.deviations.as_ref())?;
        plausible(header.plates)?;
        let mut journal = Self::new(header.seed, header.files);
        (journal.drawn, journal.end) = (header.drawn, header.end);
        (journal.deviations, journal.sought) = (header.deviations, header.sought);
        (journal.pieces, journal.substeps) = (header.pieces, header.substeps);
        journal.plates = header.plates;
        for (index, line) in lines {
            let entry: Entry = serde_json::from_str(line)
                .map_err(|error| wrong(index + 1, format!("is not an entry: {error}")))?;
            if let Some(last) = journal.entries.last()
                && last.tick > entry.tick
            {
                return Err(wrong(
                    index + 1,
                    format!(
                        "acts at tick {}, before the line above it ({}); entries stand in the order in which they acted",
                        entry.tick, last.tick
                    ),
                ));
            }
            journal.entries.push(entry);
        }
        Ok(journal)
    }
}

/// Deviations of the header that a machine can be made of.
fn possible(deviations: Option<&Deviations>) -> Result<(), JournalError> {
    match deviations.and_then(Deviations::impossible) {
        None => Ok(()),
        Some((name, value)) => Err(JournalError {
            line: 1,
            what: format!(
                "has the deviation {name} = {value}; expected a factor from 0.01 to 100 (regulator_offset: from -1 to 1)"
            ),
        }),
    }
}

/// Coldest and hottest plates that a journal may begin with, °C: far outside of what a lapping machine's plates come to.
const PLATES: [f64; 2] = [-50.0, 200.0];

/// Temperatures of the header that plates can have.
fn plausible(plates: Option<[f64; FACES]>) -> Result<(), JournalError> {
    let [least, most] = PLATES;
    let outside = plates.into_iter().flatten();
    match outside
        .into_iter()
        .find(|plate| !(least..=most).contains(plate))
    {
        None => Ok(()),
        Some(plate) => Err(JournalError {
            line: 1,
            what: format!("has plates of {plate} °C; expected {least} to {most} °C"),
        }),
    }
}

/// 64-bit numbers as hexadecimal text: many JSON readers keep only 53 bits of a number.
pub mod hex {
    use serde::{Deserialize, Deserializer, Serializer, de::Error};

    /// Writes `0x` and the digits.
    ///
    /// # Errors
    /// The serializer's.
    #[allow(clippy::trivially_copy_pass_by_ref)] // the signature serde asks for
    pub fn serialize<S: Serializer>(value: &u64, to: S) -> Result<S::Ok, S::Error> {
        to.collect_str(&format_args!("{value:#x}"))
    }

    /// Reads what [`serialize`] writes.
    ///
    /// # Errors
    /// Text that is not `0x` and up to 16 digits.
    pub fn deserialize<'de, D: Deserializer<'de>>(from: D) -> Result<u64, D::Error> {
        let text = String::deserialize(from)?;
        text.strip_prefix("0x")
            .and_then(|digits| u64::from_str_radix(digits, 16).ok())
            .ok_or_else(|| {
                D::Error::custom(format!(
                    "`{text}` is not a hexadecimal number such as \"0x2a\""
                ))
            })
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::model::FaultMode;

    fn journal() -> Journal {
        let mut journal = Journal::new(
            u64::MAX,
            vec![FileHash {
                kind: "machine".into(),
                id: "machine-a".into(),
                hash: 0xFEDC_BA98_7654_3210,
            }],
        );
        journal.drawn = Some(Drawn {
            seed: 1 << 63,
            index: 17,
        });
        journal.deviations = Some(Deviations {
            // Not a short decimal: all its bits must come back.
            stiffness: 1.0 / 3.0,
            regulator_offset: -0.01,
            ..Deviations::NOMINAL
        });
        journal.sought = Some(Sought {
            requirement: "load-limit".into(),
            margin: -1.0 / 3.0,
        });
        // Not short decimals: all their bits must come back.
        journal.plates = Some([22.0 + 1.0 / 3.0, 0.1 + 0.2]);
        journal.end = Some(End {
            ticks: 90_000,
            control_hash: u64::MAX - 1,
        });
        journal.note(
            100,
            Action::Request(Box::new(Request::ConfirmParts { pieces: 15 })),
        );
        journal.note(200, Action::Command(Command::Start));
        journal.note(
            70_001,
            Action::Fault(Fault {
                component: Component::Agitator,
                mode: FaultMode::Slow,
                // Not a short decimal: all its bits must come back.
                magnitude: Some(0.1 + 0.2),
            }),
        );
        journal.note(70_001, Action::Station(StationAct::PressEstop));
        journal.note(80_000, Action::Clear(Component::Agitator));
        journal
    }

    #[test]
    fn text_and_back_is_the_same_journal() {
        let text = journal().to_text().unwrap();
        assert_eq!(text.lines().count(), 6);
        assert!(text.starts_with("{\"journal\":1,\"seed\":\"0xffffffffffffffff\""));
        assert_eq!(Journal::from_text(&text).unwrap(), journal());
    }

    #[test]
    fn a_magnitude_that_json_cannot_carry_is_not_written() {
        let mut journal = Journal::new(1, Vec::new());
        journal.note(
            5,
            Action::Fault(Fault {
                component: Component::Dog,
                mode: FaultMode::Wrong,
                magnitude: Some(f64::NAN),
            }),
        );
        assert_eq!(journal.to_text().unwrap_err().line, 2);
    }

    #[test]
    fn what_is_not_a_journal_is_refused_with_its_line() {
        let good = journal().to_text().unwrap();
        let cases = [
            (String::new(), 1, "empty"),
            ("{}".into(), 1, "header"),
            (
                good.replace("\"journal\":1", "\"journal\":2"),
                1,
                "version 2",
            ),
            (good.replace("0xffffffffffffffff", "12"), 1, "hexadecimal"),
            (good.replace("\"noise\":1.0", "\"noise\":-1e30"), 1, "noise"),
            (
                good.replace("\"regulator_offset\":-0.01", "\"regulator_offset\":-2"),
                1,
                "regulator_offset",
            ),
            (good.replace("\"plates\":[", "\"plates\":[4"), 1, "plates"),
            (good.replace("Start", "Begin"), 3, "entry"),
            (good.replace("\"tick\":200", "\"tick\":99"), 3, "before"),
            (format!("{good}\n"), 7, "entry"),
        ];
        for (text, line, word) in cases {
            let error = Journal::from_text(&text).unwrap_err();
            assert_eq!(error.line, line, "{error}");
            assert!(error.to_string().contains(word), "{error}");
        }
    }
}
