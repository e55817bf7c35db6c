//! What operators do at the machine between cycles: where it can be done, what it changes, and what the own lock holds off.

use crate::{at_work, exercise, to_the_end, work};
use twinplate_sim::training::act::Act;
use twinplate_sim::training::task::TASKS;
use twinplate_train::protocol::{News, NewsKind, Pace};
use twinplate_train::session::Session;

fn task(word: &str) -> Act {
    Act::Work { task: word.into() }
}

fn begun(id: &str) -> Session {
    Session::new(exercise(id), 1)
}

fn open(session: &mut Session) {
    work(session, &[Act::UnlockGuard, Act::OpenGuard], 1000);
}

/// What was told last, but for what the exercise says of it.
fn told(session: &Session) -> String {
    let machine = |one: &&News| one.kind != NewsKind::Exercise;
    let last = session.news(0).iter().rev().find(machine);
    last.expect("told").text.clone()
}

fn shut(session: &mut Session) {
    work(session, &[Act::CloseGuard, Act::LockGuard], 1000);
}

/// Does a task to its end; what came of it.
fn done(session: &mut Session, word: &str) -> String {
    work(session, &[task(word)], 10);
    while at_work(session) {
        assert!(session.advance(1000) > 0, "{word} comes to its end");
    }
    told(session)
}

fn refused(session: &mut Session, word: &str) -> &'static str {
    session.operate(&task(word)).expect_err(word).code
}

fn state(session: &Session) -> String {
    session.picture(Pace::Real, 1.0).state.to_string()
}

/// With the own lock on power and air no act that would move anything reaches the controller; without it, the same act does.
#[test]
fn nothing_moves_while_the_own_lock_hangs() {
    let mut session = begun("laid-in");
    work(&mut session, &[Act::ConfirmParts { pieces: 15 }], 100);
    assert!(done(&mut session, "hang-lock").contains("Prove it"));
    for act in [
        Act::Start,
        Act::Restart,
        Act::Raise,
        Act::HoldToRun { on: true },
    ] {
        work(&mut session, std::slice::from_ref(&act), 5000);
        assert_eq!(state(&session), "idle", "{act:?}");
        let told = told(&session);
        assert!(told.starts_with("Nothing moves"), "{told}");
    }
    assert_eq!(refused(&mut session, "hang-lock"), "locked-out");
    done(&mut session, "take-lock-off");
    assert_eq!(refused(&mut session, "take-lock-off"), "no-lock");
    work(&mut session, &[Act::Start], 1000);
    assert_eq!(state(&session), "running");
    assert_eq!(refused(&mut session, "hang-lock"), "not-at-rest");
}

/// Start proves the lock only where nothing else would hold the machine off; and what takes drives or pump waits for the lock to go.
#[test]
fn an_open_guard_proves_nothing_and_the_lock_holds_off_what_takes_power() {
    let mut session = begun("dress-plates");
    done(&mut session, "hang-lock");
    for word in ["condition-plates", "change-slurry"] {
        assert_eq!(refused(&mut session, word), "locked-out");
    }
    open(&mut session);
    let refused = session.operate(&Act::Start).expect_err("the guard is open");
    assert_eq!(refused.code, "proves-nothing");
    shut(&mut session);
    work(&mut session, &[Act::Start], 1000);
    assert!(told(&session).starts_with("Nothing moves"));
}

/// A start that was given a moment ago, and a cycle that is held, are no rest; a sample holds no start up.
#[test]
fn what_was_just_sent_counts_and_a_sample_holds_nothing_up() {
    let mut session = begun("laid-in");
    work(&mut session, &[Act::ConfirmParts { pieces: 15 }], 100);
    session.operate(&task("sample-slurry")).expect("taken");
    session
        .operate(&Act::Start)
        .expect("a sample holds nothing up");
    while at_work(&session) {
        session.advance(1000);
    }
    assert_eq!(state(&session), "running");
    work(&mut session, &[Act::Hold], 30_000);
    assert_eq!(state(&session), "held");
    assert_eq!(refused(&mut session, "hang-lock"), "not-at-rest");

    let mut hasty = begun("laid-in");
    work(&mut hasty, &[Act::ConfirmParts { pieces: 15 }], 100);
    hasty.operate(&Act::Start).expect("taken");
    assert_eq!(refused(&mut hasty, "hang-lock"), "not-at-rest");
}

