//! What a machine file leaves out, and what of it to measure first: every assumed key by itself at both ends of its envelope, all else as
//! assumed, through the static rules and one run. What moves the smallest margin of the verdict most comes first.

mod batch;

use super::case::Case;
use super::catalogue::{Code, Severity};
use super::finding::{Finding, Place, significant};
use super::predict::predict;
use super::static_check;
use serde::Serialize;
use twinplate_sim::assumed::{ENDS, Rule, assumed};
use twinplate_sim::bench::{Drawn, Job, NoRecorder, PortError, ensemble, run_cycle};
use twinplate_sim::files::{FileKind, value_words, width_words};
use twinplate_sim::math::{abs, max, min};
use twinplate_sim::model::{Batch, Machine, Shown};
use twinplate_sim::plant::seed::substream;
use twinplate_sim::requirements::{Judged, RunJudgement, judge};

/// How many keys are told as the first to measure.
pub const FIRST: usize = 7;

/// Corners of the assumed envelopes through which the static rules go: every pair of ends of two keys is in some tens of them.
const CORNERS: u64 = 48;

/// An assumed key, and what it decides.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct AssumedKey {
    /// The file that left it out: machine or batch.
    pub file: &'static str,
    /// The key, by its path in the file.
    pub key: &'static str,
    /// Its assumed value, with its unit.
    pub value: String,
    /// How that comes about.
    pub rule: &'static str,
    /// Equation or source of the rule, or that it is typical and invented.
    pub source: &'static str,
    /// How far off it may be; settings are not.
    pub envelope: String,
    /// What measures it: a verb of this program, or an instrument.
    pub measured_by: &'static str,
    /// What to do.
    pub how: &'static str,
    /// Place in the measuring list, from 1; `null` for a setting, and where no runs were made.
    pub rank: Option<usize>,
    /// Smallest margin of the run at the lower and the upper end, percent of its bound; `null` likewise.
    pub margin_pct: Option<[f64; 2]>,
    /// How far the smallest margin moves between the ends and the assumed value, points of percent; `null` likewise.
    pub decides_pct: Option<f64>,
    /// What has the smallest margin at the worse end.
    pub binds: Option<&'static str>,
    /// What fails at an end and not at the assumed value, in words.
    pub fails: Option<String>,
    /// Largest move of any requirement's margin: tells keys apart that do not move the smallest one.
    #[serde(skip)]
    moves: f64,
}

/// What a check says of a short machine file.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct AssumedReport {
    /// Smallest margin of the nominal run, percent of its bound; `null` where no runs were made.
    pub margin_pct: Option<f64>,
    /// What has it.
    pub binds: Option<&'static str>,
    /// Every assumed key: those to measure first, in order; settings last.
    pub keys: Vec<AssumedKey>,
}

impl AssumedReport {
    /// The keys to measure first.
    pub fn first(&self) -> impl Iterator<Item = &AssumedKey> {
        let ranked = |key: &&AssumedKey| key.rank.is_some_and(|rank| rank <= FIRST);
        self.keys.iter().filter(ranked)
    }

    /// The keys of one of the files.
    pub fn of_file(&self, file: FileKind) -> impl Iterator<Item = &AssumedKey> {
        self.keys.iter().filter(move |key| key.file == file.word())
    }

    /// The keys of machine and batch as they stand; `None` where their files give everything.
    #[must_use]
    pub(crate) fn of_both(machine: &Machine, parts: &Batch, shown: &Shown) -> Option<Self> {
        let own = assumed(machine).map(|rule| told(rule, machine));
        Self::of(own.chain(batch::listed(parts, shown)).collect())
    }

    /// The keys of the machine as they stand; `None` where its file gives everything.
    #[must_use]
    pub fn listed(machine: &Machine) -> Option<Self> {
        Self::of(assumed(machine).map(|rule| told(rule, machine)).collect())
    }

