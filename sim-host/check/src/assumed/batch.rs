//! What a batch file leaves out: listed like a machine's keys, and ranked with them. It fails no check: parts are not drawn, and what a
//! handbook says of a material stands until somebody measures.

use super::margins::{Noise, smallest};
use super::{AssumedKey, failure, weigh};
use twinplate_sim::assumed::ENDS;
use twinplate_sim::assumed::batch::{BatchRule, assumed};
use twinplate_sim::bench::{Drawn, Job, NoRecorder, PortError, ensemble, run_cycle};
use twinplate_sim::files::{FileKind, batch_value_words, batch_width_words};
use twinplate_sim::model::{Batch, Shown};
use twinplate_sim::requirements::{RunJudgement, judge};

/// Assumed keys of a batch that are uncertain.
pub(super) fn varying(batch: &Batch) -> usize {
    assumed(batch).filter(|rule| rule.varies()).count()
}

/// The keys as they stand.
pub(super) fn listed<'a>(
    batch: &'a Batch,
    shown: &'a Shown,
) -> impl Iterator<Item = AssumedKey> + 'a {
    assumed(batch).map(|rule| AssumedKey {
        file: FileKind::Batch.word(),
        key: rule.key,
        value: batch_value_words(rule, rule.value(batch), shown),
        rule: rule.rule,
        source: rule.source,
        envelope: batch_width_words(rule, shown),
        measured_by: rule.by,
        how: rule.how,
        ..AssumedKey::default()
    })
}

/// Ranks the keys of a job's batch: one run at each end, of the nominal machine.
pub(super) fn rank(
    keys: &mut [AssumedKey],
    job: &Job,
    (seed, threads): (u64, usize),
    (nominal, noise): (&RunJudgement, &Noise),
    progress: &(dyn Fn(usize) + Sync),
) -> Result<(), PortError> {
    let varying: Vec<&BatchRule> = assumed(&job.batch).filter(|rule| rule.varies()).collect();
    let count = varying.len() * ENDS.len();
    let ran = ensemble(count, threads.max(1), progress, |index| {
        let (rule, end) = (varying[index / ENDS.len()], ENDS[index % ENDS.len()]);
        // The controller knows the recipe alone: it is compiled once.
        let job = Job {
            batch: rule.end(&job.batch, end),
            ..job.clone()
        };
        run_cycle(&job.drawn(Drawn { seed, index: 0 }), None, NoRecorder)
            .map(|outcome| judge(&job, &outcome))
    });
    let ran: Vec<RunJudgement> = ran.into_iter().collect::<Result<_, _>>()?;
    let (least, _) = smallest(nominal);
    for (rule, ends) in varying.iter().zip(ran.chunks(ENDS.len())) {
        let Some(key) = keys.iter_mut().find(|key| key.key == rule.key) else {
            continue;
        };
        let both = [0, 1].map(|end| ends.get(end).unwrap_or(nominal));
        weigh(key, least, both, |run| noise.taken(nominal, run));
        key.fails = both.iter().find_map(|run| failure(nominal, run, None));
    }
    Ok(())
}
