//! The loop as a whole: how it closes, what bounds its command, what it makes of a seat.

use super::*;

/// A regulator, a cylinder and a cell: dead time, lag and filter as declared, on a line of its own.
struct Machine {
    commands: Vec<f32>,
    load: f64,
    filter: Biquad,
    rests: f64,
}

impl Machine {
    /// Vented and at rest.
    fn resting_with(rests: f64) -> Self {
        let mut filter = Biquad::low_pass(Hertz::new(15.0));
        filter.settle_at(rests as f32);
        Self {
            commands: Vec::from([0.0; 19]),
            load: rests,
            filter,
            rests,
        }
    }

    /// The load one tick after this command: it arrives 20 ticks later, and the lag is 0.12 s.
    fn answer(&mut self, command: Fraction) -> f32 {
        self.commands.push(command.get());
        let arrived = f64::from(self.commands[self.commands.len() - 20]);
        let settles = self.rests + 825.0 * arrived;
        self.load += (settles - self.load) * (1.0 - (-0.001_f64 / 0.12).exp());
        self.filter.step(self.load as f32)
    }
}

fn held() -> LoadLoop {
    LoadLoop::new(&checked(|_| {}))
}

/// Closed on a load that never moves, for so many ticks.
fn hold(held: &mut LoadLoop, goal: LoopGoal, load: f32, ticks: u32) {
    for _ in 0..ticks {
        held.step(goal, Newtons::new(load));
    }
}

/// From the load and the command that are there; but the reference never from above the load that is wanted, nor from below nothing.
/// However often, and whatever was held before.
#[test]
fn a_loop_closes_without_a_bump_where_the_load_is() {
    let mut held = held();
    for (load, target, start) in [
        (100.0, 150.0, 100.0),
        (60.0, 400.0, 60.0),
        (900.0, 150.0, 150.0),
        (-1.0, 150.0, 0.0),
        (80.0, 150.0, 80.0),
    ] {
        let first = held.step(to(target, 50.0, 800.0), Newtons::new(load)).get();
        // A tick of the ramp is 0.05 N.
        let began = held.reference().get();
        assert!((began - start).abs() <= 0.051, "{load} N: from {began} N");
        // The first of the line, and the part of an error that was there before.
        let due = math::max(0.05 / 825.0 + 0.0015 * (start - load), 0.0);
        assert!((first - due).abs() < 2e-5, "{load} N: {first}, not {due}");
        hold(
            &mut held,
            to(target, 50.0, 800.0),
            math::max(load, 0.0),
            3_000,
        );
        assert!(held.command().get() > 0.0 || load > target, "it held");
        assert!(held.step(LoopGoal::Open, Newtons::new(load)).get() <= 0.0);
        assert!(held.command().get() <= 0.0 && held.bound().get() <= 0.0);
        assert!((held.reference().get() - load).abs() < f32::EPSILON);
    }
}

/// Model following: on a machine that is as declared there is no error to act on, neither in the ramp nor after it. The command is the
/// line's, and the load ends at its target from one side.
#[test]
fn on_a_machine_as_declared_the_command_is_the_line_of_the_reference() {
    let (mut held, mut machine) = (held(), Machine::resting_with(60.0));
    let (mut load, mut last) = (60.0, 60.0);
    for tick in 0..9_000 {
        let target = if tick < 6_000 { 300.0 } else { 200.0 };
        let command = held.step(to(target, 50.0, 800.0), Newtons::new(load));
        let line = (held.reference().get() - 60.0) / 825.0;
        assert!(
            (command.get() - line).abs() < 2e-5,
            "{} for {line} in tick {tick}",
            command.get()
        );
        load = machine.answer(command);
        let onwards = if tick < 6_000 {
            load - last
        } else {
            last - load
        };
        assert!(
            onwards > -0.01 || (6_000..6_300).contains(&tick),
            "tick {tick}"
        );
        last = load;
    }
    assert!((load - 200.0).abs() < 0.05, "{load} N");
}

/// 4 full commands a second: 0.004 in a tick, up and down, and as fast as that where it is far behind.
#[test]
fn a_command_changes_no_faster_than_the_regulator_may() {
    let mut held = held();
    let mut last = held.step(to(150.0, 1e6, 800.0), Newtons::new(60.0)).get();
    for (load, target, moves, ticks) in [(60.0, 700.0, 0.004, 100), (900.0, 100.0, -0.004, 150)] {
        for tick in 0..ticks {
            let command = held.step(to(target, 1e6, 800.0), Newtons::new(load)).get();
            let moved = command - last;
            assert!(moved.abs() < 0.004 + 1e-6, "{moved} in tick {tick}");
            // Down only as far as there is a command.
            if tick > 50 && command > 0.0 {
                assert!((moved - moves).abs() < 1e-6, "{moved} in tick {tick}");
            }
            last = command;
        }
    }
    assert!(last <= 0.0, "all of it is gone");
}

