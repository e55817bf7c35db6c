//! What an attempt is worth: the log against the rules of the exercise. Pure: the same attempt gives the same score, wherever and
//! whenever it is worked out.

use super::acts;
use super::log::{FIRST_TICK, Logged, Marked, SessionEvent, seconds};
use firmware_core::interlock::TABLE;
use twinplate_sim::compile;
use twinplate_sim::fault_words::{self, Component};
use twinplate_sim::training::act::{Act, NOTHING};
use twinplate_sim::training::rules::{Expected, Forbidden, Training, Trigger, Wanted, While};
use twinplate_words::Words;

/// Harm that was done, whether or not anybody has seen it yet.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
#[allow(clippy::struct_excessive_bools)] // they are kinds of harm
pub struct HarmDone {
    /// Parts that were loaded beyond their strength.
    pub cracked: bool,
    /// Plates that turned dry.
    pub scored: bool,
    /// Carriers that were strained or pressed on, or plates lifted while turning.
    pub carriers: bool,
    /// Parts of a completed batch under their tolerance.
    pub undersize: bool,
    /// Parts of a completed batch over their tolerance.
    pub oversize: bool,
    /// Parts that grains of another abrasive scratched.
    pub scratched: bool,
    /// Moving, pressing or falling with the guard open.
    pub danger: bool,
}

/// All that a score is made from.
#[derive(Clone, Copy, Debug)]
pub struct Record<'a> {
    /// Words that losses are told in.
    pub words: &'a Words,
    /// Rules.
    pub training: &'a Training,
    /// What was done.
    pub log: &'a [Logged],
    /// What happened.
    pub marks: &'a [Marked],
    /// Harm.
    pub harm: HarmDone,
    /// Tick at which the attempt stands or ended.
    pub tick: u32,
    /// It is over: what has not been done will not be done.
    pub over: bool,
}

/// How an expectation stands.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Standing {
    /// Nothing has set it off yet.
    Waiting,
    /// It is due.
    Open,
    /// It was met in time.
    Met,
    /// It was met, too late.
    Late,
    /// It was not met, and its time is up or the attempt is over.
    Missed,
}

/// How one expectation came out.
#[derive(Clone, Debug, PartialEq)]
pub struct Outcome {
    /// Tick at which it was set off.
    pub from: Option<u32>,
    /// Tick by which it was due.
    pub until: Option<u32>,
    /// Tick at which it was met.
    pub done: Option<u32>,
    /// Entry of the log that met it, where an act did.
    entry: Option<usize>,
    /// How it stands.
    pub standing: Standing,
    /// Points it has brought.
    pub got: u32,
}

/// Points that were lost other than by an expectation.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Loss {
    /// Identifier of the forbidden act, or the word of the harm.
    pub id: String,
    /// What was done, or what was found.
    pub text: String,
    /// Why it costs.
    pub why: String,
    /// Points.
    pub points: u32,
    /// When, where it was an act.
    pub tick: Option<u32>,
    /// Entry of the log, where it was an act.
    pub entry: Option<usize>,
}

/// A score and where it comes from.
#[derive(Clone, Debug, PartialEq)]
pub struct Score {
    /// Points; never below 0.
    pub points: u32,
    /// Points that could be had.
    pub of: u32,
    /// Points from which it is passed.
    pub pass: u32,
    /// How each expectation came out, in the order of the rules.
    pub outcomes: Vec<Outcome>,
    /// What forbidden acts and needless remedies cost, in the order in which they happened.
    pub losses: Vec<Loss>,
    /// What harm cost.
    pub harm: Vec<Loss>,
}

impl Score {
    /// It is passed.
    #[must_use]
    pub const fn passed(&self) -> bool {
        self.points >= self.pass
    }
}

