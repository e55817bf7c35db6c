//! An attempt as it is recorded: exercise, seed and what was done with its ticks give the whole session again.

use super::exercise::Exercise;
use super::log::Deed;
use super::paced::Paces;
use super::session::Session;
use serde::{Deserialize, Serialize};
use std::fmt;
use std::sync::Arc;
use twinplate_sim::bench::journal::hex;
use twinplate_sim::bench::{ControllerPort, FileHash};
use twinplate_words::Language;

/// Version of [`Attempt`]. In 2 a remedy takes its time; done again, one of 1 comes out otherwise.
pub const ATTEMPT_VERSION: u16 = 2;

/// A recorded attempt.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Attempt {
    /// [`ATTEMPT_VERSION`].
    pub attempt: u16,
    /// Identifier of the exercise.
    pub exercise: String,
    /// Language that it was told in. What was done comes out the same in any other.
    #[serde(default, skip_serializing_if = "is_english", with = "tag")]
    pub language: Language,
    /// Files that the session was made from.
    pub files: Vec<FileHash>,
    /// Seed.
    #[serde(with = "hex")]
    pub seed: u64,
    /// What was done, ticks never falling.
    pub deeds: Vec<Deed>,
    /// How time went by the clock. What was done comes out the same without it.
    #[serde(default, skip_serializing_if = "Paces::is_empty")]
    pub paces: Paces,
    /// Tick at which it stood or ended.
    pub end_tick: u32,
    /// It was finished.
    pub finished: bool,
    /// Hash of what the controller did.
    #[serde(with = "hex")]
    pub control_hash: u64,
    /// Hash of what was measured and true.
    #[serde(with = "hex")]
    pub trace_hash: u64,
    /// Points.
    pub points: u32,
    /// Points that could be had.
    pub of: u32,
    /// It was passed.
    pub passed: bool,
}

// Serde asks for a reference.
fn is_english(language: &Language) -> bool {
    *language == Language::English
}

/// A language as its tag.
mod tag {
    use serde::de::Error;
    use serde::{Deserialize, Deserializer, Serializer};
    use twinplate_words::Language;

    pub fn serialize<S: Serializer>(language: &Language, to: S) -> Result<S::Ok, S::Error> {
        to.serialize_str(language.tag())
    }

    pub fn deserialize<'de, D: Deserializer<'de>>(from: D) -> Result<Language, D::Error> {
        let tag = String::deserialize(from)?;
        Language::tagged(&tag).ok_or_else(|| D::Error::custom(format!("`{tag}` is no language")))
    }
}

/// Why an attempt did not come out again.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum ReplayError {
    /// Of another version.
    Version(u16),
    /// Of another exercise.
    Exercise {
        /// The attempt's.
        attempt: String,
        /// What it was replayed with.
        given: String,
    },
    /// A file is not what it was.
    File {
        /// Kind of file.
        kind: String,
        /// Its identifier.
        id: String,
    },
    /// The ticks are no order: of this deed, from 0, or of the end.
    Order(usize),
    /// Something came out differently.
    Different {
        /// What.
        what: &'static str,
        /// As recorded.
        recorded: String,
        /// As it came out.
        now: String,
    },
}

impl fmt::Display for ReplayError {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Version(version) => write!(
                out,
                "the attempt is of version {version}; this program reads version {ATTEMPT_VERSION}: use the one that wrote it"
            ),
            Self::Exercise { attempt, given } => write!(
                out,
                "the attempt is of the exercise `{attempt}`, not of `{given}`"
            ),
            Self::File { kind, id } => write!(
                out,
                "the {kind} `{id}` is not what it was when the attempt was made: use the files of that day"
            ),
            Self::Order(index) => write!(
                out,
                "entry {} of `deeds` does not fit into the order of the ticks: the record was changed",
                index + 1
            ),
            Self::Different {
                what,
                recorded,
                now,
            } => write!(
                out,
                "{what} was {recorded} and came out as {now}: the record was changed, or this program is another one"
            ),
        }
    }
}

impl std::error::Error for ReplayError {}