/// A load that never comes lets the loop ask for all it may: the governor's bound, and not a hair more, at once and after a minute. The
/// integral has not run away meanwhile: what is too much is taken back in the same second.
#[test]
fn a_command_is_never_above_the_bound_and_does_not_wind_up_there() {
    let mut held = held();
    for limit in [200.0, 350.0] {
        let bound = (limit - 12.0 - 60.0) / (825.0 * 1.05);
        for tick in 0..60_000 {
            let command = held.step(to(700.0, 50.0, limit), Newtons::new(100.0));
            assert!(command <= held.bound(), "tick {tick}");
        }
        assert!((held.bound().get() - bound).abs() < 1e-5);
        assert!((held.command().get() - bound).abs() < 1e-5);
    }
    hold(&mut held, to(300.0, 1e6, 350.0), 400.0, 1_000);
    assert!(held.command().get() <= 0.0, "let go within a second");
}

/// Within half a jump of the regulator, 1 N, the integral rests for good; beyond it, it acts.
#[test]
fn an_error_within_the_dead_band_is_left_alone() {
    for (off, acts) in [(-1.0, false), (1.0, false), (-1.01, true), (1.01, true)] {
        let mut held = held();
        let goal = to(150.0, 50.0, 800.0);
        let mut machine = Machine::resting_with(60.0);
        let mut load = 60.0;
        for _ in 0..6_000 {
            load = machine.answer(held.step(goal, Newtons::new(load)));
        }
        let mut put = || {
            // Off what is expected, exactly.
            let expected = held.model.clone().step(150.0);
            held.step(goal, Newtons::new(expected + off)).get()
        };
        let first = put();
        let moved = (0..1_000).fold(0.0, |_, _| put()) - first;
        // 1.01 N × 0.0015 /N × 1 s / 0.12 s.
        let due = if acts { -off * 0.0125 } else { 0.0 };
        assert!((moved - due).abs() < 5e-4, "{off} N: {moved}, not {due}");
    }
}

/// On a machine that rests with 30 N more than declared: its seat is what was measured there, taking it moves nothing, and from then on
/// its line is the machine's own and the governor's bound goes through it. Forgotten, all is as declared again.
#[test]
fn a_seat_is_what_was_measured_and_is_taken_without_a_bump() {
    let (mut held, mut machine) = (held(), Machine::resting_with(90.0));
    let mut load = 90.0;
    let goal = |target| to(target, 50.0, 800.0);
    for _ in 0..8_000 {
        load = machine.answer(held.step(goal(150.0), Newtons::new(load)));
    }
    let mut unseated = held.clone();
    held.take_seat();
    let seat = held.seat().expect("taken");
    assert!((seat.load.get() - 150.0).abs() < 1.1, "{seat:?}");
    let line = (seat.load.get() - 90.0) / 825.0;
    assert!((seat.command.get() - line).abs() < 1e-4, "{seat:?}");
    let bump = held.step(goal(150.0), Newtons::new(load)).get()
        - unseated.step(goal(150.0), Newtons::new(load)).get();
    assert!(bump.abs() < 1e-6, "{bump}");
    let worst = |u: f32| seat.load.get() + 825.0 * 1.05 * (u - seat.command.get()) + 12.0;
    assert!((worst(held.bound().get()) - 800.0).abs() < 0.01);
    assert!(held.bound() < unseated.bound(), "of 30 N it did not know");
    held.leave_seat();
    assert_eq!(held.seat(), None);
    held.step(goal(150.0), Newtons::new(load));
    assert_eq!(held.bound(), unseated.bound());
}

/// About a quarter of a second of load and of command, from where the loop was closed and from nothing before that.
#[test]
fn a_seat_averages_a_quarter_of_a_second_since_the_loop_closed() {
    let mut held = held();
    let goal = to(300.0, 1e6, 800.0);
    let seat = |held: &LoadLoop| {
        let mut held = held.clone();
        held.take_seat();
        let seat = held.seat().expect("taken");
        (seat.load.get(), seat.command.get())
    };
    hold(&mut held, goal, 200.0, 5_000);
    assert!((seat(&held).0 - 200.0).abs() < 0.01);
    held.step(LoopGoal::Open, Newtons::new(100.0));
    held.step(goal, Newtons::new(100.0));
    let (load, command) = seat(&held);
    assert!((load - 100.0).abs() < 0.01, "{load} N");
    assert!(command < 1e-4, "{command}: nothing was asked yet");
    // A jump of the load, and the commands that follow it: after 256 ticks all but 1/e of what is older is forgotten.
    let (mut weighed, mut weight) = (0.0, 0.0);
    let commands: Vec<f32> = (0..256)
        .map(|_| held.step(goal, Newtons::new(200.0)).get())
        .collect();
    for (age, command) in commands.iter().rev().enumerate() {
        let share = (-(age as f64) / 256.0).exp() / 256.0;
        weighed += share * f64::from(*command);
        weight += share;
    }
    assert!((weight - 0.632).abs() < 0.002);
    let (load, command) = seat(&held);
    assert!((load - 163.2).abs() < 0.3, "{load} N");
    assert!(
        (f64::from(command) - weighed).abs() < 2e-3 * weighed,
        "{command}"
    );
}
