//! A station without a page: a session driven by a script, for tests and for scoring what was recorded.
//!
//! A script is text, one thing a line; blank lines and what follows `#` are skipped.
//!
//! ```text
//! exercise first-cycle        which exercise; the first line, once
//! seed 7                      seed of the session; 1 unless given
//! 12.5 s                      time goes on until then
//! +2 s                        time goes on for so long
//! wait dwell                  time goes on until this phase is there
//! wait state held             … until this state is there
//! wait step 2                 … until this step, from 1, dwells
//! wait row flow-low           … until the alarm of this interlock row is there
//! wait put-right              … until what is being put right is done
//! reset                       an act, by its word; `confirm-parts 15`, `remedy slurry-line`, `setup-key on`, `report-form bands 1.5 -0.5`
//! inject pump off             an instructor makes a component fail; `inject air-supply wrong 0.5`
//! repair pump                 an instructor ends a fault
//! back 20 s                   an instructor goes back in time
//! expect points 85            what should come out: `expect passed yes`, `expect lost uncounted scored`, `expect lost nothing`
//! ```
//!
//! At its end the attempt is finished. Between two acts time does not go on by itself, but one tick, so that they act in order.

use super::exercise::Exercise;
use super::scoring::Standing;
use super::script::{Expect, Step, wrong};
pub use super::script::{Script, ScriptError};
use super::session::Session;
use firmware_core::sequence::Phase;
use firmware_core::units::TICKS_PER_SECOND;
use std::sync::Arc;
use twinplate_sim::bench::{ControllerPort, InProcess};

/// Longest that a `wait` may last, ticks: 30 minutes.
const LONGEST_WAIT: u32 = 1800 * TICKS_PER_SECOND;

/// How a script came out.
#[derive(Clone, Debug)]
pub struct Ran<C = InProcess> {
    /// The session, finished.
    pub session: Session<C>,
    /// Acts that were refused at once: line, and why.
    pub refused: Vec<(usize, String)>,
    /// Expectations of the script that did not come true.
    pub unmet: Vec<String>,
}

/// Runs a script on its exercise, with a controller in this process.
///
/// # Errors
/// A `wait` or a time that never comes.
pub fn run(script: &Script, exercise: Arc<Exercise>) -> Result<Ran, ScriptError> {
    let port = exercise.job.nominal(script.seed).controller();
    run_on(port, script, exercise)
}

/// Runs a script on its exercise, on the controller behind a port. See [`Session::on`].
///
/// # Errors
/// As [`run`], and what waits for a controller that cannot be reached any more.
pub fn run_on<C: ControllerPort>(
    port: C,
    script: &Script,
    exercise: Arc<Exercise>,
) -> Result<Ran<C>, ScriptError> {
    let mut session = Session::on(port, exercise, script.seed);
    let mut refused = Vec::new();
    for (line, step) in &script.steps {
        let tried = match step {
            Step::Until(tick) => {
                let Some(ticks) = tick.checked_sub(session.tick()) else {
                    return Err(wrong(
                        *line,
                        format!("it is {:.1} s already", session.time_s()),
                        "a time that is still to come".into(),
                    ));
                };
                go_on(&mut session, ticks, *line)?;
                continue;
            }
            Step::For(ticks) => {
                go_on(&mut session, *ticks, *line)?;
                continue;
            }
            Step::Back(tick) => {
                match session.go_back(*tick) {
                    Ok(now) => go_on(&mut session, tick.saturating_sub(now), *line)?,
                    Err(why) => refused.push((*line, why.why)),
                }
                continue;
            }
            Step::Phase(_) | Step::State(_) | Step::Dwell(_) | Step::Row(_) | Step::PutRight => {
                wait_for(&mut session, step, *line)?;
                continue;
            }
            Step::Act(act) => session.operate(act),
            Step::Inject(component, mode, magnitude) => session.inject(component, mode, *magnitude),
            Step::Repair(component) => session.repair(component),
        };
        if let Err(why) = tried {
            refused.push((*line, why.why));
        }
        session.advance(1);
    }
    session.finish();
    let unmet = unmet(script, &session);
    Ok(Ran {
        session,
        refused,
        unmet,
    })
}