impl<C: ControllerPort> Session<C> {
    /// The attempt as it stands, to be recorded.
    #[must_use]
    pub fn attempt(&self) -> Attempt {
        let score = self.score();
        Attempt {
            attempt: ATTEMPT_VERSION,
            exercise: self.exercise.id().to_owned(),
            language: self.words().language(),
            files: self.exercise.files.clone(),
            seed: self.seed,
            deeds: self.log.iter().map(|logged| logged.deed.clone()).collect(),
            paces: self.paces.clone(),
            end_tick: self.tick(),
            finished: self.finished(),
            control_hash: self.control_hash(),
            trace_hash: self.trace_hash(),
            points: score.points,
            of: score.of,
            passed: score.passed(),
        }
    }
}

/// Does an attempt again on a controller in this process, in its language, wherever it was made, and compares.
///
/// # Errors
/// Where it cannot be done again, or something came out differently.
pub fn replay(exercise: Arc<Exercise>, attempt: &Attempt) -> Result<Session, ReplayError> {
    if attempt.attempt != ATTEMPT_VERSION {
        return Err(ReplayError::Version(attempt.attempt));
    }
    if attempt.exercise != exercise.id() {
        return Err(ReplayError::Exercise {
            attempt: attempt.exercise.clone(),
            given: exercise.id().to_owned(),
        });
    }
    let both = attempt.files.iter().chain(&exercise.files);
    if let Some(file) = both
        .into_iter()
        .find(|file| !(attempt.files.contains(file) && exercise.files.contains(file)))
    {
        return Err(ReplayError::File {
            kind: file.kind.clone(),
            id: file.id.clone(),
        });
    }
    let mut session = Session::new(exercise.in_language(attempt.language), attempt.seed);
    session.paces.clone_from(&attempt.paces);
    for (index, deed) in attempt.deeds.iter().enumerate() {
        go_to(&mut session, deed.tick, index)?;
        // Whether it is refused is part of what comes out again.
        let _ = session.take(deed.done.clone());
    }
    go_to(&mut session, attempt.end_tick, attempt.deeds.len())?;
    if attempt.finished {
        session.finish();
    }
    compare(&session.attempt(), attempt)?;
    Ok(session)
}

fn go_to(session: &mut Session, tick: u32, index: usize) -> Result<(), ReplayError> {
    let ticks = tick
        .checked_sub(session.tick())
        .ok_or(ReplayError::Order(index))?;
    if session.advance(ticks) < ticks {
        return Err(ReplayError::Order(index));
    }
    Ok(())
}

fn compare(now: &Attempt, recorded: &Attempt) -> Result<(), ReplayError> {
    let hash = |value: u64| format!("{value:#x}");
    let pairs = [
        (
            "the controller's hash",
            hash(recorded.control_hash),
            hash(now.control_hash),
        ),
        (
            "the trace's hash",
            hash(recorded.trace_hash),
            hash(now.trace_hash),
        ),
        (
            "the score",
            format!("{} of {}", recorded.points, recorded.of),
            format!("{} of {}", now.points, now.of),
        ),
        (
            "passed",
            recorded.passed.to_string(),
            now.passed.to_string(),
        ),
        (
            "finished",
            recorded.finished.to_string(),
            now.finished.to_string(),
        ),
    ];
    match pairs.into_iter().find(|(_, was, is)| was != is) {
        Some((what, recorded, now)) => Err(ReplayError::Different {
            what,
            recorded,
            now,
        }),
        None => Ok(()),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::exercise::load;
    use std::path::Path;

    /// One that says nothing of a language is English, as all were once.
    #[test]
    fn an_attempt_is_done_again_in_its_language() {
        let path =
            Path::new(env!("CARGO_MANIFEST_DIR")).join("../../recipes/exercises/plain-cycle.toml");
        let english = Arc::new(load(&path).unwrap_or_else(|errors| panic!("{errors:?}")));
        for language in Language::ALL {
            let attempt = Session::new(english.in_language(language), 1).attempt();
            let text = serde_json::to_string(&attempt).expect("JSON");
            assert_eq!(text.contains("\"language\""), language != Language::English);
            let read: Attempt = serde_json::from_str(&text).expect("an attempt");
            let again = replay(Arc::clone(&english), &read).expect("again");
            assert_eq!(again.words().language(), language);
        }
    }
}
