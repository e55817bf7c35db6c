//! The panel's line that says what comes next. Whatever it recommends is taken and costs nothing, in every state that random hands and
//! faults reach; and whoever does as it says, and what people must add, comes from a cold machine to a measured batch.

use crate::{exercise, work};
use std::collections::BTreeSet;
use std::sync::Arc;
use twinplate_sim::bench::ensemble;
use twinplate_sim::fault_words::{COMPONENTS, FAULT_MODES};
use twinplate_sim::plant::seed::substream;
use twinplate_sim::training::act::Act;
use twinplate_train::exercise::Exercise;
use twinplate_train::protocol::{News, NewsKind, Pace};
use twinplate_train::session::Session;

/// Walks, and what is done in each.
const WALKS: u64 = 48;
const DEEDS: u64 = 40;
/// What a recommended act comes to is watched for so long, ticks.
const WATCHED: u32 = 15_000;

/// Exercises of all kinds of beginnings and faults.
const EXERCISES: [&str; 9] = [
    "first-cycle",
    "plain-cycle",
    "wrong-recipe",
    "setup-home",
    "power-returns",
    "drive-trips",
    "plates-out-of-form",
    "guard-opened",
    "first-piece",
];

struct Dice(u64, u64);

impl Dice {
    /// From 0 to below `sides`.
    fn roll(&mut self, sides: usize) -> usize {
        self.1 += 1;
        (substream(self.0, "advice", "walk", self.1) >> 33) as usize % sides
    }
}

fn random_act(dice: &mut Dice) -> Act {
    let acts = [
        Act::Start,
        Act::Hold,
        Act::Restart,
        Act::Stop,
        Act::Abort,
        Act::Reset,
        Act::PressEmergencyStop,
        Act::ReleaseEmergencyStop,
        Act::UnlockGuard,
        Act::LockGuard,
        Act::OpenGuard,
        Act::CloseGuard,
        Act::LoadCarriers,
        Act::UnloadCarriers,
        Act::CountParts,
        Act::CheckSlurry,
        Act::MeasureParts { parts: 3 },
        Act::LayFlat,
        judge("accepted"),
        judge("too-thin"),
        Act::Raise,
        Act::Acknowledge,
        Act::ConfirmParts { pieces: 15 },
        Act::ConfirmParts { pieces: 14 },
        Act::RecallRecipe { slot: 1 },
        Act::RecallRecipe { slot: 2 },
        Act::SetupKey { on: true },
        Act::SetupKey { on: false },
        mode("automatic"),
        mode("setup"),
        mode("plate-change"),
        movement("raise"),
        movement("lower"),
        movement("jog"),
        Act::HoldToRun { on: true },
        Act::HoldToRun { on: false },
    ];
    acts[dice.roll(acts.len())].clone()
}

fn judge(verdict: &str) -> Act {
    Act::JudgeParts {
        verdict: verdict.into(),
    }
}

fn mode(mode: &str) -> Act {
    Act::SetMode { mode: mode.into() }
}

fn movement(movement: &str) -> Act {
    Act::SelectMove {
        movement: movement.into(),
    }
}

/// What people add who know what the line cannot, where it asks them; otherwise what they try.
fn added(text: &str, dice: &mut Dice) -> Act {
    let counted = [Act::CountParts, Act::ConfirmParts { pieces: 15 }];
    let asked = [
        ("Recall", Act::RecallRecipe { slot: 1 }),
        ("Count the parts", counted[dice.roll(2)].clone()),
        ("Start, if", Act::Start),
        ("Report", Act::Start),
        ("Parts lie on the bench", judge("too-thin")),
        ("The parts were rejected", Act::LoadCarriers),
        ("Raise", Act::Raise),
    ];
    let tried = [
        Act::CountParts,
        Act::ConfirmParts { pieces: 15 },
        Act::Reset,
        Act::Raise,
        Act::ReleaseEmergencyStop,
    ];
    let one = asked.into_iter().find(|(said, _)| text.starts_with(said));
    match (one, dice.roll(3)) {
        (Some((_, act)), 0..=1) => act,
        _ => tried[dice.roll(tried.len())].clone(),
    }
}