/// The advice names the lock as long as it hangs, and recommends no start.
#[test]
fn the_line_of_advice_knows_of_the_lock() {
    let mut session = begun("laid-in");
    done(&mut session, "hang-lock");
    let advice = session.advice();
    assert!(
        advice.act.is_none() && advice.text.contains("lock"),
        "{advice:?}"
    );
    done(&mut session, "take-lock-off");
    assert!(!session.advice().text.contains("lock holds"));
}

/// What is done on the plates is done with the guard open and no parts in the way; a ladle reaches the tank at any time.
#[test]
fn a_task_is_done_only_where_hands_can_do_it() {
    let inside = ["lay-straightedge", "wash-machine"];
    let mut session = begun("laid-in");
    for word in inside {
        assert_eq!(refused(&mut session, word), "guard-closed");
    }
    open(&mut session);
    for word in inside {
        assert_eq!(refused(&mut session, word), "loaded");
    }
    assert_eq!(refused(&mut session, "condition-plates"), "loaded");
    work(&mut session, &[Act::UnloadCarriers], 1000);
    assert_eq!(
        refused(&mut session, "condition-plates"),
        "no-rings",
        "this machine has none"
    );
    done(&mut session, "lay-straightedge");
    let mut rings = begun("dress-plates");
    open(&mut rings);
    assert_eq!(refused(&mut rings, "condition-plates"), "not-shut");

    let mut running = begun("laid-in");
    work(
        &mut running,
        &[Act::ConfirmParts { pieces: 15 }, Act::Start],
        2000,
    );
    for (word, ..) in TASKS.iter().filter(|(word, ..)| *word != "sample-slurry") {
        assert_eq!(refused(&mut running, word), "not-at-rest", "{word}");
    }
    assert!(done(&mut running, "sample-slurry").contains("By weight"));
    assert_eq!(refused(&mut running, "sweep-the-floor"), "unknown-task");
}

/// While hands are inside nobody closes the guard, and nothing starts.
#[test]
fn hands_that_are_inside_hold_guard_and_machine() {
    let mut session = begun("dress-plates");
    open(&mut session);
    work(&mut session, &[task("lay-straightedge")], 1000);
    for act in [Act::CloseGuard, Act::Start, task("mix-slurry")] {
        assert_eq!(session.operate(&act).expect_err("busy").code, "locked-off");
    }
}

fn percent(told: &str) -> f64 {
    let (_, rest) = told.split_once("holds ").expect("a share");
    let (number, _) = rest.split_once(" %").expect("percent");
    number.parse().expect("a number")
}

/// The recipe asks for 20 %; the tank holds three fifths of it, worn. Grains that are added make the number right and sharpen none.
#[test]
fn a_sample_tells_number_and_edges_and_only_a_change_brings_both_back() {
    let mut session = begun("worn-slurry");
    let found = done(&mut session, "sample-slurry");
    assert!((percent(&found) - 12.0).abs() <= 1.0, "{found}");
    assert!(found.contains("worn round"), "{found}");
    done(&mut session, "mix-slurry");
    let mixed = done(&mut session, "sample-slurry");
    assert!((percent(&mixed) - 20.0).abs() <= 1.0, "{mixed}");
    assert!(mixed.contains("worn round"), "{mixed}");
    done(&mut session, "change-slurry");
    let fresh = done(&mut session, "sample-slurry");
    assert!((percent(&fresh) - 20.0).abs() <= 1.0, "{fresh}");
    assert!(fresh.contains("sharp"), "{fresh}");
}

