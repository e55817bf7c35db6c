//! Whole cycles: what they pass, what is written down, what counts and limits do on the way, and how phases are timed.

use super::rig::{Rig, good_cycle, hasty};
use crate::controller::form::thousandths;
use crate::events::EventKind;
use crate::interlock::Cond;
use crate::judge::STOP_LINE_TIME;
use crate::params::RAMP_SPARE;
use crate::sequence::{Command, Phase, Plate, Refusal, Request, State};
use crate::signal::TARE_TICKS;
use crate::units::{Newtons, Ticks};
use std::vec::Vec;

/// Phases of the sample recipe and the step they belong to: two steps in one direction, the third in the other.
const LADDER: [(u8, Phase); 20] = [
    (0, Phase::Precheck),
    (0, Phase::Lower),
    (0, Phase::TouchDown),
    (0, Phase::SlurryPrestart),
    (0, Phase::RunUp),
    (0, Phase::LoadRamp),
    (0, Phase::Dwell),
    (1, Phase::LoadRamp),
    (1, Phase::Dwell),
    (1, Phase::LoadRelease),
    (1, Phase::RunDown),
    (2, Phase::RunUp),
    (2, Phase::LoadRamp),
    (2, Phase::Dwell),
    (2, Phase::LoadRelease),
    (2, Phase::Rinse),
    (2, Phase::RunDown),
    (2, Phase::SlurryStop),
    (2, Phase::Lift),
    (2, Phase::Rest),
];

fn rows(bits: u64) -> u64 {
    // The form's age is told all the time where nobody measures, and is no news.
    bits & !Cond::FormOverdue.bit()
}

#[test]
fn a_good_cycle_climbs_the_ladder_and_tells_what_happened_once_each() {
    let cycle = good_cycle();
    let seen: Vec<(u8, Phase)> = cycle
        .iter()
        .map(|rig| (rig.c.status.step, rig.c.status.phase))
        .collect();
    assert_eq!(seen, LADDER);
    for rig in cycle {
        assert_eq!(rows(rig.c.status.latched), 0, "{:?}", rig.c.status);
        assert_eq!(rig.c.status.cause, 0);
        if rig.c.status.phase == Phase::LoadRamp {
            assert_eq!(rig.c.status.step_time, Ticks::ZERO, "a step begins");
        }
    }
    let last = &cycle[cycle.len() - 1];
    assert_eq!(last.c.status.state, State::Complete);
    let mut events = last.events();
    // Each change of place is told in its tick, with the place.
    let moved: Vec<_> = events
        .iter()
        .filter(|event| event.kind == EventKind::Moved)
        .map(|event| (event.tick, event.state, event.phase))
        .collect();
    let places: Vec<_> = cycle
        .iter()
        .map(|rig| {
            let s = &rig.c.status;
            (s.tick, s.state, s.phase)
        })
        .collect();
    assert_eq!(moved, places);
    events.retain(|event| event.kind != EventKind::Moved);
    let kinds: Vec<EventKind> = events.iter().map(|event| event.kind).collect();
    assert_eq!(
        kinds,
        [
            EventKind::Tared,
            EventKind::Seated,
            EventKind::Step,
            EventKind::Step,
            EventKind::Batch
        ]
    );
    let p = last.c.params.get();
    let milli = |n: Newtons| thousandths(n.get());
    let near = |index: usize, wanted: i32, most: i32| {
        let detail = events[index].detail;
        assert!((detail - wanted).abs() <= most, "{:?}", events[index]);
    };
    near(0, -milli(p.weight), 2);
    near(1, milli(p.initial), milli(p.band));
    for (index, detail) in [(2, 1), (3, 2), (4, 1)] {
        assert_eq!(events[index].detail, detail, "{:?}", events[index]);
    }
}

