//! What a run must hold, and whether it did: every requirement is one number against one bound.
//!
//! A run is judged on what is true in the plant, never on the controller's own opinion. A cycle by the book is held to all of
//! [`REQUIREMENTS`]; one that a scenario, a fault or a search had a hand in, to what every run must hold whatever happens to it.

use crate::bench::summary::{PartsSummary, Summary};
use crate::bench::{Action, Ended, Entry, FileHash, Job, Outcome, row_name};
use crate::math::{floor, max};
use crate::model::{Batch, Consumables, Of, gauged_micrometres, micrometres};
use crate::plant::abrasion::Abrasion;
use crate::plant::harm::DRY;
use crate::plant::teeth::tooth_bears;
use serde::Serialize;

/// The answer.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "lowercase")]
pub enum Verdict {
    /// No error, no warning.
    Pass,
    /// No error, but warnings.
    Warn,
    /// At least one error.
    Fail,
}

impl Verdict {
    /// The word in reports.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::Pass => "pass",
            Self::Warn => "warn",
            Self::Fail => "fail",
        }
    }

    /// The verdict of what is either good or not.
    #[must_use]
    pub const fn of(good: bool) -> Self {
        if good { Self::Pass } else { Self::Fail }
    }
}

/// What a run must hold. The order is that of the report.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Requirement {
    /// The cycle ends Complete.
    Completes,
    /// True load without runout stays under the step's limit.
    LoadLimit,
    /// True load passes its reference by at most 2 % of the setpoint or 5 N.
    Overshoot,
    /// Load stays under the rated load.
    RatedLoad,
    /// First-contact peak stays under its limit.
    FirstContact,
    /// No part bears more than its strength.
    PartStrength,
    /// No tooth of a carrier bears more than it can.
    CarrierTeeth,
    /// No turning without a film.
    Dry,
    /// No other harm.
    Harm,
    /// Every part within its size.
    Size,
    /// Thickness spread between the parts within both sides of the size tolerance.
    Spread,
    /// Every face of every part as flat as the batch asks, the bound of its roll-off in it.
    Flatness,
    /// No part's thickness differs within itself by more than the batch allows, the bound of its roll-off in it.
    Parallelism,
    /// Roughness at or under its target.
    Finish,
    /// Damage left in every face of every part at or under what is allowed.
    Damage,
}

/// Every requirement, in report order.
pub const REQUIREMENTS: [Requirement; 15] = [
    Requirement::Completes,
    Requirement::LoadLimit,
    Requirement::Overshoot,
    Requirement::RatedLoad,
    Requirement::FirstContact,
    Requirement::PartStrength,
    Requirement::CarrierTeeth,
    Requirement::Dry,
    Requirement::Harm,
    Requirement::Size,
    Requirement::Spread,
    Requirement::Flatness,
    Requirement::Parallelism,
    Requirement::Finish,
    Requirement::Damage,
];

