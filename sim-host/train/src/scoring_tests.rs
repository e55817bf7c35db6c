//! Scores of made-up logs: every trigger, every place, every way to lose.

use super::*;
use crate::log::{Deed, Done, Place};
use firmware_core::sequence::{Phase, Plate, State};
use twinplate_sim::model::Component;
use twinplate_sim::training::act::Act;
use twinplate_sim::training::rules::{
    ActPattern, Assessed, Forbidden, Found, HarmLosses, Inspection, Start,
};
use twinplate_words::Language;

fn english() -> &'static Words {
    Words::of(Language::English)
}

fn pattern(word: &'static str) -> ActPattern {
    ActPattern {
        word,
        pieces: None,
        not_pieces: None,
        parts: None,
        verdict: None,
        task: None,
        statement: None,
        slot: None,
        not_slot: None,
        component: None,
        mode: None,
        movement: None,
        on: None,
        convex: [None; 2],
        as_read: None,
    }
}

fn expected(id: &str, word: &'static str, from: Trigger) -> Expected {
    Expected {
        id: id.into(),
        text: id.into(),
        wanted: Wanted::Act(pattern(word)),
        from,
        within: 10.0,
        points: 10,
    }
}

fn forbidden(word: &'static str, when: While) -> Forbidden {
    Forbidden {
        id: word.into(),
        act: pattern(word),
        when,
        loss: 7,
        why: "invented".into(),
    }
}

fn training(expected: Vec<Expected>, forbidden: Vec<Forbidden>) -> Training {
    Training {
        order: 1,
        recipe: String::new(),
        stored: Vec::new(),
        brief: String::new(),
        start: Start::Cold,
        found: Found::SOUND,
        book: Vec::new(),
        statements: Vec::new(),
        inspection: Inspection::GaugeRoom,
        pass: 10,
        practise: String::new(),
        harm: HarmLosses {
            cracked: 1,
            scored: 2,
            carriers: 4,
            undersize: 8,
            oversize: 16,
            danger: 32,
            scratched: 64,
        },
        needless_remedy: 3,
        expected,
        forbidden,
        guide: Vec::new(),
        assessed: None,
    }
}

fn did(tick: u32, act: Act) -> Logged {
    Logged {
        deed: Deed {
            tick,
            done: Done::Operate(act),
        },
        refused: None,
        waiting: false,
        ended: None,
        needless: false,
        place: Place {
            state: State::Running,
            phase: Phase::Dwell,
            plate: Plate::Contact,
            rows: 0b100,
            failing: 1 << 3,
        },
        read: None,
    }
}

fn marked(tick: u32, mark: SessionEvent) -> Marked {
    Marked { tick, mark }
}

fn of(training: &Training, log: &[Logged], marks: &[Marked], tick: u32, over: bool) -> Score {
    score(&Record {
        words: english(),
        training,
        log,
        marks,
        harm: HarmDone::default(),
        tick,
        over,
    })
}

/// Standing of the one expectation.
fn standing(rules: &Training, log: &[Logged], tick: u32, over: bool) -> Standing {
    of(rules, log, &[], tick, over).outcomes[0].standing
}

#[test]
fn in_time_counts_late_does_not_and_the_last_moment_is_in_time() {
    let rules = training(vec![expected("a", "reset", Trigger::Start)], vec![]);
    let last = FIRST_TICK + 10_000;
    assert_eq!(standing(&rules, &[], last, false), Standing::Open);
    assert_eq!(standing(&rules, &[], last + 1, false), Standing::Missed);
    assert_eq!(standing(&rules, &[], last, true), Standing::Missed);
    let at = |tick| [did(tick, Act::Reset)];
    assert_eq!(standing(&rules, &at(last), last + 5, true), Standing::Met);
    assert_eq!(
        standing(&rules, &at(last + 1), last + 5, true),
        Standing::Late
    );
    assert_eq!(of(&rules, &at(last), &[], last, true).points, 10);
    assert_eq!(of(&rules, &at(last + 1), &[], last, true).points, 0);
    let late = of(&rules, &at(last + 500), &[], last, true);
    assert!(why_lost(english(), &late.outcomes[0]).contains("0.5 s"));
}

#[test]
fn what_was_refused_or_waits_meets_nothing() {
    let rules = training(vec![expected("a", "reset", Trigger::Start)], vec![]);
    let mut log = [did(2000, Act::Reset)];
    log[0].refused = Some("invented".into());
    assert_eq!(standing(&rules, &log, 3000, false), Standing::Open);
    log[0].refused = None;
    log[0].waiting = true;
    assert_eq!(standing(&rules, &log, 3000, false), Standing::Open);
    log[0].waiting = false;
    assert_eq!(standing(&rules, &log, 3000, false), Standing::Met);
}