/// What is counted and what is forgotten from batch to batch.
#[test]
fn a_batch_counts_once_and_the_next_begins_at_the_first_step_with_another_count_and_tare() {
    let mut rig = good_cycle()[LADDER.len() - 1].clone();
    assert_eq!((rig.c.batches(), rig.c.pieces), (1, 0));
    assert_eq!(rig.c.status.step, 2);
    assert!(rig.c.status.step_time > Ticks::ZERO);
    rig.run(10);
    assert_eq!(rig.c.batches(), 1);
    rig.tell(Command::Reset);
    rig.mark();
    // A plate that hangs a little lighter than last time.
    rig.wrong = |i| i.cell_counts += 8_000;
    rig.tell(Command::Start);
    assert_eq!(rig.c.status.state, State::Running);
    assert_eq!((rig.c.status.step, rig.c.step), (0, 0));
    assert_eq!(rig.c.status.step_time, Ticks::ZERO);
    rig.run(TARE_TICKS + 2);
    // All but the parts, bit 6, which nobody has counted.
    assert_eq!(rig.c.status.phase, Phase::Precheck);
    assert_eq!(rig.c.status.missing, 1 << 6);
    rig.c.pieces = 15;
    rig.run(2);
    let tared = rig.told(EventKind::Tared);
    assert_eq!(tared.len(), 1);
    assert!(rig.c.load_loop.seat().is_none(), "it is sought anew");
    assert!((tared[0].1 + 568_000).abs() <= 2, "{tared:?}");
    // The count of batches goes round.
    let mut rig = Rig::at(2, Phase::Lift);
    rig.c.batches = u16::MAX;
    rig.until_state(State::Complete);
    assert_eq!(rig.c.batches(), 0);
    assert_eq!(rig.told(EventKind::Batch), [(0, 0)]);
}

/// Parts that were counted are counted anew after a stop of either kind, and a count after it stays through raise and reset.
#[test]
fn a_stop_forgets_the_count_of_parts_and_a_raise_does_not() {
    for (command, end) in [
        (Command::Stop, State::Stopped),
        (Command::Abort, State::Aborted),
    ] {
        let mut rig = Rig::at(0, Phase::TouchDown);
        rig.run(50);
        assert_eq!(rig.c.pieces, 15);
        rig.tell(command);
        rig.until_state(end);
        assert_eq!(rig.c.pieces, 0, "{end:?}");
        rig.ask(Request::ConfirmParts { pieces: 9 });
        rig.run(300);
        rig.tell(Command::Reset);
        rig.ask(Request::Raise);
        rig.tick();
        assert_eq!(rig.c.status.phase, Phase::Lift);
        rig.until_phase(Phase::Rest);
        rig.run(20);
        rig.tell(Command::Reset);
        assert_eq!(rig.c.status.state, State::Idle);
        assert_eq!(rig.c.pieces, 9, "{end:?}");
    }
}

/// The limit of a step that asks for less comes into force when its load is down; one that is higher at once.
#[test]
fn a_lower_limit_comes_into_force_when_the_load_is_down() {
    let mut rig = Rig::at(1, Phase::LoadRamp);
    let band = rig.c.params.band(Newtons::new(200.0)).get();
    let before = rig.clone();
    let limit = |rig: &Rig| rig.c.status.load_limit.get();
    let waited = rig.until(|c| c.status.load_limit.get() < 300.0);
    assert!(waited > 50, "after {waited} ticks");
    assert!((limit(&rig) - 290.0).abs() < 0.01);
    assert!((limit(&before) - 350.0).abs() < 0.01);
    // Just there, and one float above it.
    let edge = 200.0 + band;
    for (load, there) in [(edge, true), (f32::from_bits(edge.to_bits() + 1), false)] {
        let mut c = before.c.clone();
        let wanted = if there { 290.0 } else { 350.0 };
        assert!((c.load_limit(load).get() - wanted).abs() < 0.01, "{load}");
        // What has come into force stays in force when the load rises again.
        assert!((c.load_limit(280.0).get() - wanted).abs() < 0.01, "{load}");
    }
    let mut c = before.c;
    c.old_limit = Some(Newtons::new(280.0));
    assert!((c.load_limit(400.0).get() - 290.0).abs() < 0.01);
    // A cycle that begins has no step before it.
    let mut rig = Rig::idle();
    rig.c.old_limit = Some(Newtons::new(800.0));
    rig.tell(Command::Start);
    assert!((rig.c.load_limit(500.0).get() - 350.0).abs() < 0.01);
}