impl Requirement {
    /// What is measured, for people.
    #[must_use]
    pub const fn what(self) -> &'static str {
        match self {
            Self::Completes => "cycles not completed",
            Self::LoadLimit => "load against step limit",
            Self::Overshoot => "overshoot over reference",
            Self::RatedLoad => "load against rated load",
            Self::FirstContact => "first-contact peak",
            Self::PartStrength => "load on one part",
            Self::CarrierTeeth => "load on a carrier's tooth",
            Self::Dry => "film missing while turning",
            Self::Harm => "harm events",
            Self::Size => "size error of a part",
            Self::Spread => "thickness spread, 6 sd",
            Self::Flatness => "flatness of a face",
            Self::Parallelism => "thickness within a part",
            Self::Finish => "roughness",
            Self::Damage => "damage left in a face",
        }
    }

    /// What kind of quantity value and bound are; `None` for a count.
    #[must_use]
    pub const fn kind(self) -> Option<Of> {
        match self {
            Self::Completes | Self::Harm | Self::Dry => None,
            Self::LoadLimit
            | Self::Overshoot
            | Self::RatedLoad
            | Self::FirstContact
            | Self::PartStrength
            | Self::CarrierTeeth => Some(Of::Load),
            Self::Size | Self::Spread => Some(Of::Size),
            Self::Flatness => Some(Of::Flatness),
            Self::Parallelism => Some(Of::Parallelism),
            Self::Finish => Some(Of::Finish),
            Self::Damage => Some(Of::Depth),
        }
    }

    /// Unit of value and bound.
    #[must_use]
    pub const fn unit(self) -> &'static str {
        match self.kind() {
            Some(of) => of.unit(),
            None => "",
        }
    }

    /// Whether it holds for every run, whatever happens to it: load and harm. The others are asked of a cycle by the book.
    #[must_use]
    pub const fn always(self) -> bool {
        match self {
            Self::LoadLimit
            | Self::RatedLoad
            | Self::FirstContact
            | Self::PartStrength
            | Self::CarrierTeeth
            | Self::Dry
            | Self::Harm => true,
            Self::Completes
            | Self::Overshoot
            | Self::Size
            | Self::Spread
            | Self::Flatness
            | Self::Parallelism
            | Self::Finish
            | Self::Damage => false,
        }
    }
}

/// One requirement of one run: `value` must not pass `limit`.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Judged {
    /// Which.
    pub requirement: Requirement,
    /// What was found, in the requirement's unit.
    pub value: f64,
    /// Its bound, same unit.
    pub limit: f64,
    /// Step it belongs to, from 0, where it belongs to one.
    pub step: Option<usize>,
}

impl Judged {
    /// Whether it holds. A value that is no number does not.
    #[must_use]
    pub fn holds(&self) -> bool {
        self.value <= self.limit
    }

    /// How much of the bound is used, 1 at the bound; for requirements whose bound is zero, what is over it.
    #[must_use]
    pub fn used(&self) -> f64 {
        if self.value.is_nan() {
            f64::INFINITY
        } else if self.limit > 0.0 {
            self.value / self.limit
        } else {
            self.value - self.limit
        }
    }

    /// How near its bound it comes, to compare: whether it is broken, then how much of the bound is used. `None` where the bound is zero
    /// and holds, for nothing can be nearer to that.
    #[must_use]
    pub fn nearness(&self) -> Option<(bool, f64)> {
        (self.limit > 0.0 || !self.holds()).then(|| (!self.holds(), self.used()))
    }
}

/// One run, judged.
#[derive(Clone, Debug, PartialEq)]
pub struct RunJudgement {
    /// Number of the run: 0 is the nominal machine, the others are draws from the envelope.
    pub index: u64,
    /// Its plates were warm from batches before when it began.
    pub warm: bool,
    /// What was found, in the order of [`REQUIREMENTS`].
    pub items: Vec<Judged>,
    /// How the run ended, for people: state and first cause.
    pub ending: String,
    /// Hash of what the controller did: whoever replays the run must find the same.
    pub control_hash: u64,
}

impl RunJudgement {
    /// Whether every requirement holds.
    #[must_use]
    pub fn holds(&self) -> bool {
        self.items.iter().all(Judged::holds)
    }

    /// The verdict of the run: `pass` or `fail`.
    #[must_use]
    pub fn verdict(&self) -> Verdict {
        Verdict::of(self.holds())
    }
}

/// Judges a run of a job by what was true in the plant. It is the run of the draw that its journal names, or else of the nominal
/// machine.
///
/// A cycle by the book must hold everything. Where a scenario, a fault or a hand meddled, and in a case that a search looked for, only
/// what holds [always](Requirement::always) is asked; such a case may end where its question is answered, but what it made of a
/// finished batch still counts.
#[must_use]
pub fn judge(job: &Job, outcome: &Outcome) -> RunJudgement {
    let asked = |requirement: Requirement| {
        requirement.always()
            || match scope(outcome) {
                Scope::Whole => true,
                Scope::Sought => {
                    matches!(requirement, Requirement::Size | Requirement::Spread)
                }
                Scope::Disturbed => false,
            }
    };
    let mut items = measured(job, outcome);
    items.retain(|item| asked(item.requirement));
    RunJudgement {
        index: outcome.journal.drawn.map_or(0, |drawn| drawn.index),
        warm: outcome.journal.plates.is_some(),
        items,
        ending: ending(outcome),
        control_hash: outcome.control_hash,
    }
}