/// Scores an attempt.
#[must_use]
pub fn score(record: &Record<'_>) -> Score {
    let rules = record.training;
    let mut outcomes: Vec<Outcome> = Vec::with_capacity(rules.expected.len());
    for expected in &rules.expected {
        let outcome = outcome(record, expected, &outcomes);
        outcomes.push(outcome);
    }
    let mut losses = forbidden(record, &outcomes);
    losses.extend(needless(record));
    losses.extend(assessed(record, &outcomes));
    losses.sort_by_key(|loss| loss.entry);
    let harm = harm(record);
    let got: u32 = outcomes.iter().map(|outcome| outcome.got).sum();
    let lost: u32 = losses.iter().chain(&harm).map(|loss| loss.points).sum();
    Score {
        points: got.saturating_sub(lost),
        of: rules.points(),
        pass: rules.pass,
        outcomes,
        losses,
        harm,
    }
}

fn outcome(record: &Record<'_>, expected: &Expected, before: &[Outcome]) -> Outcome {
    let mut outcome = Outcome {
        from: None,
        until: None,
        done: None,
        entry: None,
        standing: Standing::Waiting,
        got: 0,
    };
    let after_entry = after(record, &expected.from, before).and_then(|outcome| outcome.entry);
    let Some(from) = trigger(record, &expected.from, before) else {
        if record.over {
            outcome.standing = Standing::Missed;
        }
        return outcome;
    };
    let until = from.saturating_add(compile::ticks(expected.within).0);
    (outcome.from, outcome.until) = (Some(from), Some(until));
    match &expected.wanted {
        Wanted::Act(pattern) => {
            let found = record.log.iter().enumerate().find(|(index, logged)| {
                logged.deed.tick >= from
                    && after_entry.is_none_or(|entry| *index > entry)
                    && logged.taken()
                    && logged
                        .act()
                        .is_some_and(|act| pattern.matches(act, logged.read))
            });
            outcome.done = found.map(|(_, logged)| logged.done_at());
            outcome.entry = found.map(|(index, _)| index);
        }
        Wanted::Reaches(state) => {
            outcome.done = record
                .marks
                .iter()
                .find(|marked| marked.tick >= from && marked.mark == SessionEvent::State(*state))
                .map(|marked| marked.tick);
        }
    }
    outcome.standing = match outcome.done {
        Some(done) if done <= until => Standing::Met,
        Some(_) => Standing::Late,
        None if record.over || record.tick > until => Standing::Missed,
        None => Standing::Open,
    };
    if outcome.standing == Standing::Met {
        outcome.got = expected.points;
    }
    outcome
}

/// The expectation above that an `after` names.
fn after<'b>(record: &Record<'_>, from: &Trigger, before: &'b [Outcome]) -> Option<&'b Outcome> {
    let Trigger::After(id) = from else {
        return None;
    };
    let index = record.training.expected.iter().position(|e| e.id == *id)?;
    before.get(index)
}

fn trigger(record: &Record<'_>, from: &Trigger, before: &[Outcome]) -> Option<u32> {
    // What was there before the trainee came begins with the attempt.
    let first = |wanted: &dyn Fn(&SessionEvent) -> bool, from: u32| {
        record
            .marks
            .iter()
            .find(|marked| marked.tick >= from && wanted(&marked.mark))
            .map(|marked| marked.tick.max(FIRST_TICK))
    };
    match from {
        Trigger::Start => Some(FIRST_TICK),
        Trigger::Phase(phase, step) => first(
            &|mark| matches!(mark, SessionEvent::Phase(now, at) if now == phase && step.is_none_or(|step| step == *at)),
            FIRST_TICK,
        ),
        Trigger::State(state) => first(&|mark| *mark == SessionEvent::State(*state), FIRST_TICK),
        Trigger::Row(row) => first(&|mark| *mark == SessionEvent::Row(*row), 0),
        Trigger::Fault(component) => first(
            &|mark| matches!(mark, SessionEvent::Fault(now, _) if now == component),
            0,
        ),
        Trigger::After(_) => after(record, from, before)?.done,
    }
}