#[test]
fn every_trigger_sets_off_at_its_own_moment() {
    use twinplate_sim::model::{Component, FaultMode};
    let marks = [
        marked(0, SessionEvent::State(State::Stopped)),
        marked(10, SessionEvent::Fault(Component::Pump, FaultMode::Off)),
        marked(3000, SessionEvent::Phase(Phase::Dwell, 0)),
        marked(4000, SessionEvent::Phase(Phase::Dwell, 1)),
        marked(5000, SessionEvent::Row(18)),
        marked(6000, SessionEvent::State(State::Stopped)),
    ];
    let from = |trigger| {
        let rules = training(vec![expected("a", "reset", trigger)], vec![]);
        of(&rules, &[], &marks, 7000, false).outcomes[0].from
    };
    assert_eq!(from(Trigger::Start), Some(FIRST_TICK));
    assert_eq!(from(Trigger::Phase(Phase::Dwell, None)), Some(3000));
    assert_eq!(from(Trigger::Phase(Phase::Dwell, Some(1))), Some(4000));
    assert_eq!(from(Trigger::Row(18)), Some(5000));
    assert_eq!(from(Trigger::Row(9)), None);
    // What was there when the trainee came is there from then on; a state must be entered.
    assert_eq!(from(Trigger::Fault(Component::Pump)), Some(FIRST_TICK));
    assert_eq!(from(Trigger::State(State::Stopped)), Some(6000));
    assert_eq!(from(Trigger::After("a".into())), None);
}

#[test]
fn after_another_only_what_was_done_after_it_counts() {
    let rules = training(
        vec![
            expected("first", "reset", Trigger::Start),
            expected("then", "start", Trigger::After("first".into())),
        ],
        vec![],
    );
    // In one moment, in the wrong order; then in the right one.
    let wrong = [did(2000, Act::Start), did(2000, Act::Reset)];
    let right = [did(2000, Act::Reset), did(2000, Act::Start)];
    assert_eq!(of(&rules, &wrong, &[], 3000, true).points, 10);
    assert_eq!(of(&rules, &right, &[], 3000, true).points, 20);
}

#[test]
fn a_state_is_reached_from_what_sets_it_off_on() {
    let mut wanted = expected("home", "reset", Trigger::Row(18));
    wanted.wanted = Wanted::Reaches(State::Idle);
    let rules = training(vec![wanted], vec![]);
    let marks = |idle| {
        [
            marked(2000, SessionEvent::State(State::Idle)),
            marked(3000, SessionEvent::Row(18)),
            marked(idle, SessionEvent::State(State::Idle)),
        ]
    };
    assert_eq!(of(&rules, &[], &marks(9000), 20_000, true).points, 10);
    assert_eq!(of(&rules, &[], &marks(13_001), 20_000, true).points, 0);
}

#[test]
fn a_forbidden_act_costs_once_and_only_where_it_is_forbidden() {
    use twinplate_sim::model::Component;
    let cost = |when: While, log: &[Logged]| {
        let rules = training(
            vec![expected("reset", "reset", Trigger::Start)],
            vec![forbidden("start", when)],
        );
        let lost = of(&rules, log, &[], 50_000, true).losses;
        lost.iter().map(|loss| loss.points).sum::<u32>()
    };
    let twice = [did(2000, Act::Start), did(3000, Act::Start)];
    assert_eq!(cost(While::Always, &twice), 7);
    assert_eq!(cost(While::Always, &[did(2000, Act::Stop)]), 0);
    for (there, elsewhere) in [
        (While::Phase(Phase::Dwell), While::Phase(Phase::Lift)),
        (While::State(State::Running), While::State(State::Held)),
        (While::Plate(Plate::Contact), While::Plate(Plate::Parked)),
        // Bit 2 is the third row of the table; component 3 is the counterbalance.
        (While::Row(TABLE[2].id), While::Row(TABLE[3].id)),
        (
            While::Failing(Component::Counterbalance),
            While::Failing(Component::Pump),
        ),
    ] {
        assert_eq!(cost(there.clone(), &twice), 7, "{there:?}");
        assert_eq!(cost(elsewhere.clone(), &twice), 0, "{elsewhere:?}");
    }
    let before = [did(2000, Act::Start), did(2000, Act::Reset)];
    let after = [did(2000, Act::Reset), did(2000, Act::Start)];
    assert_eq!(cost(While::Before("reset".into()), &before), 7);
    assert_eq!(cost(While::Before("reset".into()), &after), 0);
    assert_eq!(cost(While::Before("reset".into()), &twice), 7);
    assert_eq!(cost(While::Since("reset".into()), &before), 0);
    assert_eq!(cost(While::Since("reset".into()), &after), 7);
    assert_eq!(cost(While::Since("reset".into()), &twice), 0);
    // Trying it counts.
    let mut refused = [did(2000, Act::Start)];
    refused[0].refused = Some("invented".into());
    assert_eq!(cost(While::Always, &refused), 7);
}