/// What a run was, and so what it is held to.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Scope {
    /// A cycle by the book.
    Whole,
    /// A case that was looked for, not a whole cycle.
    Sought,
    /// Anything but the operator by the book had a hand in it.
    Disturbed,
}

fn scope(outcome: &Outcome) -> Scope {
    let journal = &outcome.journal;
    let meddled = |entry: &Entry| {
        matches!(
            entry.action,
            Action::Fault(_) | Action::Clear(_) | Action::Station(_)
        )
    };
    if outcome.scripted
        || journal.files.iter().any(FileHash::is_scenario)
        || journal.entries.iter().any(meddled)
    {
        Scope::Disturbed
    } else if journal.deviations.is_some() {
        Scope::Sought
    } else {
        Scope::Whole
    }
}

/// Every requirement that the run has a number for, in the order of [`REQUIREMENTS`].
fn measured(job: &Job, outcome: &Outcome) -> Vec<Judged> {
    let (machine, batch) = (&job.machine, &job.batch);
    let summary = &outcome.summary;
    let complete = outcome.ended == Ended::Complete;
    let item = |requirement, value, limit| Judged {
        requirement,
        value,
        limit,
        step: None,
    };
    let of_step = |requirement, (step, value, limit)| Judged {
        step: Some(step),
        ..item(requirement, value, limit)
    };
    let mut items = vec![item(
        Requirement::Completes,
        f64::from(u8::from(!complete)),
        0.0,
    )];
    items.extend(nearest_limit(summary).map(|found| of_step(Requirement::LoadLimit, found)));
    items.extend(worst_overshoot(summary).map(|found| of_step(Requirement::Overshoot, found)));
    let (harm, control) = (&summary.harm, &machine.control);
    items.push(item(
        Requirement::RatedLoad,
        summary.peak_load.value,
        control.rated_load,
    ));
    items.push(item(
        Requirement::FirstContact,
        summary.first_contact,
        control.first_contact_limit,
    ));
    items.push(item(
        Requirement::PartStrength,
        max(
            harm.part_overload.worst * batch.strength,
            summary.first_contact_part,
        ),
        batch.strength,
    ));
    items.push(item(
        Requirement::CarrierTeeth,
        summary.tooth,
        tooth_bears(&machine.geometry, batch),
    ));
    items.push(item(Requirement::Dry, harm.dry_turning.worst, DRY));
    let others = harm
        .marks()
        .iter()
        .filter(|(name, mark)| mark.happened() && !matches!(*name, "part overload" | "dry turning"))
        .count();
    // Nine monitors at most.
    #[allow(clippy::cast_precision_loss)]
    items.push(item(Requirement::Harm, others as f64, 0.0));
    // A batch that was not finished has no size to judge; that it was not finished is judged above.
    if complete {
        finished(job, summary, &mut items);
    }
    items
}