/// Forbidden acts: each costs once, at its first time.
fn forbidden(record: &Record<'_>, outcomes: &[Outcome]) -> Vec<Loss> {
    let breaches = |rule: &Forbidden| {
        let log = record.log.iter().enumerate();
        let breaches = log.filter(|(index, logged)| {
            logged
                .act()
                .is_some_and(|act| rule.act.matches(act, logged.read))
                && applies(record, &rule.when, *index, logged, outcomes)
        });
        breaches
            .take(counted(record))
            .map(|(index, logged)| by(record, &rule.id, &rule.why, rule.loss, (index, logged)))
            .collect::<Vec<_>>()
    };
    record
        .training
        .forbidden
        .iter()
        .flat_map(breaches)
        .collect()
}

/// How often the breach of one rule costs: once in practice, each time where it is assessed.
fn counted(record: &Record<'_>) -> usize {
    if record.training.assessed.is_some() {
        usize::MAX
    } else {
        1
    }
}

/// What an entry of the log cost.
fn by(record: &Record<'_>, id: &str, why: &str, points: u32, entry: (usize, &Logged)) -> Loss {
    let (index, logged) = entry;
    let told = logged.act().map(|act| acts::text(record.words, act));
    Loss {
        id: id.into(),
        text: told.unwrap_or_default(),
        why: why.into(),
        points,
        tick: Some(logged.deed.tick),
        entry: Some(index),
    }
}

fn applies(
    record: &Record<'_>,
    when: &While,
    index: usize,
    logged: &Logged,
    outcomes: &[Outcome],
) -> bool {
    let place = &logged.place;
    match when {
        While::Always => true,
        While::Before(id) => met_before(record, id, index, logged, outcomes) == Some(false),
        While::Since(id) => met_before(record, id, index, logged, outcomes) == Some(true),
        While::Phase(phase) => place.phase == *phase,
        While::State(state) => place.state == *state,
        While::Row(row) => TABLE
            .iter()
            .position(|known| known.id == *row)
            .is_some_and(|bit| place.rows & (1 << bit) != 0),
        While::Plate(plate) => place.plate == *plate,
        While::Failing(component) => place.failing & (1 << *component as u64) != 0,
    }
}

/// An expectation had been met when an entry of the log was made; `None` where there is no such expectation. The entry that meets it
/// is itself not after it, and not before it.
fn met_before(
    record: &Record<'_>,
    id: &str,
    index: usize,
    logged: &Logged,
    outcomes: &[Outcome],
) -> Option<bool> {
    let expected = record.training.expected.iter().position(|e| e.id == id)?;
    let outcome = outcomes.get(expected)?;
    match (outcome.entry, outcome.done) {
        (Some(entry), _) if entry == index => None,
        (Some(entry), _) => Some(entry < index),
        (None, Some(done)) => Some(done <= logged.deed.tick),
        (None, None) => Some(false),
    }
}

/// Remedies of something whole: the first, or all where it is assessed.
fn needless(record: &Record<'_>) -> Vec<Loss> {
    let points = record.training.needless_remedy;
    if points == 0 {
        return Vec::new();
    }
    let log = record.log.iter().enumerate();
    let why = record.words.say("lost-needless-remedy");
    log.filter(|(_, logged)| logged.needless)
        .take(counted(record))
        .map(|entry| by(record, "needless-remedy", &why, points, entry))
        .collect()
}

