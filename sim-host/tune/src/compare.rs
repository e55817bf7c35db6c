//! Two gain sets, judged alike, and which is better.

use super::candidates::broken_in_trial;
use super::candidates::{Broken, Family, Lines, Named, OnLines, broken_on_lines, on_lines};
use super::effort::{Effort, Progress, TuneError};
use super::judge::{self, JudgeError, Judgement};
use super::trial::Trial;
use super::typed::Units;
use twinplate_sim::model::{Batch, Gains, Machine, Shown};

/// Errors under a disturbance within this share of each other count as equal: noise and draws decide no more.
pub(super) const EQUAL: f64 = 0.01;

/// One side.
#[derive(Clone, Debug, PartialEq)]
pub struct Side {
    /// The gains.
    pub named: Named,
    /// On nominal line and corners.
    pub on_lines: OnLines,
    /// On the real controller; none where the nominal loop is unstable.
    pub judged: Option<Judgement>,
    /// Limits that it breaks.
    pub broken: Vec<Broken>,
}

/// How the new one is against the old.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Verdict {
    /// Better: it holds what the old one breaks, or its worst error is smaller.
    Better,
    /// Equal within a percent.
    Equal,
    /// Worse: its worst error is larger.
    Worse,
    /// It breaks a limit.
    Fails,
}

impl Verdict {
    /// The word for it.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::Better => "better",
            Self::Equal => "equal",
            Self::Worse => "worse",
            Self::Fails => "fails",
        }
    }

    /// Whether the new set may stand.
    #[must_use]
    pub const fn good(self) -> bool {
        matches!(self, Self::Better | Self::Equal)
    }
}

/// The whole comparison.
#[derive(Clone, Debug, PartialEq)]
pub struct Comparison {
    /// Old and new.
    pub sides: [Side; 2],
    /// Verdict on the new one.
    pub verdict: Verdict,
    /// Why, in a sentence.
    pub reason: String,
    /// The files differ in more than their gains.
    pub machines_differ: bool,
    /// Runs of each side.
    pub runs: usize,
    /// Units that it is told in.
    pub units: Units,
}

/// Judges the gains of two machine files on the new file's machine.
///
/// # Errors
/// Lines that no loop can be closed around; a machine that cannot be put to the trial.
pub fn compare(
    machines: [&Machine; 2],
    batch: Option<&Batch>,
    options: &Effort,
    progress: Progress,
) -> Result<Comparison, TuneError> {
    let [old, new] = machines;
    let lines = Lines::declared(new);
    let trial = Trial::new(new, batch).map_err(JudgeError::Trial)?;
    let total = 2 * (options.runs + 1);
    let one = |machine: &Machine, name: &str, before: usize| {
        let gains = twinplate_sim::compile::gains(machine);
        let from = match machine.gains {
            Some(_) => format!("the {name} file's gains"),
            None => format!("the default rule: the {name} file has no gains"),
        };
        side(&lines, &trial, (name, from, gains), options, &|done| {
            progress(before + done, total);
        })
    };
    let sides = [one(old, "old", 0)?, one(new, "new", options.runs + 1)?];
    let (verdict, reason) = verdict(&sides, &options.shown);
    let same = Machine {
        gains: new.gains,
        ..old.clone()
    };
    Ok(Comparison {
        verdict,
        reason,
        sides,
        machines_differ: same != *new,
        runs: options.runs + 1,
        units: Units::of_machine(&options.shown),
    })
}

fn side(
    lines: &Lines,
    trial: &Trial,
    (name, from, gains): (&str, String, Gains),
    options: &Effort,
    progress: &(dyn Fn(usize) + Sync),
) -> Result<Side, TuneError> {
    let found = on_lines(lines, &gains)?;
    let mut broken = broken_on_lines(&found, &lines.limits);
    let judged = if found.nominal.stable {
        let how = judge::DrawPlan {
            draws: options.runs,
            threads: options.threads,
            seed: options.seed,
            responses: true,
        };
        Some(judge::judge(trial, gains, &how, progress)?)
    } else {
        None
    };
    broken.extend(judged.iter().flat_map(broken_in_trial));
    Ok(Side {
        named: Named {
            name: name.to_owned(),
            from,
            family: Family::Present,
            gains,
        },
        on_lines: found,
        judged,
        broken,
    })
}

fn verdict([old, new]: &[Side; 2], shown: &Shown) -> (Verdict, String) {
    if let Some(broken) = new.broken.first() {
        let [value, bound, _] = broken.told(shown);
        return (
            Verdict::Fails,
            format!(
                "the new gains break {}: {value} against {bound} ({})",
                broken.what, broken.at
            ),
        );
    }
    if let Some(broken) = old.broken.first() {
        return (
            Verdict::Better,
            format!(
                "the old gains break {}, the new ones hold every limit",
                broken.what
            ),
        );
    }
    let error = |side: &Side| {
        side.judged
            .as_ref()
            .map_or(side.on_lines.worst_iae, |j| j.iae_disturbance.value)
    };
    let (before, now) = (error(old), error(new));
    let change = now / before - 1.0;
    let unit = Units::of_machine(shown).error;
    let words = format!(
        "worst-case error under a load disturbance {}, {} before",
        unit.say(now, 3),
        unit.say(before, 3)
    );
    if change > EQUAL {
        (Verdict::Worse, words)
    } else if change < -EQUAL {
        (Verdict::Better, words)
    } else {
        (Verdict::Equal, words)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use twinplate_sim::demo;

    fn with(kc: f64) -> Machine {
        let mut machine = demo::machine("machine-a");
        let gains = twinplate_sim::compile::gains(&machine);
        machine.gains = Some(Gains {
            kc: gains.kc * kc,
            ..gains
        });
        machine
    }

    fn of(old: f64, new: f64) -> Comparison {
        let options = Effort {
            runs: 3,
            ..Effort::usual(2)
        };
        compare([&with(old), &with(new)], None, &options, &|_, _| ()).expect("compared")
    }

    #[test]
    fn verdicts_go_both_ways() {
        assert_eq!(of(0.5, 0.9).verdict, Verdict::Better);
        assert_eq!(of(0.9, 0.5).verdict, Verdict::Worse);
        assert_eq!(of(0.9, 0.9).verdict, Verdict::Equal);
        assert_eq!(of(0.9, 2.5).verdict, Verdict::Fails);
        assert_eq!(of(2.5, 0.9).verdict, Verdict::Better);
        assert!(!of(0.9, 0.5).machines_differ);
    }
}