/// One more deed: with a careful hand mostly what the line says and what people add, with a wild one anything.
fn deed(session: &mut Session, dice: &mut Dice, careful: bool) {
    let what = dice.roll(20) + if careful { 0 } else { 10 };
    let told = match what {
        0..=14 => {
            let advice = session.advice();
            let act = advice.act.unwrap_or_else(|| added(&advice.text, dice));
            session.operate(&act)
        }
        15..=16 => {
            let component = COMPONENTS[dice.roll(COMPONENTS.len())].0;
            let mode = FAULT_MODES[dice.roll(FAULT_MODES.len())].0;
            // Whether a bolt is where its switch says, the panel cannot know: a hand finds out.
            if component == "guard-lock" {
                return;
            }
            session.inject(component, mode, None)
        }
        17 => session.repair(COMPONENTS[dice.roll(COMPONENTS.len())].0),
        _ => session.operate(&random_act(dice)),
    };
    // A refusal is an answer, too.
    drop(told);
    session.advance([1, 200, 2_000, 15_000, 60_000][dice.roll(5)]);
    let running = |session: &Session| session.picture(Pace::Real, 1.0).state == "running";
    if careful && running(session) {
        // A good cycle comes to its end, or is held or stopped for no reason.
        let stop = [Act::Hold, Act::Stop, Act::Understood, Act::Understood];
        let _ = session.operate(&stop[dice.roll(stop.len())]);
        while running(session) && session.advance(1_000) > 0 {}
    }
}

/// What forbidden acts and harm have cost, by name.
fn costs(session: &Session) -> BTreeSet<String> {
    let score = session.score();
    let losses = score.losses.iter().chain(&score.harm);
    losses.map(|loss| loss.id.clone()).collect()
}

/// What is wrong with what is recommended now: refused, or it costs something that waiting does not.
fn wrong(session: &Session) -> Option<String> {
    let advice = session.advice();
    let act = advice.act?;
    let mut done = session.clone();
    let mut waited = session.clone();
    let at = || {
        let frame = session.picture(Pace::Real, 1.0);
        format!(
            "{}, {}, {}: \"{}\"",
            frame.state, frame.phase, frame.mode, advice.text
        )
    };
    let told = done.news(0).len() as u64;
    if let Err(refused) = done.operate(&act) {
        return Some(format!("{}: refused: {}", at(), refused.why));
    }
    done.advance(WATCHED);
    waited.advance(WATCHED);
    let refused = |news: &&News| news.kind == NewsKind::Refused;
    if let Some(news) = done.news(told).iter().find(refused) {
        return Some(format!("{}: {}", at(), news.text));
    }
    let new: Vec<String> = costs(&done).difference(&costs(&waited)).cloned().collect();
    (!new.is_empty()).then(|| format!("{}: costs {}", at(), new.join(", ")))
}

#[test]
fn what_is_recommended_is_taken_and_costs_nothing_wherever_the_panel_is() {
    let cases: Vec<(Arc<Exercise>, u64)> = (0..WALKS)
        .map(|walk| (exercise(EXERCISES[walk as usize % EXERCISES.len()]), walk))
        .collect();
    let walked = ensemble(cases.len(), 2, &|_| (), |number| {
        let (exercise, walk) = &cases[number];
        let mut dice = Dice(*walk, 0);
        let mut session = Session::new(Arc::clone(exercise), *walk);
        let mut lines = BTreeSet::new();
        for number in 0..DEEDS {
            let advice = session.advice();
            if let Some(why) = wrong(&session) {
                return Err(format!("walk {walk}, deed {number}: {why}"));
            }
            lines.extend(advice.act.map(|act| act.word()));
            deed(&mut session, &mut dice, walk % 3 > 0);
        }
        Ok(lines)
    });
    let mut lines = BTreeSet::new();
    for one in walked {
        lines.extend(one.expect("nothing wrong"));
    }
    // All that can be recommended was.
    let all = [
        "check-slurry",
        "close-guard",
        "load-carriers",
        "lock-guard",
        "open-guard",
        "raise",
        "reset",
        "restart",
        "start",
        "unload-carriers",
        "unlock-guard",
    ];
    assert_eq!(lines.into_iter().collect::<Vec<_>>(), all);
}