/// What costs only where it is assessed: emergency stops that the exercise does not ask for at that moment, and the diagnosis.
fn assessed(record: &Record<'_>, outcomes: &[Outcome]) -> Vec<Loss> {
    let Some(rules) = &record.training.assessed else {
        return Vec::new();
    };
    let log = || record.log.iter().enumerate();
    let expected = || record.training.expected.iter().zip(outcomes);
    let asked = |tick: u32| {
        expected().any(|(expected, outcome)| {
            matches!(&expected.wanted, Wanted::Act(pattern) if pattern.matches(&Act::PressEmergencyStop, None))
                && outcome.from.is_some_and(|from| from <= tick)
        })
    };
    let why = record.words.say("lost-needless-stop");
    let mut losses: Vec<Loss> = log()
        .filter(|(_, logged)| logged.act() == Some(&Act::PressEmergencyStop))
        .filter(|(_, logged)| !asked(logged.deed.tick))
        .map(|entry| by(record, "needless-stop", &why, rules.needless_stop, entry))
        .collect();
    let first = log().find_map(|(index, logged)| match logged.act() {
        Some(Act::Diagnose { component }) if logged.taken() => Some((index, logged, component)),
        _ => None,
    });
    let right = match first {
        // It was there to be seen when it was said.
        Some((_, logged, said)) => rules.truth.iter().any(|broken| {
            fault_words::component(*broken) == said
                && logged.place.failing & (1 << *broken as u64) != 0
        }),
        None => false,
    };
    let found_nothing = first.is_none_or(|(_, _, said)| said == NOTHING);
    if right || (rules.truth.is_empty() && found_nothing) || !record.over {
        return losses;
    }
    let why = truth_told(record.words, &rules.truth);
    losses.push(match first {
        Some((index, logged, _)) => by(record, "diagnosis", &why, rules.diagnosis, (index, logged)),
        None => Loss {
            id: "diagnosis".into(),
            text: record.words.say("lost-no-diagnosis"),
            why,
            points: rules.diagnosis,
            tick: None,
            entry: None,
        },
    });
    losses
}

/// What it was, for people.
fn truth_told(words: &Words, truth: &[Component]) -> String {
    if truth.is_empty() {
        return words.say("lost-nothing-wrong");
    }
    let named: Vec<_> = truth
        .iter()
        .map(|one| acts::component(words, *one))
        .collect();
    words.tell("lost-truth", &[("components", named.join(", ").into())])
}

fn harm(record: &Record<'_>) -> Vec<Loss> {
    let (done, cost) = (record.harm, record.training.harm);
    [
        (
            done.cracked,
            "cracked",
            ["harm-cracked", "harm-cracked-why"],
            cost.cracked,
        ),
        (
            done.scored,
            "scored",
            ["harm-scored", "harm-scored-why"],
            cost.scored,
        ),
        (
            done.carriers,
            "carriers",
            ["harm-carriers", "harm-carriers-why"],
            cost.carriers,
        ),
        (
            done.undersize,
            "undersize",
            ["harm-undersize", "harm-undersize-why"],
            cost.undersize,
        ),
        (
            done.oversize,
            "oversize",
            ["harm-oversize", "harm-oversize-why"],
            cost.oversize,
        ),
        (
            done.scratched,
            "scratched",
            ["harm-scratched", "harm-scratched-why"],
            cost.scratched,
        ),
        (
            done.danger,
            "danger",
            ["harm-danger", "harm-danger-why"],
            cost.danger,
        ),
    ]
    .into_iter()
    // Where the exercise makes nothing of it, the trainee is not to blame.
    .filter(|(done, .., points)| *done && *points > 0)
    .map(|(_, id, [text, why], points)| Loss {
        id: id.into(),
        text: record.words.say(text),
        why: record.words.say(why),
        points,
        tick: None,
        entry: None,
    })
    .collect()
}

/// Why an expectation brought nothing, for people.
#[must_use]
pub(crate) fn why_lost(words: &Words, outcome: &Outcome) -> String {
    match (outcome.standing, outcome.done, outcome.until) {
        (Standing::Late, Some(done), Some(until)) => {
            let late = words.number(seconds(done.saturating_sub(until)), 1);
            words.tell("lost-late", &[("seconds", late.into())])
        }
        (Standing::Missed, _, Some(_)) => words.say("lost-not-in-time"),
        (Standing::Missed, ..) => words.say("lost-not-come"),
        _ => String::new(),
    }
}

#[cfg(test)]
#[path = "scoring_tests.rs"]
mod tests;
