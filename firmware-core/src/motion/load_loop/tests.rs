//! The rules of the load loop, each part alone and the whole on a machine that is as declared. How well it holds a machine that is not is
//! a matter of the closed-loop properties, and of the published loops that its PI is measured by.
#![allow(clippy::cast_possible_truncation, clippy::cast_precision_loss)] // ticks and newtons of the sample machine

mod whole;

use super::*;
use crate::params::ParamsWire;
use crate::params::tests::sample;
use crate::units::{Hertz, Ticks};
use std::vec::Vec;

fn checked(change: impl FnOnce(&mut ParamsWire)) -> CheckedParams {
    let mut wire = sample();
    change(&mut wire);
    wire.check().expect("valid")
}

fn to(target: f32, rate: f32, limit: f32) -> LoopGoal {
    LoopGoal::Closed {
        target: Newtons::new(target),
        rate: NewtonsPerSecond::new(rate),
        limit: Newtons::new(limit),
    }
}

/// Gain 0.002 a newton, a tick over the integral time 0.002, half of the reference.
fn pi() -> Pi {
    Pi::new(PerNewton::new(0.002), Seconds::new(0.5), Ratio::new(0.5))
}

/// The integral: what is put out where nothing is asked or measured.
fn integral(pi: &Pi) -> f32 {
    pi.output(0.0, 0.0, 0.0)
}

#[test]
fn a_pi_puts_out_its_feedforward_its_weighted_error_and_its_integral() {
    let mut pi = pi();
    pi.preset(0.0, 0.0, 0.0, 0.25);
    for (reference, measured, feedforward, wanted) in [
        (0.0, 0.0, 0.0, 0.25),
        (0.0, 0.0, 0.1, 0.35),
        (200.0, 0.0, 0.0, 0.45),
        (0.0, 50.0, 0.0, 0.15),
        (200.0, 150.0, 0.1, 0.25),
    ] {
        let put = pi.output(reference, measured, feedforward);
        assert!((put - wanted).abs() < 1e-6, "{put} for {wanted}");
    }
}

/// A tick's share of the error; and of what the limits took away, as much as they took. What pushes further into the limit that holds is
/// left out, what leads out of it is not.
#[test]
fn an_integral_never_moves_further_into_the_limit_that_holds() {
    let push = 0.002 * 0.002 * 100.0;
    let back = 0.002 * 0.1;
    for (error, wanted, given, moves) in [
        (100.0, 0.5, 0.5, push),
        (-100.0, 0.5, 0.5, -push),
        (0.0, 0.5, 0.5, 0.0),
        // Held from above.
        (100.0, 0.6, 0.5, -back),
        (-100.0, 0.6, 0.5, -back - push),
        // Held from below.
        (-100.0, 0.4, 0.5, back),
        (100.0, 0.4, 0.5, back + push),
    ] {
        let mut pi = pi();
        pi.preset(0.0, 0.0, 0.0, 0.25);
        pi.integrate(300.0, 300.0 - error, wanted, given);
        let moved = integral(&pi) - 0.25;
        assert!(
            (moved - moves).abs() < 1e-7,
            "{moved}, not {moves}: error {error} N, {given} of {wanted}"
        );
    }
}

/// Whatever went before: the next output is the command that is in force.
#[test]
fn a_preset_makes_the_next_output_the_command_in_force() {
    let mut pi = pi();
    for (reference, measured, feedforward, command) in [
        (150.0, 150.0, 0.1, 0.0),
        (300.0, 100.0, 0.3, 0.7),
        (0.0, 400.0, -0.1, 0.2),
    ] {
        pi.preset(reference, measured, feedforward, command);
        let put = pi.output(reference, measured, feedforward);
        assert!((put - command).abs() < 1e-6, "{put} for {command}");
    }
}

/// A reference that jumps: nothing for the dead time, to the tick; then the first-order answer, exact for a value held over a tick; and
/// all of it through the load's own filter.
#[test]
fn the_model_follows_the_declared_dead_time_and_lag_exactly() {
    for (dead, lag) in [(0, 0.12), (1, 0.03), (20, 0.12), (64, 0.5), (127, 0.25)] {
        let params = checked(|p| {
            p.dead_time = Ticks(dead);
            p.lag = Seconds::new(lag);
        });
        let mut model = Model::new(&params);
        model.settle_at(100.0);
        let mut filter = Biquad::low_pass(Hertz::new(15.0));
        filter.settle_at(100.0);
        for tick in 0..1_000_u32 {
            let since = (i64::from(tick) - i64::from(dead) + 1).max(0);
            let gone = 1.0 - (-0.001 * since as f64 / f64::from(lag)).exp();
            let expected = filter.step((100.0 + 200.0 * gone) as f32);
            let got = model.step(300.0);
            assert!(
                (got - expected).abs() < 5e-3,
                "{dead} ticks, {lag} s: {got}, not {expected} in tick {tick}"
            );
        }
    }
}

/// Nothing of what went before comes out any more.
#[test]
fn a_model_that_is_settled_rests_there() {
    let mut model = Model::new(&checked(|_| {}));
    for _ in 0..300 {
        model.step(700.0);
    }
    model.settle_at(150.0);
    for tick in 0..300 {
        let now = model.step(150.0);
        assert!((now - 150.0).abs() < 5e-3, "{now} N after {tick} ticks");
    }
}

/// Before the seat `(r - N_rest)/G`, after it `u_seat + (r - y_seat)/G`: docs/load-loop.md. The sample rests with 60 N, and 825 N are a
/// full command.
#[test]
fn the_feedforward_is_the_inverse_of_the_line_through_rest_or_seat() {
    let mut held = LoadLoop::new(&checked(|_| {}));
    for (seat, points) in [
        (None, [(60.0, 0.0), (885.0, 1.0), (142.5, 0.1)]),
        (
            Some(Seat {
                load: Newtons::new(150.0),
                command: Fraction::new(0.2),
            }),
            [(150.0, 0.2), (562.5, 0.7), (67.5, 0.1)],
        ),
    ] {
        held.seat = seat;
        for (reference, command) in points {
            let put = held.feedforward(reference);
            assert!((put - command).abs() < 1e-6, "{put} for {reference} N");
        }
    }
}

/// Each thing that the loop remembers and gives must be a number, whichever of them is not.
#[test]
fn a_loop_is_finite_while_command_integral_and_reference_are() {
    let mut sound = LoadLoop::new(&checked(|_| {}));
    sound.step(to(150.0, 50.0, 300.0), Newtons::new(100.0));
    assert!(sound.is_finite());
    for bad in [f32::NAN, f32::INFINITY, f32::NEG_INFINITY] {
        for poison in [
            (|l, x| l.command = x) as fn(&mut LoadLoop, f32),
            |l, x| l.pi.integral = x,
            |l, x| l.ramp = Ramp::at(x),
        ] {
            let mut broken = sound.clone();
            poison(&mut broken, bad);
            assert!(!broken.is_finite(), "{bad}");
        }
    }
}
