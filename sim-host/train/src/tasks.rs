//! What an operator does at the machine between cycles: where, and for how long. Minutes are invented and short: on a real machine it
//! takes longer.

use super::remedy::{Remedy, Where};
use twinplate_sim::training::task::{TASKS, Task};

/// How a task is done.
pub(super) const fn how(task: Task) -> Remedy {
    let (what, place, minutes) = match task {
        Task::LayStraightedge => ("lay the straightedge across both plates", Where::Inside, 2),
        Task::ConditionPlates => (
            "lay the conditioning rings in, shut the guard, wear both plates flat",
            Where::Outside,
            8,
        ),
        Task::SampleSlurry => ("sample the slurry", Where::Outside, 1),
        Task::MixSlurry => ("bring the slurry to its grains", Where::Outside, 2),
        Task::ChangeSlurry => ("change the slurry, rinse tank and line", Where::Outside, 4),
        Task::WashMachine => ("wash plates, carriers and rings", Where::Inside, 4),
        Task::HangLock => (
            "isolate power and air, hang your own lock and tag",
            Where::Outside,
            1,
        ),
        Task::TakeLockOff => (
            "take your own lock off, give power and air back",
            Where::Outside,
            1,
        ),
    };
    Remedy::new(what, place, minutes)
}

/// Word of each task with what is done, where, and how long it takes, for people.
pub(super) fn tasks() -> Vec<(&'static str, String)> {
    TASKS
        .iter()
        .map(|(word, task, _)| (*word, how(*task).text()))
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    /// What is offered on the panel can be asked for by its word, and says where it is done and for how long.
    #[test]
    fn every_task_is_offered_by_its_word_once() {
        let all = tasks();
        assert_eq!(all.len(), TASKS.len());
        for ((word, text), (_, task, done)) in all.iter().zip(TASKS) {
            assert_eq!(Task::named(word), Some(task));
            assert_eq!(task.text(), done);
            assert!(text.contains("min, "), "{text}");
        }
    }
}