    fn of(keys: Vec<AssumedKey>) -> Option<Self> {
        (!keys.is_empty()).then_some(Self {
            margin_pct: None,
            binds: None,
            keys,
        })
    }
}

/// Assumed keys of a machine that are uncertain.
#[must_use]
pub(crate) fn varying(machine: &Machine) -> usize {
    assumed(machine).filter(|rule| rule.varies()).count()
}

/// Runs that ranking the keys of a machine and a batch takes, the nominal one not counted.
#[must_use]
pub fn runs(machine: &Machine, parts: &Batch) -> usize {
    (varying(machine) + batch::varying(parts)) * ENDS.len()
}

fn told(rule: &'static Rule, machine: &Machine) -> AssumedKey {
    AssumedKey {
        file: FileKind::Machine.word(),
        key: rule.key,
        value: value_words(rule, rule.value(machine)),
        rule: rule.rule,
        source: rule.source,
        envelope: width_words(rule),
        measured_by: rule.by,
        how: rule.how,
        rank: None,
        margin_pct: None,
        decides_pct: None,
        binds: None,
        fails: None,
        moves: 0.0,
    }
}

impl AssumedKey {
    /// What the runs at the ends of its envelope say of it, where the nominal run left `least`.
    fn moved_by(&mut self, least: f64, nominal: &RunJudgement, ends: &[&RunJudgement]) {
        let margins = [0, 1].map(|end| ends.get(end).map_or((1.0, ""), |run| smallest(run)));
        let worse = if margins[0].0 <= margins[1].0 {
            margins[0]
        } else {
            margins[1]
        };
        self.margin_pct = Some(margins.map(|(left, _)| percent(left)));
        self.decides_pct = Some(percent(
            max(least, max(margins[0].0, margins[1].0)) - min(least, worse.0),
        ));
        self.binds = Some(worse.1);
        self.moves = ends
            .iter()
            .fold(0.0, |most, run| max(most, moved(nominal, run)));
    }
}

/// Share of its bound that a requirement leaves, -1 where it is broken through and through.
fn margin(item: &Judged) -> f64 {
    let left = max(1.0 - item.used(), -1.0);
    // What merely counts has no share to be over.
    if item.holds() {
        left
    } else {
        min(left, if item.limit > 0.0 { 0.0 } else { -1.0 })
    }
}

/// The smallest margin of a run, and what has it.
#[must_use]
pub fn smallest(run: &RunJudgement) -> (f64, &'static str) {
    run.items.iter().fold((1.0, ""), |(least, what), item| {
        let left = margin(item);
        if left < least || what.is_empty() {
            (left, item.requirement.what())
        } else {
            (least, what)
        }
    })
}

/// Largest difference of any requirement's margin between two runs.
fn moved(a: &RunJudgement, b: &RunJudgement) -> f64 {
    a.items.iter().fold(0.0, |most, item| {
        let same =
            |other: &&Judged| other.requirement == item.requirement && other.step == item.step;
        let other = b.items.iter().find(same).map_or(-1.0, margin);
        max(most, abs(margin(item) - other))
    })
}

/// Judges the nominal machine with one assumed key at an end of its envelope.
fn run_at(job: &Job, seed: u64, at: Option<(&Rule, f64)>) -> Result<RunJudgement, PortError> {
    let nominal = job.drawn(Drawn { seed, index: 0 });
    let setup = match at {
        Some((rule, end)) => job.setup(rule.deviated(&job.machine, end), nominal.seed),
        None => nominal,
    };
    run_cycle(&setup, None, NoRecorder).map(|outcome| judge(job, &outcome))
}

/// The first static error of a case that has another value for one key.
fn static_error(case: &Case, rule: &Rule, end: f64) -> Option<Finding> {
    let machine = rule.end(case.machine, end);
    let case = Case {
        machine: &machine,
        ..*case
    };
    static_check::check(&case, &predict(&case, 1.0))
        .into_iter()
        .find(|finding| finding.severity == Severity::Error)
}

