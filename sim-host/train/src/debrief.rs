//! The debrief: what was done when, against what should have been done, on one time line with load and phase.

mod sheet;

use super::acts;
use super::log::{Done, Logged, Marked, SAMPLE_TICKS, Sample, SessionEvent, seconds};
use super::machine_words as machine;
use super::protocol::{NewsKind, unit_cards};
use super::scoring::{Score, Standing, why_lost};
use super::session::{Session, broken_off};
use firmware_core::interlock::row_of;
pub use sheet::{Acted, Band, Curve, Debrief, Due, Event, Lost, Parts, Points, Reaction};
use twinplate_sim::bench::ControllerPort;
use twinplate_sim::training::rules::Trigger;
use twinplate_words::{Told, Words};

/// Most points of the load's curve.
const MOST_POINTS: usize = 2000;
/// Most lines of what to practise.
const MOST_LINES: usize = 5;
/// Share of its time that a reaction may take before it is named as slow.
const SLOW: f64 = 0.7;

impl<C: ControllerPort> Session<C> {
    /// The debrief as it stands; final once the attempt is over.
    #[must_use]
    pub fn debrief(&self) -> Debrief {
        let score = self.score();
        let training = &self.exercise.training;
        let lost = self.lost(&score);
        Debrief {
            drawn: training.drawn(),
            clock: self.paces.by_clock(),
            exercise: self.exercise.card(),
            end_s: self.time_s(),
            finished: self.finished(),
            score: Points {
                points: score.points,
                of: score.of,
                pass: score.pass,
                passed: score.passed(),
            },
            curve: curve(&self.samples),
            bands: self.bands(),
            events: self.events(),
            done: self.all_acts(&score),
            expected: training
                .expected
                .iter()
                .zip(&score.outcomes)
                .map(|(expected, outcome)| Due {
                    id: expected.id.clone(),
                    text: expected.text.clone(),
                    from_s: outcome.from.map(seconds),
                    until_s: outcome.until.map(seconds),
                    done_s: outcome.done.map(seconds),
                    points: expected.points,
                    got: outcome.got,
                })
                .collect(),
            reactions: self.reactions(&score),
            harm: score.harm.iter().map(Lost::new).collect(),
            parts: self.measured(),
            practise: self.practise(&score),
            units: unit_cards(&self.exercise.job.recipe.shown),
            lost,
        }
    }

    fn lost(&self, score: &Score) -> Vec<Lost> {
        let training = &self.exercise.training;
        let not_done = training
            .expected
            .iter()
            .zip(&score.outcomes)
            .filter(|(_, outcome)| matches!(outcome.standing, Standing::Late | Standing::Missed))
            .map(|(expected, outcome)| Lost {
                id: expected.id.clone(),
                text: expected.text.clone(),
                why: why_lost(self.words(), outcome),
                points: expected.points,
                // What was not done before an early end has no moment.
                time_s: outcome
                    .until
                    .filter(|until| *until <= self.tick())
                    .map(seconds),
            });
        not_done.chain(score.losses.iter().map(Lost::new)).collect()
    }

    fn bands(&self) -> Vec<Band> {
        let mut bands: Vec<Band> = Vec::new();
        for marked in &self.marks {
            if let SessionEvent::Phase(phase, step) = marked.mark {
                let start = seconds(marked.tick);
                if let Some(last) = bands.last_mut() {
                    last.end_s = start;
                }
                // Which step it was only says something where a step is worked on.
                let step = if phase.in_step() { step } else { 0 };
                match bands.last() {
                    Some(last) if (last.phase, last.step) == (phase.name(), step) => {}
                    _ => bands.push(Band {
                        phase: phase.name(),
                        step,
                        start_s: start,
                        end_s: start,
                    }),
                }
            }
        }
        if let Some(last) = bands.last_mut() {
            last.end_s = self.time_s();
        }
        bands
    }

    fn events(&self) -> Vec<Event> {
        let told = |marked: &Marked| {
            let (kind, text) = self.event(&marked.mark)?;
            let row = match marked.mark {
                SessionEvent::Row(row) => row,
                _ => 0,
            };
            Some(Event {
                time_s: seconds(marked.tick),
                text,
                row,
                kind,
            })
        };
        self.marks.iter().filter_map(told).collect()
    }

    /// What happened, for people; a phase has its band.
    fn event(&self, mark: &SessionEvent) -> Option<(NewsKind, String)> {
        let words = self.words();
        Some(match mark {
            SessionEvent::State(state) => {
                (NewsKind::Moved, machine::state(words, *state).into_owned())
            }
            SessionEvent::Mode(mode) => {
                let mode = Told::Text(machine::mode(words, *mode));
                (NewsKind::Moved, words.tell("event-mode", &[("mode", mode)]))
            }
            SessionEvent::Row(row) => (NewsKind::Interlock, happened(words, *row)),
            SessionEvent::Fault(which, mode) => (
                NewsKind::Instructor,
                format!(
                    "{}: {}",
                    acts::component(words, *which),
                    acts::fails(words, *mode)
                ),
            ),
            SessionEvent::Cleared(which) => {
                let which = Told::Text(acts::component(words, *which));
                let text = words.tell("event-whole-again", &[("component", which)]);
                (NewsKind::Instructor, text)
            }
            SessionEvent::Power => (NewsKind::Moved, words.say("event-power")),
            SessionEvent::BrokenOff(why) => (NewsKind::Exercise, broken_off(words, why)),
            SessionEvent::Found(found) => {
                let told = words.tell(
                    "event-found",
                    &[
                        ("whole", found.measured_m.len().into()),
                        ("cracked", found.cracked.into()),
                    ],
                );
                (NewsKind::Found, told)
            }
            SessionEvent::Phase(..) => return None,
        })
    }