/// The way from a machine just switched on to a measured batch, with what people add: which recipe, and how many parts they counted.
#[test]
fn whoever_does_what_the_line_says_comes_to_a_measured_batch() {
    let mut session = Session::new(exercise("first-cycle"), 1);
    let mut did = Vec::new();
    let mut counted = false;
    for _ in 0..4_000 {
        let advice = session.advice();
        let act = match advice.act {
            Some(act) => Some(act),
            None if advice.text.starts_with("Recall") => Some(Act::RecallRecipe { slot: 1 }),
            None if advice.text.starts_with("Count the parts") && !counted => {
                counted = true;
                Some(Act::CountParts)
            }
            None if advice.text.starts_with("Count the parts") => {
                Some(Act::ConfirmParts { pieces: 15 })
            }
            None => None,
        };
        if let Some(act) = act {
            session.operate(&act).expect("taken");
            did.push(act.word());
            if act == Act::UnloadCarriers {
                break;
            }
        }
        session.advance(500);
    }
    assert_eq!(
        did,
        [
            "reset",
            "recall-recipe",
            "unlock-guard",
            "open-guard",
            "load-carriers",
            "count-parts",
            "confirm-parts",
            "close-guard",
            "lock-guard",
            "check-slurry",
            "start",
            "unlock-guard",
            "open-guard",
            "unload-carriers",
        ]
    );
    session.advance(1);
    assert_eq!(costs(&session), BTreeSet::new());
}

/// What was wrong before: an act was recommended that is refused or costs points.
#[test]
fn what_was_recommended_wrongly_is_no_more() {
    // An empty machine has no recipe to start.
    let session = Session::new(exercise("first-cycle"), 1);
    assert_ne!(session.advice().act, Some(Act::Start));

    // In Setup and in Plate change nothing starts.
    let mut session = ready();
    session.operate(&Act::SetupKey { on: true }).expect("taken");
    session.advance(2);
    for other in ["setup", "plate-change"] {
        session.operate(&mode(other)).expect("taken");
        session.advance(2);
        let advice = session.advice();
        assert_eq!(advice.act, None, "{other}: {}", advice.text);
        session.operate(&mode("automatic")).expect("taken");
        session.advance(2);
    }

    // A cell that died: neither Reset nor Raise, before somebody has seen to it; and after a Reset, who knows?
    let mut session = ready();
    session.operate(&Act::Start).expect("taken");
    session.advance(60_000);
    session.inject("load-cell", "off", None).expect("can fail");
    session.advance(20_000);
    let advice = session.advice();
    assert_eq!(advice.act, None, "{}", advice.text);
    assert!(advice.text.starts_with("Check the cell's cable"));
    session.repair("load-cell").expect("taken");
    session.advance(1_000);
    session.operate(&Act::Reset).expect("taken");
    session.advance(100);
    let advice = session.advice();
    assert_eq!(advice.act, None, "{}", advice.text);
    assert!(
        advice.text.starts_with("Raise the plate. But only once")
            && advice.text.contains("(cell-invalid)"),
        "{}",
        advice.text
    );
}

/// All is there for a start, by the panel.
fn ready() -> Session {
    let mut session = Session::new(exercise("laid-in"), 1);
    let acts = [
        Act::UnlockGuard,
        Act::OpenGuard,
        Act::CountParts,
        Act::CloseGuard,
        Act::LockGuard,
        Act::CheckSlurry,
        Act::ConfirmParts { pieces: 15 },
    ];
    work(&mut session, &acts, 500);
    assert_eq!(session.advice().act, Some(Act::Start));
    session
}
