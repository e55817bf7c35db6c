//! What a machine file leaves out, and what of it to measure first: every assumed key by itself at both ends of its envelope, all else as
//! assumed, through the static rules and one run. What takes most of any margin of the verdict, beyond what noise alone does, comes first.

mod margins;
mod tries;

mod batch;

use super::case::Case;
use super::catalogue::{Code, Severity};
use super::finding::{Finding, Place, significant};
use super::predict::predict;
use super::static_check;
pub use margins::smallest;
use margins::{NOISES, Noise, Taken};
use serde::Serialize;
use tries::Tries;
use twinplate_sim::assumed::{ENDS, Rule, assumed};
use twinplate_sim::bench::{Drawn, Job, NoRecorder, PortError, ensemble, run_cycle};
use twinplate_sim::compile::gains;
use twinplate_sim::files::{FileKind, value_words, width_words};
use twinplate_sim::math::{max, min};
use twinplate_sim::model::{Batch, Machine, Shown};
use twinplate_sim::plant::seed::substream;
use twinplate_sim::requirements::{RunJudgement, judge};

/// How many keys are told as the first to measure.
pub const FIRST: usize = 7;

/// Corners of the assumed envelopes through which the static rules go: every pair of ends of two keys is in some tens of them.
const CORNERS: u64 = 48;

/// One machine that the file allows, other than the one it tells of.
#[derive(Clone, Copy, Debug)]
pub enum Allowed {
    /// The draw of this number, as the trials have it; from 1.
    Draw(u64),
    /// An assumed key at an end of its envelope, -1 or 1, all else as assumed.
    End(&'static Rule, f64),
}

/// An assumed key, and what it decides.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
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
    /// Largest share of what is left of any requirement that the key takes at its worse end, beyond what noise alone does, percent; `null`
    /// likewise.
    pub takes_pct: Option<f64>,
    /// Of which requirement it takes that; `null` where it takes no more than noise.
    pub takes_of: Option<&'static str>,
    /// The same share with what noise does in it: it tells keys apart that take no more than noise; `null` likewise.
    pub takes_with_noise_pct: Option<f64>,
    /// What fails at an end and not at the assumed value, in words.
    pub fails: Option<String>,
    /// Both shares, not rounded: they rank.
    #[serde(skip)]
    takes: [f64; 2],
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
    let tries = Tries::of(machine);
    let of_parts = batch::varying(parts);
    if tries.keys.is_empty() && of_parts == 0 {
        0
    } else {
        tries.made.len() + of_parts * ENDS.len() + NOISES
    }
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
        ..AssumedKey::default()
    }
}

/// Judges the nominal machine with one assumed key at an end of its envelope.
pub(crate) fn run_at(
    job: &Job,
    seed: u64,
    at: Option<(&Rule, f64)>,
) -> Result<RunJudgement, PortError> {
    let nominal = job.drawn(Drawn { seed, index: 0 });
    let setup = match at {
        Some((rule, end)) => job.setup(rule.deviated(&job.machine, end), nominal.seed),
        None => nominal,
    };
    run_cycle(&setup, None, NoRecorder).map(|outcome| judge(job, &outcome))
}