/// The tare is learned by a cycle that runs: ticks of a restart do not count.
#[test]
fn the_tare_is_learned_while_running_alone() {
    let mut rig = Rig::idle();
    rig.tell(Command::Start);
    rig.run(100);
    rig.tell(Command::Hold);
    rig.until_state(State::Held);
    rig.run(300);
    // An empty tank keeps the restart in its precheck; it is topped up before the row asks.
    rig.wrong = |i| i.tank_level.value = 0;
    rig.tell(Command::Restart);
    rig.run(TARE_TICKS);
    assert_eq!(rig.c.status.state, State::Restarting);
    assert_eq!(rig.c.status.missing, 1 << 3);
    rig.wrong = |i| i.tank_level.value = 1_000;
    rig.until_state(State::Running);
    assert_eq!(rig.c.status.phase, Phase::Precheck);
    let waited = rig.until_phase(Phase::Lower);
    assert!(
        waited > TARE_TICKS - 110 && waited <= TARE_TICKS,
        "{waited}"
    );
}

/// A restart goes on with the tare and the seat of its cycle; a stop takes no seat.
#[test]
fn tare_and_seat_are_taken_once_a_cycle() {
    let mut rig = Rig::at(0, Phase::Dwell);
    let seat = rig.c.load_loop.seat();
    assert!(seat.is_some());
    rig.tell(Command::Hold);
    rig.until_state(State::Held);
    rig.run(300);
    rig.tell(Command::Restart);
    rig.until_state(State::Running);
    assert_eq!(rig.c.status.phase, Phase::Dwell);
    assert_eq!(rig.c.load_loop.seat(), seat);
    assert_eq!(rig.told(EventKind::Tared), []);
    assert_eq!(rig.told(EventKind::Seated), []);
    let mut rig = Rig::at(0, Phase::TouchDown);
    rig.run(50);
    rig.tell(Command::Stop);
    rig.until_state(State::Stopped);
    assert_eq!(rig.told(EventKind::Seated), []);
}

/// A recipe without a rinse goes from its last step straight to the run-down.
#[test]
fn a_recipe_without_a_rinse_has_no_such_phase() {
    let mut rig = Rig::at(2, Phase::LoadRelease);
    let mut dry = super::rig::recipe(&rig.c.params);
    dry.rinse = Ticks::ZERO;
    rig.c.recipe = dry.check(&rig.c.params).ok();
    assert!(rig.c.recipe.is_some());
    rig.until(|c| c.status.phase != Phase::LoadRelease);
    assert_eq!(rig.c.status.phase, Phase::RunDown);
}

/// A precheck that is not done in its time says what is missing; no other row and no other phase does.
#[test]
fn a_precheck_that_takes_too_long_tells_what_is_missing() {
    let missing = |phase: Phase, short: bool| {
        let mut rig = Rig::at(0, phase);
        rig.wrong = |i| {
            i.arm_home = false;
            i.supply_pressure = 0;
        };
        let (height, lowest) = (rig.height, rig.c.lowest());
        let time = if short { Some(5) } else { None };
        rig.c.judge.enter(phase, height, lowest, time);
        rig.until(|c| rows(c.status.latched | c.status.active) != 0);
        assert_eq!(rig.told(EventKind::Condition).len(), 1);
        (rig.c.status.latched, rig.told(EventKind::Missing))
    };
    let timeout = Cond::PhaseTimeout.bit();
    // Supply, arm and tare: bits 1, 5 and 7.
    let told = std::vec![(42, 1 << 1 | 1 << 5 | 1 << 7)];
    assert_eq!(missing(Phase::Precheck, true), (timeout, told));
    assert_eq!(missing(Phase::Lower, true), (timeout, Vec::new()));
    let (rows, told) = missing(Phase::Precheck, false);
    assert_eq!((rows & timeout, told), (0, Vec::new()));
}

/// A refused command is told with its reason, and nothing else comes of it.
#[test]
fn a_refused_command_is_told_and_changes_nothing() {
    for (command, refusal) in [
        (Command::Start, Refusal::WrongState),
        (Command::Restart, Refusal::WrongState),
        (Command::Reset, Refusal::WrongState),
    ] {
        let mut rig = Rig::at(0, Phase::Dwell);
        rig.tell(command);
        assert_eq!(rig.events().len(), 1);
        assert_eq!(
            rig.told(EventKind::Refused),
            [(0, i32::from(refusal as u16))]
        );
        assert_eq!(rig.c.status.phase, Phase::Dwell);
    }
}

