//! Claims whose limit is a number of the machine file.

use super::ran::{Deed, Ran, Set, lifted};
use super::{Claim, claim, nominal};
use firmware_core::interlock::Cond;
use firmware_core::sequence::{Command, Phase, State};
use firmware_core::status::Status;
use twinplate_check::case::BRAKING_TIME;
use twinplate_check::coast::longest_coast;
use twinplate_check::predict::predict;
use twinplate_check::{Case, Code};
use twinplate_sim::bench::Action;
use twinplate_sim::compile::{CONTACT_SHARE, default_gains};
use twinplate_sim::model::{
    Batch, Component, Deviations, End, Envelope, Fault, FaultMode, Machine, Recipe,
};

const fn case<'a>(machine: &'a Machine, batch: &'a Batch, recipe: &'a Recipe) -> Case<'a> {
    Case {
        machine,
        batch,
        recipe,
    }
}

fn fault(component: Component, mode: FaultMode, magnitude: Option<f64>) -> Action {
    Action::Fault(Fault {
        component,
        mode,
        magnitude,
    })
}

fn dwelling(status: &Status) -> bool {
    status.phase == Phase::Dwell
}

fn running(status: &Status) -> bool {
    status.state == State::Running
}

const fn light(e: &Envelope) -> Deviations {
    Deviations {
        weight: 1.0 - e.weight,
        counterbalance: 1.0 + e.counterbalance,
        seal_friction: 1.0 + e.seal_friction,
        ..Deviations::NOMINAL
    }
}

/// As [`light`], with the weakest regulator.
const fn weak(e: &Envelope) -> Deviations {
    Deviations {
        regulator_gain: 1.0 - e.regulator_gain,
        regulator_offset: -e.regulator_offset,
        ..light(e)
    }
}

const fn heavy(e: &Envelope) -> Deviations {
    Deviations {
        weight: 1.0 + e.weight,
        counterbalance: 1.0 - e.counterbalance,
        ..Deviations::NOMINAL
    }
}

/// As [`heavy`] on the slickest seals, with a regulator that gives what it is not asked for.
const fn heavy_and_slick(e: &Envelope) -> Deviations {
    Deviations {
        seal_friction: 1.0 - e.seal_friction,
        regulator_offset: e.regulator_offset,
        ..heavy(e)
    }
}

const fn slippery(e: &Envelope) -> Deviations {
    Deviations {
        friction: 1.0 - e.friction,
        ..Deviations::NOMINAL
    }
}

const fn rough(e: &Envelope) -> Deviations {
    Deviations {
        friction: 1.0 + e.friction,
        ..Deviations::NOMINAL
    }
}

fn hanging(m: &mut Machine, share: f64) {
    let (a, e) = (&m.actuator, &m.envelope);
    let braked = a.mass * a.speed_fast / BRAKING_TIME;
    m.cell.range = share * (a.weight() * (1.0 + e.weight) + braked) * (1.0 + e.cell_span);
}

fn supply(m: &mut Machine, share: f64) {
    let a = &mut m.actuator;
    a.supply_minimum = share * a.supply_pressure * (1.0 - m.envelope.supply);
}

fn sag(set: &Set) -> Action {
    fault(
        Component::Supply,
        FaultMode::Wrong,
        Some(1.0 - set.0.envelope.supply),
    )
}

fn lift(m: &mut Machine, share: f64) {
    let (a, e) = (&m.actuator, &m.envelope);
    let heaviest = a.weight() * (1.0 + e.weight)
        + a.seal_breakaway * (1.0 + e.seal_friction)
        + a.guide_drag * a.speed_lift;
    m.actuator.lift_pressure = share * heaviest / a.area_rod();
}

/// Sets the counterbalance so that the lightest plate rests with this share of what its seals and guides ask for.
fn rest(m: &mut Machine, share: f64) {
    let (a, e) = (&m.actuator, &m.envelope);
    let drag = a.guide_drag * a.speed_fast;
    let wanted = a.seal_breakaway * (1.0 + e.seal_friction) + drag / CONTACT_SHARE;
    let pull = a.weight() * (1.0 - e.weight) - share * wanted;
    m.actuator.counterbalance = pull / a.area_rod() / (1.0 + e.counterbalance);
}

fn initial(m: &mut Machine, over: f64) {
    let (a, e) = (&m.actuator, &m.envelope);
    let heaviest = a.weight() * (1.0 + e.weight)
        - a.area_rod() * a.counterbalance * (1.0 - e.counterbalance)
        + a.line_gain() * e.regulator_offset
        - a.seal_friction * (1.0 - e.seal_friction);
    m.control.initial_load = heaviest - 5.0 + over;
}

