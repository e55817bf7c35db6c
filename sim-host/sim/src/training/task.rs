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

/// Word, task, and what was done, for people.
pub const TASKS: [(&str, Task, &str); 8] = [
    (
        "lay-straightedge",
        Task::LayStraightedge,
        "Straightedge laid across both plates",
    ),
    (
        "condition-plates",
        Task::ConditionPlates,
        "Plates conditioned",
    ),
    ("sample-slurry", Task::SampleSlurry, "Slurry sampled"),
    (
        "mix-slurry",
        Task::MixSlurry,
        "Slurry brought to its grains",
    ),
    (
        "change-slurry",
        Task::ChangeSlurry,
        "Slurry changed, tank and line rinsed",
    ),
    (
        "wash-machine",
        Task::WashMachine,
        "Plates, carriers and rings washed",
    ),
    (
        "hang-lock",
        Task::HangLock,
        "Power and air isolated, own lock and tag hung",
    ),
    (
        "take-lock-off",
        Task::TakeLockOff,
        "Own lock taken off, power and air back",
    ),
];

impl Task {
    /// By its word.
    #[must_use]
    pub fn named(word: &str) -> Option<Self> {
        let found = TASKS.iter().find(|(name, ..)| *name == word);
        found.map(|(_, task, _)| *task)
    }

    /// What was done, for people.
    #[must_use]
    pub fn text(self) -> &'static str {
        let found = TASKS.iter().find(|(_, task, _)| *task == self);
        found.map_or("", |(.., text)| *text)
    }
}