/// Size, spread, form, finish and damage of a finished batch. Six standard deviations of the thickness are held against the whole width of
/// the size tolerance (a process capability of 1, common practice, no source).
fn finished(job: &Job, summary: &Summary, items: &mut Vec<Judged>) {
    use Requirement as R;
    let batch = &job.batch;
    let parts = &summary.parts;
    // Where the batch says nothing, what is left of the incoming damage is held against the process's own.
    let left = summary.damage_left.map_or(0.0, |worst| {
        if batch.damage_left.is_some() {
            worst.depth
        } else {
            worst.incoming
        }
    });
    let off = max(parts.max - batch.target, batch.target - parts.min);
    let form = &summary.form;
    // Nothing is judged finer than a gauge sees it: what lies between two digits counts as the worse of them.
    let worse = |length: f64| -floor(-length * 1e8) / 100.0;
    for (requirement, value) in [
        (R::Size, worse(off)),
        (R::Spread, worse(spread_of(parts))),
        (R::Flatness, gauged_micrometres(form.flatness)),
        (R::Parallelism, gauged_micrometres(form.variation)),
        (R::Finish, micrometres(summary.roughness)),
        (R::Damage, micrometres(left)),
    ] {
        items.extend(
            part_limit(requirement, batch, &job.recipe.consumables).map(|limit| Judged {
                requirement,
                value,
                limit,
                step: None,
            }),
        );
    }
}

/// What a requirement allows the parts of a batch, in the requirement's unit; `None` where it is of no part.
#[must_use]
pub fn part_limit(
    requirement: Requirement,
    batch: &Batch,
    consumables: &Consumables,
) -> Option<f64> {
    use Requirement as R;
    Some(match requirement {
        R::PartStrength => batch.strength,
        R::Size => micrometres(batch.tolerance),
        R::Spread => micrometres(spread_limit(batch)),
        R::Flatness => micrometres(batch.flatness),
        R::Parallelism => micrometres(batch.parallelism),
        R::Finish => micrometres(batch.finish),
        R::Damage => micrometres(damage_limit(batch, consumables)),
        R::Completes
        | R::LoadLimit
        | R::Overshoot
        | R::RatedLoad
        | R::FirstContact
        | R::CarrierTeeth
        | R::Dry
        | R::Harm => return None,
    })
}

/// Damage that may be left in any face of any part, m: the batch's target, or else what the process itself leaves, so that no damage
/// that the parts came with is deeper.
#[must_use]
pub fn damage_limit(batch: &Batch, consumables: &Consumables) -> f64 {
    batch
        .damage_left
        .unwrap_or_else(|| Abrasion::of(consumables, &batch.material).damage)
}

/// Thickness spread of the parts, m: six standard deviations.
#[must_use]
pub fn spread_of(parts: &PartsSummary) -> f64 {
    6.0 * parts.sd
}

/// What it must keep, m: the width of the size tolerance.
#[must_use]
pub fn spread_limit(batch: &Batch) -> f64 {
    2.0 * batch.tolerance
}

/// The step that came nearest to its limit, with its peak and limit.
fn nearest_limit(summary: &Summary) -> Option<(usize, f64, f64)> {
    let mut nearest: Option<(usize, f64, f64)> = None;
    for (index, step) in summary.steps.iter().enumerate() {
        let Some(margin) = step.margin else { continue };
        let used = 1.0 - margin.value / step.limit;
        if nearest.is_none_or(|(_, peak, limit)| used > peak / limit) {
            nearest = Some((index, step.limit - margin.value, step.limit));
        }
    }
    nearest
}

/// The step that used most of its allowance, with its overshoot and allowance.
fn worst_overshoot(summary: &Summary) -> Option<(usize, f64, f64)> {
    let mut worst: Option<(usize, f64, f64)> = None;
    for (index, step) in summary.steps.iter().enumerate() {
        let Some(overshoot) = step.overshoot else {
            continue;
        };
        let (value, allowed) = (overshoot.value, step.overshoot_allowed());
        if worst.is_none_or(|(_, other, bound)| value / allowed > other / bound) {
            worst = Some((index, value, allowed));
        }
    }
    worst
}

/// How a run ended, in words.
fn ending(outcome: &Outcome) -> String {
    let word = outcome.ended.word();
    match outcome.summary.cause {
        Some((cause, tick)) => format!(
            "{word} in {}, first cause {} at {:.1} s",
            outcome.summary.phase.word(),
            row_name(cause),
            f64::from(tick) / 1e3
        ),
        None => format!("{word} in {}", outcome.summary.phase.word()),
    }
}

#[cfg(test)]
#[path = "requirements_tests.rs"]
mod tests;
