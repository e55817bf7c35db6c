//! What a check that is still running can say already: which run has come nearest to a bound so far.

use std::sync::Mutex;
use twinplate_sim::requirements::RunJudgement;

/// The nearest of the runs heard so far.
#[derive(Debug, Default)]
pub(super) struct Nearest(Mutex<Option<(bool, f64)>>);

impl Nearest {
    /// Hears one run more; gives the words for it where it comes nearer to a bound than those before.
    pub(super) fn hear(&self, run: &RunJudgement) -> Option<String> {
        let mut heard: Option<(bool, f64)> = None;
        let mut said = None;
        for item in &run.items {
            let near = item.nearness();
            if near > heard {
                heard = near;
                said = Some(item);
            }
        }
        let item = said?;
        // Whoever panicked beside it has not left it half-written.
        let mut nearest = self
            .0
            .lock()
            .unwrap_or_else(|poisoned| poisoned.into_inner());
        if heard <= *nearest {
            return None;
        }
        *nearest = heard;
        let what = item.requirement.what();
        Some(if item.holds() {
            format!(
                "run {}: {what} at {:.0} % of its bound",
                run.index,
                item.used() * 100.0
            )
        } else {
            format!("run {}: {what}, broken", run.index)
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use twinplate_sim::requirements::{Judged, Requirement};

    fn run(index: u64, items: &[(Requirement, f64, f64)]) -> RunJudgement {
        let item = |(requirement, value, limit): &(Requirement, f64, f64)| Judged {
            requirement: *requirement,
            value: *value,
            limit: *limit,
            step: None,
        };
        RunJudgement {
            index,
            warm: false,
            items: items.iter().map(item).collect(),
            ending: String::new(),
            control_hash: 0,
        }
    }

    #[test]
    fn only_a_run_that_comes_nearer_is_told_and_a_broken_bound_is_nearest() {
        use Requirement::{Completes, Finish, Size};
        let nearest = Nearest::default();
        let hear = |run: &RunJudgement| nearest.hear(run);
        assert_eq!(
            hear(&run(0, &[(Completes, 0.0, 0.0), (Size, 5.0, 10.0)])).as_deref(),
            Some("run 0: size error of a part at 50 % of its bound")
        );
        assert_eq!(hear(&run(2, &[(Size, 4.0, 10.0)])), None);
        assert_eq!(
            hear(&run(1, &[(Size, 4.0, 10.0), (Finish, 9.0, 10.0)])).as_deref(),
            Some("run 1: roughness at 90 % of its bound")
        );
        assert_eq!(
            hear(&run(3, &[(Completes, 1.0, 0.0)])).as_deref(),
            Some("run 3: cycles not completed, broken")
        );
        assert_eq!(hear(&run(4, &[(Size, 9.9, 10.0)])), None);
        assert_eq!(hear(&run(5, &[(Completes, 0.0, 0.0)])), None);
    }
}