/// The machine with some keys at ends of their envelopes. The controller knows the file alone: it keeps its gains.
fn at_ends(machine: &Machine, keys: &[(&'static Rule, f64)]) -> Machine {
    let known = Machine {
        gains: Some(gains(machine)),
        ..machine.clone()
    };
    keys.iter()
        .fold(known, |machine, (rule, end)| rule.end(&machine, *end))
}

/// The static errors of a case with some assumed keys at ends of their envelopes.
fn errors_at(case: &Case, keys: &[(&'static Rule, f64)]) -> impl Iterator<Item = Finding> + use<> {
    let machine = at_ends(case.machine, keys);
    let case = Case {
        machine: &machine,
        ..*case
    };
    static_check::check(&case, &predict(&case, 1.0))
        .into_iter()
        .filter(|finding| finding.severity == Severity::Error)
}

/// The first static error of a case with each key alone at each of its ends.
fn errors_alone(case: &Case, keys: &[&'static Rule], threads: usize) -> Vec<[Option<Finding>; 2]> {
    ensemble(keys.len(), threads, &|_| (), |index| {
        ENDS.map(|end| errors_at(case, &[(keys[index], end)]).next())
    })
}

/// The assumed keys of a case in their order, and what their ends fail of.
pub(crate) struct Ranked {
    pub report: AssumedReport,
    pub findings: Vec<Finding>,
    /// Ends with which a run failed that holds as assumed.
    pub failing: Vec<Allowed>,
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
) -> Result<Option<Ranked>, PortError> {
    let Some(mut report) = AssumedReport::of_both(case.machine, case.batch, &case.recipe.shown)
    else {
        return Ok(None);
    };
    let threads = threads.max(1);
    let nominal = run_at(job, seed, None)?;
    let (least, binds) = smallest(&nominal);
    report.margin_pct = Some(percent(least));
    report.binds = Some(binds);
    let tries = Tries::of(case.machine);
    let noise = Noise::of(job, seed, &nominal, threads, progress)?;
    let ran = ensemble(
        tries.made.len(),
        threads,
        &|done| progress(NOISES + done),
        |index| run_at(job, seed, Some(tries.made[index])),
    );
    let ran: Vec<RunJudgement> = ran.into_iter().collect::<Result<_, _>>()?;
    let errors = errors_alone(case, &tries.keys, threads);
    let (mut findings, mut failing) = (Vec::new(), Vec::new());
    for ((rule, ends), errors) in tries.keys.iter().zip(&tries.of).zip(&errors) {
        let Some(key) = report.keys.iter_mut().find(|key| key.key == rule.key) else {
            continue;
        };
        let runs = ends.map(|end| end.and_then(|run| ran.get(run)).unwrap_or(&nominal));
        weigh(key, least, runs, |run| noise.taken(&nominal, run));
        for ((run, error), end) in runs.iter().zip(errors).zip(ENDS) {
            if nominal.holds() && !run.holds() {
                failing.push(Allowed::End(rule, end));
            }
            let Some(why) = failure(&nominal, run, error.as_ref()) else {
                continue;
            };
            let value = rule.value(&rule.end(case.machine, end));
            findings.push(decides(key, rule, end, value, &why));
            key.fails.get_or_insert(why);
        }
    }
    let known: Vec<Code> = errors
        .iter()
        .flatten()
        .flatten()
        .map(|error| error.code)
        .collect();
    for (error, keys) in together(case, &tries.keys, known) {
        let finding = decide_together(case.machine, &keys, &error);
        for key in report.keys.iter_mut() {
            if keys.iter().any(|(rule, _)| rule.key == key.key) {
                key.fails.get_or_insert_with(|| finding.message.clone());
            }
        }
        findings.push(finding);
    }
    let done = |runs: usize| progress(NOISES + tries.made.len() + runs);
    batch::rank(
        &mut report.keys,
        job,
        (seed, threads),
        (&nominal, &noise),
        &done,
    )?;
    put_in_order(&mut report.keys);
    Ok(Some(Ranked {
        report,
        findings,
        failing,
    }))
}

/// The static errors that a case has somewhere in the envelopes of its assumed keys, and not as it is assumed; one of each code. Without
/// a run: for who looks for a recipe and must not find one that the ranking then refuses.
#[must_use]
pub fn static_errors_within(case: &Case, threads: usize) -> Vec<Finding> {
    let varying: Vec<&'static Rule> = assumed(case.machine).filter(|rule| rule.varies()).collect();
    let mut found: Vec<Finding> = Vec::new();
    for (rule, errors) in varying.iter().zip(errors_alone(case, &varying, threads)) {
        for (end, error) in ENDS.into_iter().zip(errors) {
            if let Some(error) = error
                && found.iter().all(|other| other.code != error.code)
            {
                found.push(as_assumed(case.machine, &[(rule, end)], error));
            }
        }
    }
    let known = found.iter().map(|error| error.code).collect();
    found.extend(
        together(case, &varying, known)
            .into_iter()
            .map(|(error, keys)| as_assumed(case.machine, &keys, error)),
    );
    found
}

/// A finding of a case with some assumed keys at an end: they are told with it.
fn as_assumed(machine: &Machine, keys: &[(&'static Rule, f64)], mut error: Finding) -> Finding {
    error.message = format!("with {}, as may be: {}", at(machine, keys), error.message);
    error
}

/// Assumed keys at ends of their envelopes, in words.
fn at(machine: &Machine, keys: &[(&'static Rule, f64)]) -> String {
    let words: Vec<String> = keys
        .iter()
        .map(|(rule, end)| {
            let value = rule.value(&rule.end(machine, *end));
            format!("`{}` at {}", rule.key, value_words(rule, value))
        })
        .collect();
    words.join(" and ")
}

/// Notes what the runs at both ends of a key make of the margins.
fn weigh(
    key: &mut AssumedKey,
    least: f64,
    runs: [&RunJudgement; 2],
    taken: impl Fn(&RunJudgement) -> Taken,
) {
    let margins = runs.map(smallest);
    let worse = if margins[0].0 <= margins[1].0 {
        margins[0]
    } else {
        margins[1]
    };
    key.margin_pct = Some(margins.map(|(left, _)| percent(left)));
    key.decides_pct = Some(percent(
        max(least, max(margins[0].0, margins[1].0)) - min(least, worse.0),
    ));
    key.binds = Some(worse.1);
    let [lower, upper] = runs.map(taken);
    let (beyond, of) = if lower.beyond >= upper.beyond {
        (lower.beyond, lower.of)
    } else {
        (upper.beyond, upper.of)
    };
    let with_noise = max(lower.with_noise, upper.with_noise);
    key.takes = [beyond, with_noise];
    key.takes_pct = Some(percent(beyond));
    key.takes_of = (beyond > 0.0).then_some(of);
    key.takes_with_noise_pct = Some(percent(with_noise));
}

/// Static errors where several keys lie at ends of their envelopes together, one of a code that is not `known`: with the fewest keys that
/// make it.
fn together(
    case: &Case,
    varying: &[&'static Rule],
    mut known: Vec<Code>,
) -> Vec<(Finding, Vec<(&'static Rule, f64)>)> {
    let error_at = |keys: &[(&'static Rule, f64)], code: Option<Code>, known: &[Code]| {
        errors_at(case, keys).find(|finding| match code {
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
            found.push((error, keys.clone()));
        }
    }
    found
}

fn decide_together(machine: &Machine, keys: &[(&'static Rule, f64)], error: &Finding) -> Finding {
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
            at(machine, keys),
            error.name(),
            error.message
        ),
        format!("measure {}", names.join(" or ")),
    )
}

/// Those that make the check fail first, then by what they take of a margin beyond noise, then by what they take at all; settings last.
fn put_in_order(keys: &mut [AssumedKey]) {
    let place = |key: &AssumedKey| (key.fails.is_some(), key.takes_pct.is_some());
    keys.sort_by(|a, b| {
        let takes = |of: usize| b.takes[of].total_cmp(&a.takes[of]);
        place(b).cmp(&place(a)).then(takes(0)).then(takes(1))
    });
    for (place, key) in keys.iter_mut().enumerate() {
        key.rank = key.takes_pct.map(|_| place + 1);
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
