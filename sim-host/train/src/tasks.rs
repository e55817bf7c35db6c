//! What an operator does at the machine between cycles: where, and for how long. Minutes are invented and short: on a real machine it
//! takes longer.

use super::remedy::{Remedy, Where};
use twinplate_sim::training::task::{TASKS, Task};
use twinplate_words::Words;

/// How a task is done.
pub(super) const fn how(task: Task) -> Remedy {
    let (what, place, minutes) = match task {
        Task::LayStraightedge => ("task-lay-straightedge", Where::Inside, 2),
        Task::ConditionPlates => ("task-condition-plates", Where::Outside, 8),
        Task::SampleSlurry => ("task-sample-slurry", Where::Outside, 1),
        Task::MixSlurry => ("task-mix-slurry", Where::Outside, 2),
        Task::ChangeSlurry => ("task-change-slurry", Where::Outside, 4),
        Task::WashMachine => ("task-wash-machine", Where::Inside, 4),
        Task::HangLock => ("task-hang-lock", Where::Outside, 1),
        Task::TakeLockOff => ("task-take-lock-off", Where::Outside, 1),
    };
    Remedy::new(what, place, minutes)
}

/// Word of each task with what is done, where, and how long it takes, for people.
pub(super) fn tasks(words: &Words) -> Vec<(&'static str, String)> {
    TASKS
        .iter()
        .map(|(word, task)| (*word, how(*task).text(words)))
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use twinplate_words::Language;

    /// What is offered on the panel can be asked for by its word, and says where it is done and for how long.
    #[test]
    fn every_task_is_offered_by_its_word_once() {
        let all = tasks(Words::of(Language::English));
        assert_eq!(all.len(), TASKS.len());
        for ((word, text), (_, task)) in all.iter().zip(TASKS) {
            assert_eq!(Task::named(word), Some(task));
            assert!(text.contains("min, "), "{text}");
        }
    }
}