#[test]
fn harm_costs_each_kind_once_and_points_end_at_zero() {
    let rules = training(vec![expected("a", "reset", Trigger::Start)], vec![]);
    let log = [did(2000, Act::Reset)];
    let with = |harm: HarmDone| {
        score(&Record {
            words: english(),
            training: &rules,
            log: &log,
            marks: &[],
            harm,
            tick: 3000,
            over: true,
        })
    };
    let all = HarmDone {
        cracked: true,
        scored: true,
        carriers: true,
        undersize: true,
        oversize: true,
        danger: true,
        scratched: true,
    };
    let score = with(all);
    assert_eq!(score.harm.iter().map(|h| h.points).sum::<u32>(), 127);
    assert_eq!((score.points, score.passed()), (0, false));
    let cracked = HarmDone {
        cracked: true,
        ..HarmDone::default()
    };
    assert_eq!(with(cracked).points, 9);
    assert!(with(HarmDone::default()).passed());
}

/// What takes its time is done when it is done, not when it is asked for.
#[test]
fn what_takes_time_counts_when_it_is_done() {
    let rules = training(
        vec![
            expected("a", "reset", Trigger::Start),
            expected("b", "start", Trigger::After("a".into())),
        ],
        vec![],
    );
    let last = FIRST_TICK + 10_000;
    let log = |ended| {
        let mut log = [did(2000, Act::Reset), did(last, Act::Start)];
        log[0].ended = Some(ended);
        log
    };
    let outcomes = |ended| of(&rules, &log(ended), &[], last + 5, true).outcomes;
    let [first, second] = outcomes(last).try_into().expect("two");
    assert_eq!((first.done, first.standing), (Some(last), Standing::Met));
    assert_eq!(second.standing, Standing::Met);
    let [first, second] = outcomes(last + 1).try_into().expect("two");
    assert_eq!(first.standing, Standing::Late);
    assert_eq!(second.standing, Standing::Missed, "it came before");
}

#[test]
fn a_needless_remedy_costs_once() {
    let rules = training(vec![expected("a", "reset", Trigger::Start)], vec![]);
    let remedy = || {
        let mut logged = did(
            2500,
            Act::Remedy {
                component: "pump".into(),
            },
        );
        logged.needless = true;
        logged
    };
    let log = [did(2000, Act::Reset), remedy(), remedy()];
    assert_eq!(of(&rules, &log, &[], 3000, true).points, 7);
}

#[test]
fn parameters_of_an_act_are_matched_or_excluded() {
    let confirm = Act::ConfirmParts { pieces: 15 };
    let mut wanted = pattern("confirm-parts");
    assert!(wanted.matches(&confirm, None) && !wanted.matches(&Act::Reset, None));
    wanted.pieces = Some(15);
    assert!(wanted.matches(&confirm, None));
    wanted.pieces = Some(14);
    assert!(!wanted.matches(&confirm, None));
    wanted.pieces = None;
    wanted.not_pieces = Some(15);
    assert!(!wanted.matches(&confirm, None));
    let mut key = pattern("setup-key");
    key.on = Some(true);
    assert!(
        key.matches(&Act::SetupKey { on: true }, None)
            && !key.matches(&Act::SetupKey { on: false }, None)
    );
    let mut form = pattern("report-form");
    form.convex = [Some(true), None];
    let report = |lower: f64| Act::ReportForm {
        by: "bands".into(),
        lower,
        upper: -1.0,
    };
    assert!(form.matches(&report(0.5), None) && !form.matches(&report(-0.5), None));
    form.convex = [None, Some(true)];
    assert!(!form.matches(&report(0.5), None));
    // As it was read: lower 0.5 µm hollow and upper 1 µm, within 0.2 µm.
    form.convex = [None; 2];
    form.as_read = Some(2e-7);
    let read = Some([-5e-7, -1e-6]);
    assert!(form.matches(&report(-0.5), read) && form.matches(&report(-0.65), read));
    assert!(!form.matches(&report(0.5), read) && !form.matches(&report(-0.75), read));
    assert!(!form.matches(&report(-0.5), None), "nobody read it");
    let mut remedy = pattern("remedy");
    remedy.component = Some(twinplate_sim::model::Component::Supply);
    let of = |component: &str| Act::Remedy {
        component: component.into(),
    };
    assert!(remedy.matches(&of("air-supply"), None) && !remedy.matches(&of("pump"), None));
}