    fn all_acts(&self, score: &Score) -> Vec<Acted> {
        self.log
            .iter()
            .enumerate()
            .map(|(index, logged)| {
                let (act, text) = done_words(self.words(), logged);
                Acted {
                    time_s: seconds(logged.deed.tick),
                    act,
                    text,
                    refused: logged.refused.clone(),
                    wrong: score
                        .losses
                        .iter()
                        .find(|loss| loss.entry == Some(index))
                        .map(|loss| loss.why.clone()),
                }
            })
            .collect()
    }

    fn reactions(&self, score: &Score) -> Vec<Reaction> {
        let expected = self.exercise.training.expected.iter();
        expected
            .zip(&score.outcomes)
            .filter_map(|(expected, outcome)| {
                let cause = self.cause(&expected.from)?;
                let (from, done) = (outcome.from?, outcome.done?);
                Some(Reaction {
                    cause,
                    text: expected.text.clone(),
                    from_s: seconds(from),
                    done_s: seconds(done),
                    seconds: seconds(done.saturating_sub(from)),
                    stopped_s: self.paces.stopped_s(seconds(from), seconds(done)),
                })
            })
            .collect()
    }

    /// What could be seen, for people, of what sets something off; none of what nobody sees.
    fn cause(&self, from: &Trigger) -> Option<String> {
        let words = self.words();
        Some(match from {
            Trigger::Row(row) => happened(words, *row),
            Trigger::Fault(which) => {
                let which = Told::Text(acts::component(words, *which));
                words.tell("cause-fault", &[("component", which)])
            }
            Trigger::State(state) => {
                let state = Told::Text(machine::state(words, *state));
                words.tell("cause-state", &[("state", state)])
            }
            Trigger::Phase(phase, _) => {
                let phase = Told::Text(machine::phase(words, *phase));
                words.tell("cause-phase", &[("phase", phase)])
            }
            Trigger::Start | Trigger::After(_) => return None,
        })
    }

    /// The last parts that were worked on and taken out.
    fn measured(&self) -> Option<Parts> {
        let batch = &self.exercise.job.batch;
        self.marks
            .iter()
            .rev()
            .find_map(|marked| match &marked.mark {
                SessionEvent::Found(found) if found.worked => Some(Parts {
                    target_m: batch.target,
                    tolerance_m: batch.tolerance,
                    uncertainty_m: super::log::UNCERTAINTY,
                    measured_m: found.measured_m.clone(),
                    broken: found.cracked,
                }),
                _ => None,
            })
    }

    fn practise(&self, score: &Score) -> Vec<String> {
        let (words, training) = (self.words(), &self.exercise.training);
        let mut lines = Vec::new();
        if !score.passed() {
            lines.push(training.practise.clone());
        }
        for loss in score.losses.iter().chain(&score.harm) {
            if loss.points > 0 {
                let what = ("what", sentence(&loss.text).into());
                lines.push(words.tell("practise-think", &[what, ("why", (&loss.why).into())]));
            }
        }
        for (expected, outcome) in training.expected.iter().zip(&score.outcomes) {
            let id = match (outcome.standing, outcome.from, outcome.done) {
                (Standing::Late, ..) => "practise-faster",
                (Standing::Missed, ..) => "practise-missed",
                (Standing::Met, Some(from), Some(done))
                    if !matches!(expected.from, Trigger::Start | Trigger::After(_))
                        && seconds(done - from) > SLOW * expected.within =>
                {
                    "practise-slow"
                }
                _ => continue,
            };
            lines.push(words.tell(id, &[("what", (&expected.text).into())]));
        }
        lines.truncate(MOST_LINES);
        if lines.is_empty() && self.finished() {
            lines.push(words.say("practise-nothing"));
        }
        lines
    }
}

/// With a full stop at its end.
fn sentence(text: &str) -> String {
    let end = if text.ends_with(['.', '!', '?']) {
        ""
    } else {
        "."
    };
    format!("{text}{end}")
}

fn happened(words: &Words, row: u16) -> String {
    row_of(row).map_or_else(String::new, |row| {
        machine::row_happened(words, row).into_owned()
    })
}

fn done_words(words: &Words, logged: &Logged) -> (String, String) {
    let named = |word| ("component", Told::Text(acts::named(words, word)));
    match &logged.deed.done {
        Done::Operate(act) => (act.word().into(), acts::text(words, act)),
        Done::Inject {
            component, mode, ..
        } => {
            let mode = ("mode", acts::failing(words, mode).into());
            let text = words.tell("acted-inject", &[named(component), mode]);
            ("inject".into(), text)
        }
        Done::Repair { component } => {
            let text = words.tell("acted-repair", &[named(component)]);
            ("repair".into(), text)
        }
    }
}

/// At most [`MOST_POINTS`] points; each stretch gives its least and its most.
fn curve(samples: &[Sample]) -> Curve {
    let mut curve = Curve::default();
    let every = samples.len().div_ceil(MOST_POINTS / 2).max(1);
    for group in samples.chunks(every) {
        let Some(last) = group.last() else { continue };
        let least = group
            .iter()
            .map(|s| s.load[0])
            .fold(f32::INFINITY, f32::min);
        let most = group
            .iter()
            .map(|s| s.load[1])
            .fold(f32::NEG_INFINITY, f32::max);
        // Times must rise: the least of a stretch stands half a sample before its end.
        let end = seconds(last.tick);
        for (time, load) in [(end - seconds(SAMPLE_TICKS) / 2.0, least), (end, most)] {
            curve.time_s.push(time);
            curve.load_n.push(f64::from(load));
            curve.reference_n.push(f64::from(last.reference));
            curve.limit_n.push(f64::from(last.limit));
        }
    }
    curve
}