fn go_on<C: ControllerPort>(
    session: &mut Session<C>,
    ticks: u32,
    line: usize,
) -> Result<(), ScriptError> {
    if session.advance(ticks) < ticks {
        return Err(over(session, line));
    }
    Ok(())
}

fn over<C: ControllerPort>(session: &Session<C>, line: usize) -> ScriptError {
    if let Some(error) = session.failure() {
        return wrong(
            line,
            format!(
                "the exercise was broken off at {:.1} s, before this came: {error}",
                session.time_s()
            ),
            "a controller that can be reached to the end of the script".into(),
        );
    }
    wrong(
        line,
        format!(
            "the exercise was over at {:.1} s, before this came",
            session.time_s()
        ),
        "what comes within the longest time of the exercise".into(),
    )
}

fn wait_for<C: ControllerPort>(
    session: &mut Session<C>,
    step: &Step,
    line: usize,
) -> Result<(), ScriptError> {
    for _ in 0..LONGEST_WAIT {
        if there(session, step) {
            return Ok(());
        }
        if session.advance(1) == 0 {
            return Err(over(session, line));
        }
    }
    let status = session.status();
    Err(wrong(
        line,
        format!(
            "this did not come within {} s; the machine is {}, {}",
            LONGEST_WAIT / TICKS_PER_SECOND,
            status.state.word(),
            status.phase.word()
        ),
        "something that comes".into(),
    ))
}

fn there<C: ControllerPort>(session: &Session<C>, step: &Step) -> bool {
    let status = session.status();
    match step {
        Step::Phase(phase) => status.phase == *phase,
        Step::State(state) => status.state == *state,
        Step::Dwell(step) => status.phase == Phase::Dwell && status.step == *step,
        Step::PutRight => session.at_work().is_none(),
        Step::Row(row) => session.answer().alarms.annunciated() & (1 << row) != 0,
        _ => true,
    }
}

/// Identifiers of everything that cost points.
#[must_use]
pub fn lost<C: ControllerPort>(session: &Session<C>) -> Vec<String> {
    let score = session.score();
    let rules = &session.exercise().training;
    let not_done = rules
        .expected
        .iter()
        .zip(&score.outcomes)
        .filter(|(expected, outcome)| {
            expected.points > 0 && matches!(outcome.standing, Standing::Late | Standing::Missed)
        })
        .map(|(expected, _)| expected.id.clone());
    let wrong = score.losses.iter().chain(&score.harm);
    not_done
        .chain(
            wrong
                .filter(|loss| loss.points > 0)
                .map(|loss| loss.id.clone()),
        )
        .collect()
}

fn unmet<C: ControllerPort>(script: &Script, session: &Session<C>) -> Vec<String> {
    let score = session.score();
    let mut unmet = Vec::new();
    for (line, expect) in &script.expected {
        match expect {
            Expect::Points(points) if *points != score.points => unmet.push(format!(
                "line {line}: {points} points were expected, and {} came out",
                score.points
            )),
            Expect::Passed(passed) if *passed != score.passed() => unmet.push(format!(
                "line {line}: {} was expected",
                if *passed { "a pass" } else { "no pass" }
            )),
            Expect::Lost(ids) => {
                let mut expected = ids.clone();
                let mut found = lost(session);
                expected.sort();
                found.sort();
                if expected != found {
                    unmet.push(format!(
                        "line {line}: lost was expected to be [{}], and is [{}]",
                        expected.join(" "),
                        found.join(" ")
                    ));
                }
            }
            Expect::Points(_) | Expect::Passed(_) => {}
        }
    }
    unmet
}
