//! What operators do at the machine beside its panel, between cycles: each takes its time, and the machine is theirs meanwhile.

use serde::{Deserialize, Serialize};

/// One such task.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub enum Task {
    /// Lays a straightedge across both plates.
    LayStraightedge,
    /// Wears both plates flat between two batches, with the machine's conditioning rings.
    ConditionPlates,
    /// Takes a sample of the slurry: weighs a measured volume, and looks at the grains.
    SampleSlurry,
    /// Brings the slurry in the tank to the grains that the recipe asks for.
    MixSlurry,
    /// Empties tank and line, rinses them, and fills them with fresh slurry.
    ChangeSlurry,
    /// Washes plates, carriers and rings.
    WashMachine,
    /// Takes power and air of what moves away and hangs an own lock there.
    HangLock,
    /// Takes that lock off and gives power and air back.
    TakeLockOff,
}

/// Words for [`Task`].
pub const TASKS: [(&str, Task); 8] = [
    ("lay-straightedge", Task::LayStraightedge),
    ("condition-plates", Task::ConditionPlates),
    ("sample-slurry", Task::SampleSlurry),
    ("mix-slurry", Task::MixSlurry),
    ("change-slurry", Task::ChangeSlurry),
    ("wash-machine", Task::WashMachine),
    ("hang-lock", Task::HangLock),
    ("take-lock-off", Task::TakeLockOff),
];

impl Task {
    /// By its word.
    #[must_use]
    pub fn named(word: &str) -> Option<Self> {
        let found = TASKS.iter().find(|(name, _)| *name == word);
        found.map(|(_, task)| *task)
    }
}