/// Ranks the assumed keys of a case that has no static error, and says what fails at their ends.
///
/// # Errors
/// What the controller's port reports.
pub(crate) fn rank(
    case: &Case,
    job: &Job,
    (seed, threads): (u64, usize),
    progress: &(dyn Fn(usize) + Sync),
) -> Result<Option<(AssumedReport, Vec<Finding>)>, PortError> {
    let Some(mut report) = AssumedReport::of_both(case.machine, case.batch, &case.recipe.shown)
    else {
        return Ok(None);
    };
    let nominal = run_at(job, seed, None)?;
    let (least, binds) = smallest(&nominal);
    report.margin_pct = Some(percent(least));
    report.binds = Some(binds);
    let varying: Vec<&'static Rule> = assumed(case.machine).filter(|rule| rule.varies()).collect();
    let count = varying.len() * ENDS.len();
    let ran = ensemble(count, threads.max(1), progress, |index| {
        let (rule, end) = (varying[index / ENDS.len()], ENDS[index % ENDS.len()]);
        run_at(job, seed, Some((rule, end))).map(|run| (run, static_error(case, rule, end)))
    });
    let ran: Vec<(RunJudgement, Option<Finding>)> = ran.into_iter().collect::<Result<_, _>>()?;
    let mut findings = Vec::new();
    for (rule, ends) in varying.iter().zip(ran.chunks(ENDS.len())) {
        let Some(key) = report.keys.iter_mut().find(|key| key.key == rule.key) else {
            continue;
        };
        let both: Vec<&RunJudgement> = ends.iter().map(|(run, _)| run).collect();
        key.moved_by(least, &nominal, &both);
        for ((run, error), end) in ends.iter().zip(ENDS) {
            let Some(why) = failure(&nominal, run, error.as_ref()) else {
                continue;
            };
            let value = rule.value(&rule.end(case.machine, end));
            findings.push(decides(key, rule, end, value, &why));
            key.fails.get_or_insert(why);
        }
    }
    let known: Vec<Code> = ran
        .iter()
        .filter_map(|(_, error)| Some(error.as_ref()?.code))
        .collect();
    for (finding, keys) in together(case, &varying, known) {
        for key in report.keys.iter_mut().filter(|key| keys.contains(&key.key)) {
            key.fails.get_or_insert_with(|| finding.message.clone());
        }
        findings.push(finding);
    }
    let done = |runs: usize| progress(count + runs);
    batch::rank(&mut report.keys, job, (seed, threads), &nominal, &done)?;
    put_in_order(&mut report.keys);
    Ok(Some((report, findings)))
}