/// Load that a regulator which gives twice as much as it is asked for presses up within a band of this half-width, N.
fn pressed_up(m: &mut Machine, r: &mut Recipe, half: f64) {
    m.control.band_newtons = half;
    r.steps[1].load_limit = 315.0;
    r.steps[1].end = End::Time { seconds: 6.0 };
}

fn first_contact(m: &mut Machine, b: &Batch, r: &Recipe, over: f64) {
    // Until the governed load is so far over the lower end of the band.
    for limit in 150..400 {
        m.control.first_contact_limit = f64::from(limit);
        let case = case(m, b, r);
        let initial = case.machine.control.initial_load;
        if case.reached_at_touch_down(f64::from(limit)) >= initial - case.band(initial) + over {
            return;
        }
    }
}

fn creep(m: &mut Machine, b: &mut Batch, share: f64) {
    // Flat parts are met all at once, which is what the finding's bound is for.
    b.spread = 0.0;
    let a = &mut m.actuator;
    let impedance = (b.stiffness() * a.mass).sqrt();
    a.speed_creep = share * (m.control.initial_load - a.resting_load()) / impedance;
}

/// Gives the drives that have most to do this share of what they need in the second step.
fn torque(m: &mut Machine, b: &Batch, r: &Recipe, share: f64) {
    let friction = r.consumables.friction * (1.0 + m.envelope.friction);
    let step = &r.steps[1];
    let case = case(m, b, r);
    let held = case.friction_torque(step, case.setpoint(step), friction)[3].abs();
    m.drives[3].torque = share * (held + m.drives[3].drag);
}

fn coast(m: &mut Machine, b: &Batch, r: &Recipe, share: f64) {
    m.slurry.film_life = share * longest_coast(&case(m, b, r)).1;
}

fn stop_time(m: &mut Machine, b: &Batch, r: &Recipe, share: f64) {
    m.control.stop_time = share * (case(m, b, r).longest_run_down() + 0.25);
}

/// A machine that brakes so slowly that a stop spends more of its film than a coast.
fn film(m: &mut Machine, b: &Batch, r: &mut Recipe, share: f64) {
    m.control.drive_ramp = 0.05;
    m.control.stop_time = 80.0;
    r.steps[0].speeds[1] = r.steps[0].speeds[1].abs();
    r.steps[1].end = End::Time { seconds: 6.0 };
    m.slurry.film_life = 1.0;
    let spent = case(m, b, r).film_spent(&r.steps[1], 1.5);
    m.slurry.film_life = share * spent;
}

fn tank(m: &mut Machine, b: &Batch, r: &Recipe, share: f64) {
    m.slurry.tank = predict(&case(m, b, r), 1.0).slurry / share;
}

fn settles(m: &mut Machine, r: &mut Recipe, share: f64) {
    m.control.settle_limit = share * m.slurry.settle_time;
    r.steps[0].end = End::Time { seconds: 170.0 };
    r.steps[0].longest = 300.0;
}

fn hot(m: &mut Machine, b: &Batch, r: &mut Recipe, share: f64) {
    r.steps[1].end = End::Time { seconds: 40.0 };
    r.steps[1].longest = 90.0;
    m.thermal.capacity = 300.0;
    let rise = predict(&case(m, b, r), 1.0).heating * (1.0 + m.envelope.friction);
    m.thermal.high = m.thermal.ambient + share * rise;
}

fn gains(m: &mut Machine, share: f64) {
    let mut gains = default_gains(m);
    gains.kc *= share;
    m.gains = Some(gains);
}

fn times_out_in(ran: &Ran, phase: Phase) -> bool {
    ran.left_by(Cond::PhaseTimeout) && ran.left_in == Some(phase)
}