/// An attempt at what was drawn: these components fail.
fn assessed(truth: &[Component]) -> Training {
    let mut rules = training(
        vec![expected("go", "start", Trigger::Start)],
        vec![forbidden("reset", While::Always)],
    );
    rules.assessed = Some(Assessed {
        drawn: String::new(),
        truth: truth.to_vec(),
        diagnosis: 40,
        needless_stop: 30,
    });
    rules
}

fn said(component: &str, failing: &[Component]) -> Logged {
    let mut logged = did(
        2000,
        Act::Diagnose {
            component: component.into(),
        },
    );
    logged.place.failing = failing.iter().map(|one| 1 << *one as u64).sum();
    logged
}

fn losses(rules: &Training, log: &[Logged], over: bool) -> Vec<(String, u32)> {
    let score = score(&Record {
        words: english(),
        training: rules,
        log,
        marks: &[],
        harm: HarmDone::default(),
        tick: 3000,
        over,
    });
    let lost = score.losses.iter();
    lost.map(|loss| (loss.id.clone(), loss.points)).collect()
}

/// The first diagnosis counts, and is right when it names what fails at that moment; where nothing fails, when it names nothing.
#[test]
fn a_diagnosis_is_right_when_it_names_what_fails() {
    let pump = [Component::Pump];
    let wrong = vec![("diagnosis".to_owned(), 40)];
    let rules = assessed(&pump);
    assert_eq!(losses(&rules, &[said("pump", &pump)], true), []);
    assert_eq!(losses(&rules, &[said("gauge", &pump)], true), wrong);
    assert_eq!(losses(&rules, &[said("nothing", &pump)], true), wrong);
    assert_eq!(
        losses(&rules, &[said("pump", &[])], true),
        wrong,
        "too early"
    );
    assert_eq!(losses(&rules, &[], true), wrong);
    let second = [said("gauge", &pump), said("pump", &pump)];
    assert_eq!(losses(&rules, &second, true), wrong, "the first counts");
    assert_eq!(losses(&rules, &[], false), [], "there is time yet");
    let whole = assessed(&[]);
    assert_eq!(losses(&whole, &[], true), []);
    assert_eq!(losses(&whole, &[said("nothing", &[])], true), []);
    assert_eq!(losses(&whole, &[said("pump", &[])], true), wrong);
}

/// In practice a breach costs once. Assessed, each does, and so does each emergency stop unless the exercise asks for one.
#[test]
fn assessed_each_breach_costs() {
    let twice = [
        did(1000, Act::Reset),
        did(1001, Act::Reset),
        did(1002, Act::PressEmergencyStop),
        did(1003, Act::PressEmergencyStop),
    ];
    let mut rules = assessed(&[]);
    let ids = |rules: &Training| -> Vec<String> {
        let lost = losses(rules, &twice, true);
        lost.into_iter().map(|(id, _)| id).collect()
    };
    assert_eq!(
        ids(&rules),
        ["reset", "reset", "needless-stop", "needless-stop"]
    );
    let asked = expected("stop", "press-emergency-stop", Trigger::Start);
    rules.expected.push(asked);
    assert_eq!(ids(&rules), ["reset", "reset"]);
    rules.assessed = None;
    assert_eq!(ids(&rules), ["reset"]);
}

/// Every remedy of something whole costs where it is assessed; the first alone in practice.
#[test]
fn assessed_each_needless_remedy_costs() {
    let mut remedy = did(
        1000,
        Act::Remedy {
            component: "pump".into(),
        },
    );
    remedy.needless = true;
    let log = [remedy.clone(), remedy];
    let mut rules = assessed(&[]);
    assert_eq!(losses(&rules, &log, true).len(), 2);
    rules.assessed = None;
    assert_eq!(losses(&rules, &log, true).len(), 1);
}