/// Static errors where several keys lie at ends of their envelopes together, one of a code that is not `known`: with the fewest keys that
/// make it.
fn together(
    case: &Case,
    varying: &[&'static Rule],
    mut known: Vec<Code>,
) -> Vec<(Finding, Vec<&'static str>)> {
    let error_at = |keys: &[(&'static Rule, f64)], code: Option<Code>, known: &[Code]| {
        let machine = keys
            .iter()
            .fold(case.machine.clone(), |machine, (rule, end)| {
                rule.end(&machine, *end)
            });
        let case = Case {
            machine: &machine,
            ..*case
        };
        static_check::check(&case, &predict(&case, 1.0))
            .into_iter()
            .filter(|finding| finding.severity == Severity::Error)
            .find(|finding| match code {
                Some(code) => finding.code == code,
                None => !known.contains(&finding.code),
            })
    };
    let mut found = Vec::new();
    for corner in 0..CORNERS {
        let end = |place: usize| {
            let bits = substream(corner, "assumed", "corner", place as u64);
            ENDS[usize::from(bits & 1 == 1)]
        };
        let mut keys: Vec<(&'static Rule, f64)> = varying
            .iter()
            .enumerate()
            .map(|(place, rule)| (*rule, end(place)))
            .collect();
        while let Some(error) = error_at(&keys, None, &known) {
            let code = Some(error.code);
            for place in (0..keys.len()).rev() {
                let mut fewer = keys.clone();
                fewer.remove(place);
                if error_at(&fewer, code, &known).is_some() {
                    keys = fewer;
                }
            }
            let Some(error) = error_at(&keys, code, &known) else {
                break;
            };
            known.push(error.code);
            found.push((
                decide_together(case.machine, &keys, &error),
                keys.iter().map(|(rule, _)| rule.key).collect(),
            ));
        }
    }
    found
}

fn decide_together(machine: &Machine, keys: &[(&'static Rule, f64)], error: &Finding) -> Finding {
    let at = |(rule, end): &(&'static Rule, f64)| {
        let value = rule.value(&rule.end(machine, *end));
        format!("`{}` at {}", rule.key, value_words(rule, value))
    };
    let words: Vec<String> = keys.iter().map(at).collect();
    let names: Vec<String> = keys
        .iter()
        .map(|(rule, _)| format!("`{}`", rule.key))
        .collect();
    let first = keys.first().map_or("", |(rule, _)| rule.key);
    Finding::new(
        Code::AssumedDecides,
        Place::machine(first.replace('-', "_")),
        format!(
            "keys that are assumed may lie so that it fails, {}: {}: {}",
            words.join(" and "),
            error.name(),
            error.message
        ),
        format!("measure {}", names.join(" or ")),
    )
}

/// Those that make the check fail first, then by how far they move the smallest margin, then any; settings last, in the table's order.
fn put_in_order(keys: &mut [AssumedKey]) {
    let weight = |key: &AssumedKey| (key.decides_pct.unwrap_or(-1.0), key.moves);
    keys.sort_by(|a, b| {
        let ((a_least, a_any), (b_least, b_any)) = (weight(a), weight(b));
        b.fails
            .is_some()
            .cmp(&a.fails.is_some())
            .then(b_least.total_cmp(&a_least))
            .then(b_any.total_cmp(&a_any))
    });
    for (place, key) in keys.iter_mut().enumerate() {
        key.rank = key.decides_pct.map(|_| place + 1);
    }
}

/// What is wrong at an end that is right at the assumed value.
fn failure(nominal: &RunJudgement, run: &RunJudgement, error: Option<&Finding>) -> Option<String> {
    if let Some(finding) = error {
        return Some(format!("{}: {}", finding.name(), finding.message));
    }
    if run.holds() || !nominal.holds() {
        return None;
    }
    let broken = run.items.iter().find(|item| !item.holds())?;
    Some(if broken.limit > 0.0 {
        format!(
            "{} {} {}, limit {} {}",
            broken.requirement.what(),
            significant(broken.value, 4),
            broken.requirement.unit(),
            significant(broken.limit, 4),
            broken.requirement.unit()
        )
    } else {
        format!("{}: {}", broken.requirement.what(), run.ending)
    })
}

fn decides(key: &AssumedKey, rule: &Rule, end: f64, value: f64, why: &str) -> Finding {
    let side = if end < 0.0 { "lower" } else { "upper" };
    // Of what the envelope itself spreads the value stands as it is.
    let at = value_words(rule, value);
    let at = if at == key.value {
        format!("at the {side} end of {}", key.envelope)
    } else {
        format!("with {at}, the {side} end of {}", key.envelope)
    };
    Finding::new(
        Code::AssumedDecides,
        Place::machine(rule.key.replace('-', "_")),
        format!(
            "`{}` is assumed to be {}; {at} it fails: {why}",
            key.key, key.value
        ),
        format!("measure it ({}): {}", key.measured_by, key.how),
    )
}

/// A share in percent, to a hundredth.
fn percent(share: f64) -> f64 {
    twinplate_sim::math::round(share * 1e4) / 100.0
}