/// Power-up is told once, with the number of the boot, and finds the plate where pin and cell say: over the threshold it rests on
/// parts, at it it does not.
#[test]
fn power_up_finds_the_plate_and_is_told_once() {
    let contact = hasty().contact.get();
    for (parked, load, plate) in [
        (true, 0.0, Plate::Parked),
        (false, 0.0, Plate::Air),
        (false, contact, Plate::Air),
        (false, contact * 1.01, Plate::Contact),
    ] {
        let mut rig = Rig::new(hasty());
        rig.c.boot(parked, load);
        assert_eq!(rig.c.seq.plate, plate, "{load}");
    }
    let mut rig = Rig::new(hasty());
    rig.run(50);
    assert_eq!(rig.told(EventKind::Boot), [(0, 7)]);
    assert_eq!(rig.events().len(), 1);
    assert_eq!(rig.c.status.state, State::Stopped);
    assert!(rig.c.outputs.agitator, "what Stopped asks for");
    for (load, plate) in [(0.0, Plate::Air), (60.0, Plate::Contact)] {
        let mut rig = Rig::new(hasty());
        rig.i.pin_in = false;
        rig.i.cell_counts = super::counts(load);
        let (i, c) = (rig.i, &mut rig.c);
        c.tick(&i, None);
        assert_eq!(c.status.plate, plate);
    }
}

/// Powered up in its place a controller knows nothing of what it was: it is the one that is made new.
#[test]
fn powered_up_in_its_place_it_is_as_new() {
    let mut rig = Rig::idle();
    rig.run(500);
    let params = rig.c.params.clone();
    let new = crate::controller::Controller::new(params.clone(), 3);
    let told = |controller: &crate::controller::Controller| std::format!("{controller:?}");
    assert_ne!(told(&rig.c), told(&new));
    rig.c.power_up(params, 3);
    assert_eq!(told(&rig.c), told(&new));
}

/// The count of ticks goes round, and what happens is told with it.
#[test]
fn the_count_of_ticks_goes_up_by_one_and_round() {
    let mut rig = Rig::idle();
    rig.c.set_tick(Ticks(u32::MAX - 1));
    for tick in [u32::MAX, 0, 1] {
        rig.tick();
        assert_eq!(rig.c.status.tick, Ticks(tick));
    }
    rig.mark();
    rig.tell(Command::Start);
    assert_eq!(rig.events()[0].tick, Ticks(2));
}

/// A hold is timed from Held on: no longer, and no shorter, wherever it came from.
#[test]
fn a_hold_may_last_as_long_as_the_machine_allows_from_held_on() {
    for phase in [Phase::Lower, Phase::SlurryStop] {
        let step = if phase == Phase::Lower { 0 } else { 2 };
        let mut rig = Rig::at(step, phase);
        rig.run(20);
        rig.tell(Command::Hold);
        rig.until_state(State::Held);
        let waited = rig.until_state(State::Stopping);
        assert_eq!(waited, hasty().hold_time.0 + 1, "{phase:?}");
        assert!(rig.c.status.latched & Cond::HoldTimeout.bit() != 0);
    }
}

/// A stop that finds a phase under way which it goes on with does not give it its time again.
#[test]
fn what_a_stop_finds_under_way_keeps_its_time() {
    // Drives that never come to rest.
    let mut rig = Rig::at(2, Phase::RunDown);
    rig.wrong = |i| i.drives[0].speed = 30;
    rig.run(1_000);
    rig.tell(Command::Hold);
    assert_eq!(rig.c.status.state, State::Holding);
    assert_eq!(rig.c.status.phase, Phase::RunDown);
    let waited = rig.until(|c| c.status.latched & Cond::PhaseTimeout.bit() != 0);
    // Half as much again as the ramp over 10 rpm takes, and the spare.
    let most = RAMP_SPARE + 150 + 2;
    assert!(
        waited + 1_001 <= most && waited + 1_001 > RAMP_SPARE,
        "{waited}"
    );
    // A line that never empties holds a stop up for its time, and no longer.
    let mut rig = Rig::at(2, Phase::SlurryStop);
    rig.wrong = |i| i.slurry_flow = 100;
    rig.run(1_000);
    rig.tell(Command::Stop);
    assert_eq!(rig.c.status.phase, Phase::SlurryStop);
    let waited = rig.until_state(State::Stopped);
    assert!(waited + 1_001 <= STOP_LINE_TIME + 2, "{waited}");
}