pub const CLAIMS: &[Claim] = &[
    Claim {
        worst: |e| Deviations {
            weight: 1.0 + e.weight,
            cell_span: 1.0 + e.cell_span,
            ..Deviations::NOMINAL
        },
        ..claim(
            Code::LoadAboveCellRange,
            |m, _, _| hanging(m, 1.01),
            // A cell reads on for 2 % past its range.
            |m, _, _| hanging(m, 0.97),
            |ran| ran.row(Cond::CellInvalid),
        )
    },
    Claim {
        deed: Some(Deed {
            when: dwelling,
            what: sag,
        }),
        ..claim(
            Code::SupplyShort,
            |m, _, _| supply(m, 0.99),
            |m, _, _| supply(m, 1.01),
            |ran| ran.left_by(Cond::SupplyLow),
        )
    },
    Claim {
        worst: |e| Deviations {
            weight: 1.0 + e.weight,
            seal_friction: 1.0 + e.seal_friction,
            supply: 1.0 - e.supply,
            ..Deviations::NOMINAL
        },
        ..claim(
            Code::LiftShort,
            |m, _, _| lift(m, 1.003),
            |m, _, _| lift(m, 0.99),
            |ran| times_out_in(ran, Phase::Lift),
        )
    },
    Claim {
        worst: light,
        ..claim(
            Code::DescentFeltAsContact,
            |m, _, _| rest(m, 1.02),
            // How much drag the cell sees before it is believed hangs on how the plate gathers speed.
            |m, _, _| rest(m, 0.8),
            |ran| ran.left_by(Cond::NotFollowing) || ran.left_by(Cond::ContactHigh),
        )
    },
    claim(
        Code::RestingLoadLow,
        |m, _, _| rest(m, 1.02),
        |m, _, _| rest(m, 0.5),
        |ran| ran.refuses_machine(10),
    ),
    Claim {
        worst: heavy_and_slick,
        ..claim(
            Code::InitialLoadLow,
            |m, _, _| initial(m, 1.0),
            |m, _, _| initial(m, -1.0),
            |ran| ran.overshoot > 5.0,
        )
    },
    Claim {
        worst: heavy_and_slick,
        ..claim(
            Code::InitialLoadLow,
            |m, _, _| initial(m, 1.0),
            |m, _, _| initial(m, -6.5),
            |ran| times_out_in(ran, Phase::TouchDown),
        )
    },
    claim(
        Code::NothingHeld,
        |m, _, _| m.geometry.runout_ripple = 0.005,
        |m, _, _| m.geometry.runout_ripple = 0.02,
        |ran| {
            ran.refused
                .as_ref()
                .is_some_and(|error| error.to_string().contains("`geometry.runout-ripple`"))
        },
    ),
    Claim {
        deed: Some(Deed {
            when: |s| dwelling(s) && s.step == 1,
            what: |_| fault(Component::Regulator, FaultMode::Wrong, Some(3.0)),
        }),
        well: |ran| ran.left_by(Cond::LoadLimit),
        ..claim(
            Code::BandAboveLimit,
            |m, _, r| pressed_up(m, r, 49.0),
            |m, _, r| pressed_up(m, r, 90.0),
            |ran| ran.left_by(Cond::LoadLimit) && ran.good_when_tripped,
        )
    },
    claim(
        Code::FirstContactAboveRated,
        |m, _, _| m.control.first_contact_limit = m.control.rated_load - 1.0,
        |m, _, _| m.control.first_contact_limit = m.control.rated_load + 1.0,
        |ran| ran.refuses_machine(10),
    ),
    Claim {
        deed: Some(Deed {
            when: running,
            what: |_| fault(Component::Parts, FaultMode::Wrong, Some(1.0)),
        }),
        well: |ran| ran.left_by(Cond::ContactHigh),
        ..claim(
            Code::ContactToleranceWide,
            |m, b, _| m.control.contact_tolerance = 0.99 * lifted(m, b),
            |m, b, _| m.control.contact_tolerance = 1.01 * lifted(m, b),
            |ran| !ran.row(Cond::ContactHigh),
        )
    },
    claim(
        Code::CreepTooFast,
        |m, b, _| creep(m, b, 0.98),
        // How fast the plate is as it meets the parts depends on where between two ticks it does.
        |m, b, _| creep(m, b, 1.25),
        |ran| ran.first_contact > 150.0,
    ),
    Claim {
        worst: weak,
        ..claim(
            Code::FirstContactNearInitial,
            |m, b, r| first_contact(m, b, r, 2.0),
            |m, b, r| first_contact(m, b, r, -8.0),
            |ran| times_out_in(ran, Phase::TouchDown),
        )
    },
    claim(
        Code::ApproachShort,
        |m, _, _| m.actuator.approach = 1.02e-3,
        |m, _, _| m.actuator.approach = 0.9e-3,
        // Several times what creep speed makes of it.
        |ran| ran.first_contact > 200.0,
    ),
    Claim {
        worst: rough,
        ..claim(
            Code::TorqueShort,
            // An outer ring that friction carries along asks for no more than its drag and its run-up, 0.91 N·m.
            |m, b, r| {
                torque(m, b, r, 1.01);
                m.drives[1].torque = 0.92;
            },
            |m, b, r| torque(m, b, r, 0.97),
            |ran| {
                [Cond::DriveRatio, Cond::Torque, Cond::TorqueRunUp]
                    .into_iter()
                    .any(|row| ran.left_by(row))
            },
        )
    },
    Claim {
        worst: slippery,
        deed: Some(Deed {
            when: dwelling,
            what: |_| Action::Command(Command::Abort),
        }),
        well: |ran| ran.end == State::Aborted,
        ..claim(
            Code::CoastOutlastsFilm,
            |m, b, r| coast(m, b, r, 1.26),
            // The quarter more is a margin for what is declared of inertias and drag.
            |m, b, r| coast(m, b, r, 0.98),
            |ran| ran.row(Cond::CoastOverrun),
        )
    },
    Claim {
        deed: Some(Deed {
            when: dwelling,
            what: |_| Action::Command(Command::Stop),
        }),
        well: |ran| ran.end == State::Stopped,
        ..claim(
            Code::StopTimeShort,
            |m, b, r| stop_time(m, b, r, 1.005),
            |m, b, r| stop_time(m, b, r, 0.99),
            |ran| ran.row(Cond::StopOverrun) && ran.end == State::Aborted,
        )
    },
    Claim {
        deed: Some(Deed {
            when: |s| dwelling(s) && s.step == 1,
            what: |_| fault(Component::SlurryLine, FaultMode::Off, None),
        }),
        well: |ran| ran.left_by(Cond::Flow),
        ..claim(
            Code::FilmShortForStop,
            |m, b, r| film(m, b, r, 1.01),
            // The bound takes the film for lost at once and the load for let go late.
            |m, b, r| film(m, b, r, 0.7),
            |ran| ran.dry,
        )
    },
    Claim {
        deed: Some(Deed {
            when: dwelling,
            what: |_| fault(Component::DriveOuter, FaultMode::Wrong, Some(0.0)),
        }),
        well: |ran| ran.left_by(Cond::DriveRatio),
        ..claim(
            Code::SpeedToleranceWide,
            |m, _, r| {
                m.control.speed_tolerance = 0.98 * r.steps[0].speeds[1];
                r.steps[0].end = End::Time { seconds: 6.0 };
            },
            |m, _, r| {
                m.control.speed_tolerance = 1.02 * r.steps[0].speeds[1];
                r.steps[0].end = End::Time { seconds: 6.0 };
            },
            |ran| !ran.row(Cond::DriveRatio),
        )
    },
    claim(
        Code::TankShort,
        |m, b, r| tank(m, b, r, 0.94),
        |m, b, r| tank(m, b, r, 0.97),
        |ran| ran.row(Cond::TankEmpty),
    ),
    Claim {
        deed: Some(Deed {
            when: dwelling,
            what: |_| fault(Component::Agitator, FaultMode::Off, None),
        }),
        well: |ran| ran.left_by(Cond::AgitatorSettled),
        ..claim(
            Code::SettleLimitLong,
            |m, _, r| settles(m, r, 0.98),
            |m, _, r| settles(m, r, 1.02),
            // Less than 1/e is left afloat: the definition of the settling time.
            |ran| {
                ran.left_by(Cond::AgitatorSettled)
                    && ran
                        .suspended_at_hold
                        .is_some_and(|left| left < (-1.0_f64).exp())
            },
        )
    },
    Claim {
        worst: rough,
        ..claim(
            Code::PlateHot,
            |m, b, r| hot(m, b, r, 1.1),
            |m, b, r| hot(m, b, r, 0.9),
            |ran| ran.row(Cond::TemperatureHigh),
        )
    },
    Claim {
        worst: |e| Deviations {
            regulator_gain: 1.0 + e.regulator_gain,
            dead_time: 1.0 + e.dead_time,
            lag: 1.0 - e.lag,
            ..Deviations::NOMINAL
        },
        ..claim(
            Code::LoopUnstable,
            |m, _, _| gains(m, 1.7),
            // Just outside the dead band still catches it: it hunts by its 2 N.
            |m, _, _| gains(m, 2.2),
            |ran| times_out_in(ran, Phase::TouchDown),
        )
    },
    Claim {
        worst: nominal,
        ..claim(
            Code::PrestartShort,
            |m, _, _| m.slurry.wet_time = 15.0,
            |m, _, _| m.slurry.wet_time = 16.0,
            |ran| ran.film_at_run_up.is_some_and(|film| film < 1.0),
        )
    },
];