/// Grains of a coarser abrasive show in the sample until tank and line are rinsed, whatever else is done.
#[test]
fn coarse_grains_show_until_the_slurry_is_changed() {
    let mut session = begun("between-abrasives");
    assert!(done(&mut session, "sample-slurry").contains("several times as large"));
    done(&mut session, "mix-slurry");
    assert!(done(&mut session, "sample-slurry").contains("several times as large"));
    done(&mut session, "change-slurry");
    assert!(!done(&mut session, "sample-slurry").contains("several times as large"));
}

/// Parts that were lapped among left-over grains are found scratched; those of a machine that was cleaned both ways are not.
#[test]
fn parts_are_scratched_unless_both_ways_are_clean() {
    for (cleaning, scratched) in [
        (&[][..], true),
        (&["change-slurry"][..], true),
        (&["wash-machine"][..], true),
        (&["change-slurry", "wash-machine"][..], false),
    ] {
        let mut session = begun("between-abrasives");
        open(&mut session);
        for word in cleaning {
            done(&mut session, word);
        }
        let lap = [
            Act::LoadCarriers,
            Act::CloseGuard,
            Act::LockGuard,
            Act::RecallRecipe { slot: 1 },
            Act::ConfirmParts { pieces: 15 },
            Act::Start,
        ];
        work(&mut session, &lap, 1000);
        to_the_end(&mut session);
        open(&mut session);
        work(&mut session, &[Act::UnloadCarriers], 1000);
        let told = session
            .news(0)
            .iter()
            .any(|one| one.text.contains("scratched: fine lines"));
        assert_eq!(told, scratched, "{cleaning:?}");
    }
}

/// Readings of the lower and the upper plate, µm, + where the inner edge is higher.
fn forms(told: &str) -> Vec<f64> {
    let plates = told.split("inner edge ").skip(1);
    plates
        .map(|plate| {
            let (number, rest) = plate.split_once(" µm ").expect("a reading");
            let amount: f64 = number.parse().expect("a number");
            if rest.starts_with("higher") {
                amount
            } else {
                -amount
            }
        })
        .collect()
}

/// The straightedge reads what the exercise says of the plates, within what it can tell, and after conditioning what this shop asks for.
#[test]
fn plates_read_what_they_are_and_conditioning_brings_them_home() {
    let mut session = begun("dress-plates");
    open(&mut session);
    let found = forms(&done(&mut session, "lay-straightedge"));
    for (read, is) in found.iter().zip([7.0, -6.0]) {
        assert!((read - is).abs() < 1.5, "{found:?}");
    }
    shut(&mut session);
    done(&mut session, "condition-plates");
    open(&mut session);
    let dressed = forms(&done(&mut session, "lay-straightedge"));
    assert!(dressed[0] > 0.3 && dressed[0] < 3.0, "{dressed:?}");
    assert!(dressed[1] < -0.3 && dressed[1] > -3.0, "{dressed:?}");
}

/// What the shift before wrote is told before anything is done; only what the exercise lists can be handed over, in its own words.
#[test]
fn the_book_is_read_at_the_beginning_and_only_what_is_listed_is_handed_over() {
    let mut session = begun("hand-over");
    let book = session.exercise().training.book.len();
    let begin = session.news(0);
    assert_eq!(begin.len(), book);
    assert!(begin.iter().all(|one| one.text.starts_with("Shift book: ")));
    let say = |statement: &str| Act::HandOver {
        statement: statement.into(),
    };
    let refused = session.operate(&say("weather")).expect_err("not listed");
    assert_eq!(refused.code, "unknown-statement");
    assert!(refused.why.contains("agitator-off"), "{}", refused.why);
    work(&mut session, &[say("agitator-off")], 10);
    let last = told(&session);
    assert!(last.contains("switched off at the tank"), "{last}");
}
