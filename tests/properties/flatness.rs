//! Flatness control: whatever is reported and whenever, the rings stay inside their drives, on their ramps, and as they were for as long
//! as a cycle is under way.

use crate::common::{Case, RandomStep, cases, config};
use firmware_core::interlock::Cond;
use firmware_core::plate_form::{FormControl, MAX_SETTINGS, MOST_FORM, OUT_OF_DATE, RingSetting};
use firmware_core::process_image::{DRIVES, FACES};
use firmware_core::sequence::{Command, Mode, Phase, Request, SetupMove, State};
use firmware_core::status::Status;
use firmware_core::units::{Micrometres, Ratio};
use proptest::prelude::*;
use twinplate_falsify::faults::due::Due;
use twinplate_sim::bench::{Action, Bench, InProcess, Job, Player};
use twinplate_sim::model::StationAct;

type Rig = Bench<InProcess, Due>;

/// Largest speed of a setpoint over its limit, 0.01 rpm: a rounding.
const ROUNDED: f32 = 1.0;

fn um(value: f32) -> Micrometres {
    Micrometres::new(value)
}

fn request(request: Request) -> Action {
    Action::Request(Box::new(request))
}

/// A ring setting as numbers: reversed, trim, change of form.
type RandomSetting = (bool, f32, [f32; FACES]);

/// A job with flatness control; what would take a ring beyond its drive is left out.
fn controlled(case: &Case, others: &[RandomSetting], [deadband, limit]: [f32; 2]) -> Job {
    let mut job = case.job();
    let p = job.params.get().clone();
    let setting = |&(reversed, trim, change): &RandomSetting| RingSetting {
        reversed,
        trim: Ratio::new(trim),
        change: change.map(um),
    };
    let fits = |setting: &RingSetting| {
        job.compiled.steps.iter().all(|step| {
            let speeds = setting.speeds(step.speeds);
            speeds
                .iter()
                .zip(&p.speed_max)
                .all(|(v, most)| v.abs() <= *most)
        })
    };
    let programmed = setting(&(false, 0.0, [-0.5, 0.4]));
    let settings = std::iter::once(programmed).chain(others.iter().map(setting).filter(fits));
    job.compiled.flatness = Some(FormControl {
        settings: settings.take(MAX_SETTINGS).collect(),
        deadband: um(deadband),
        limit: um(limit),
        longest: 2,
    });
    job.compiled
        .clone()
        .check(&job.params)
        .expect("within the limits");
    job
}

fn rests(s: &Status) -> bool {
    let quiet = matches!(
        s.state,
        State::Idle | State::Complete | State::Stopped | State::Aborted
    );
    quiet && s.phase == Phase::Rest
}

/// What must hold from one tick to the next.
fn tick_holds(
    job: &Job,
    bench: &Rig,
    before: &Option<(Status, [i16; DRIVES])>,
) -> Result<(), TestCaseError> {
    let p = job.params.get();
    let view = bench.view().expect("ran");
    let (s, asked) = (view.status, view.outputs.drives);
    for (drive, asked) in asked.iter().enumerate() {
        let most = if p.fixed[drive] {
            0.0
        } else {
            p.speed_max[drive].get() * 100.0 + ROUNDED
        };
        prop_assert!(
            f32::from(asked.setpoint).abs() <= most,
            "tick {}: drive {drive} asked for {}",
            view.tick,
            asked.setpoint
        );
    }
    let Some((was, setpoints)) = before else {
        return Ok(());
    };
    // On its ramp: no faster than the machine's acceleration, a power cut excepted.
    let ramp = p.drive_ramp.get() * 0.1 + 2.0 * ROUNDED;
    for (asked, before) in asked.iter().zip(setpoints) {
        let jump = (f32::from(asked.setpoint) - f32::from(*before)).abs();
        prop_assert!(
            jump <= ramp || !asked.enable && asked.setpoint == 0,
            "tick {}: a setpoint jumps by {jump}",
            view.tick
        );
    }
    prop_assert!(
        s.ring_setting == was.ring_setting || rests(was) || rests(s),
        "tick {}: another ring setting in {:?} {:?}",
        view.tick,
        s.state,
        s.phase
    );
    let control = job.compiled.flatness.as_ref().expect("controlled");
    if (s.state, s.phase) == (State::Running, Phase::Dwell) {
        let step = &job.compiled.steps[usize::from(s.step)];
        let turned = control.settings[usize::from(s.ring_setting)].speeds(step.speeds);
        for (asked, due) in asked.iter().zip(turned) {
            let off = (f32::from(asked.setpoint) - due.get() * 100.0).abs();
            prop_assert!(
                off <= ROUNDED,
                "tick {}: not as the setting says",
                view.tick
            );
        }
    }
    let beyond = was.form.iter().any(|form| form.abs() > control.limit);
    prop_assert!(
        !(beyond && was.state == State::Idle && s.state == State::Running),
        "tick {}: started with {:?} µm",
        view.tick,
        was.form
    );
    Ok(())
}

/// Reports, commands and two batches.
fn control_holds(
    job: &Job,
    case: &Case,
    reports: &[(u32, [f32; FACES])],
    commands: &[(u32, Command)],
) -> Result<(), TestCaseError> {
    let setup = job.setup(case.deviations(), case.seed);
    let mut bench = setup.bench(setup.controller(), Due::new(job));
    bench.play(Player::new(None, job.compiled.pieces));
    for (tick, [lower, upper]) in reports {
        let report = Request::ReportForm {
            lower: um(*lower),
            upper: um(*upper),
        };
        bench.act_at(*tick, request(report));
    }
    for (tick, command) in commands {
        bench.act_at(*tick, Action::Command(*command));
    }
    let (mut before, mut refused, mut batches) = (None, 0, 0);
    for _ in 0..150_000_u32 {
        bench.step().expect("in process");
        tick_holds(job, &bench, &before)?;
        let s = *bench.status().expect("ran");
        let asked = bench.view().expect("ran").outputs.drives;
        if bench.refused().len() > refused {
            refused = bench.refused().len();
            if let Some((was, _)) = &before {
                prop_assert!(
                    s.form == was.form && s.form_age == was.form_age || rests(&s) && !rests(was),
                    "a refused request changed the form"
                );
            }
        }
        let was = before.map(|(s, _): (Status, _)| s.state);
        if s.state == State::Complete && was != Some(State::Complete) {
            batches += 1;
            if batches == 2 {
                break;
            }
            let pieces = job.compiled.pieces;
            let now = bench.tick();
            bench.act_at(now + 500, Action::Command(Command::Reset));
            bench.act_at(now + 600, request(Request::ConfirmParts { pieces }));
            bench.act_at(now + 700, Action::Command(Command::Start));
        }
        before = Some((s, asked.map(|drive| drive.setpoint)));
    }
    let silent = bench.recorder().silent();
    prop_assert!(silent.is_empty(), "due and silent: {silent:?}");
    let absurd = |form: &[f32; FACES]| !form.iter().all(|f| f.abs() <= MOST_FORM.get());
    let given = |tick: u32| tick + 100 < bench.tick();
    let absurd = reports
        .iter()
        .filter(|(tick, form)| absurd(form) && given(*tick));
    prop_assert!(bench.refused().len() >= absurd.count(), "garbage was taken");
    Ok(())
}

fn random_setting() -> impl Strategy<Value = RandomSetting> {
    (
        any::<bool>(),
        -0.5_f32..0.5,
        prop::array::uniform2(-1.0_f32..1.0),
    )
}

fn garbage() -> impl Strategy<Value = f32> {
    prop::sample::select(vec![
        f32::NAN,
        f32::INFINITY,
        f32::NEG_INFINITY,
        1e9,
        -1e9,
        f32::MAX,
    ])
}

fn report() -> impl Strategy<Value = [f32; FACES]> {
    let any = prop_oneof![4 => -12.0_f32..12.0, 1 => garbage()];
    prop::array::uniform2(any)
}

fn commands() -> impl Strategy<Value = Vec<(u32, Command)>> {
    use Command::{Abort, Hold, Reset, Restart, Start, Stop};
    let one = prop::sample::select(vec![Hold, Restart, Restart, Stop, Abort, Reset, Start]);
    prop::collection::vec((400..120_000_u32, one), 0..5)
}

/// A cycle or two are many ticks: fewer cases than of what is quick.
fn fewer() -> ProptestConfig {
    let config = config();
    ProptestConfig {
        cases: config.cases / 4,
        ..config
    }
}

proptest! {
    #![proptest_config(fewer())]

    #[test]
    fn whatever_is_reported_the_rings_stay_in_their_limits_and_as_they_were(
        case in cases(2),
        others in prop::collection::vec(random_setting(), 1..MAX_SETTINGS),
        reports in prop::collection::vec((150..140_000_u32, report()), 1..12),
        first in prop::array::uniform2(-12.0_f32..12.0),
        commands in commands(),
    ) {
        let job = controlled(&case, &others, [2.0, 10.0]);
        let mut reports = reports;
        // One before the start, so that a correction runs.
        reports.push((160, first));
        control_holds(&job, &case, &reports, &commands)?;
    }
}

/// A nominal cycle with two settings that differ, and the report that the operator makes before it.
fn rig(report: Option<[f32; FACES]>) -> (Job, Rig) {
    let case = Case {
        base: 1,
        steps: vec![RandomStep::middling(3.0)],
        rinse: false,
        corner: true,
        draw: 0,
        seed: 1,
    };
    let job = controlled(&case, &[(true, 0.1, [0.5, -0.5])], [2.0, 10.0]);
    let setup = job.nominal(1);
    let mut bench = setup.bench(setup.controller(), Due::new(&job));
    bench.play(Player::new(None, job.compiled.pieces));
    if let Some(form) = report {
        bench.act_at(160, told(form));
    }
    (job, bench)
}

fn told([lower, upper]: [f32; FACES]) -> Action {
    request(Request::ReportForm {
        lower: um(lower),
        upper: um(upper),
    })
}

fn until(bench: &mut Rig, what: &str, done: impl Fn(&Status) -> bool) {
    for _ in 0..200_000 {
        if done(bench.step().expect("in process")) {
            return;
        }
    }
    panic!("never {what}: {:?}", bench.status());
}

fn status(bench: &Rig) -> Status {
    *bench.status().expect("ran")
}

fn asks(bench: &Rig, row: Cond) -> bool {
    status(bench).active & row.bit() != 0
}

#[test]
fn plates_out_of_form_inhibit_the_start_until_they_are_reported_in_form() {
    for form in [[11.0, 0.0], [0.0, -11.0]] {
        let (_, mut bench) = rig(Some(form));
        bench.advance(3000).expect("in process");
        assert_eq!(status(&bench).state, State::Idle, "not started");
        assert!(asks(&bench, Cond::FormLimit) && !asks(&bench, Cond::FormOverdue));
        bench.act(told([1.0, -1.0]));
        bench.advance(5).expect("in process");
        assert!(!asks(&bench, Cond::FormLimit));
        bench.act(Action::Command(Command::Start));
        bench.advance(5).expect("in process");
        assert_eq!(status(&bench).state, State::Running);
    }
}

#[test]
fn unreported_plates_are_told_and_the_rings_turn_as_programmed() {
    let (job, mut bench) = rig(None);
    until(&mut bench, "in dwell", |s| s.phase == Phase::Dwell);
    assert!(asks(&bench, Cond::FormOverdue));
    assert_eq!(status(&bench).ring_setting, 0);
    let asked = bench.view().expect("ran").outputs.drives;
    for (asked, due) in asked.iter().zip(job.compiled.steps[0].speeds) {
        assert!((f32::from(asked.setpoint) - due.get() * 100.0).abs() <= ROUNDED);
    }
}

#[test]
fn a_completed_batch_is_reckoned_a_stopped_one_makes_the_report_out_of_date() {
    let (_, mut bench) = rig(Some([-6.0, 6.0]));
    until(&mut bench, "in dwell", |s| s.phase == Phase::Dwell);
    assert_eq!(status(&bench).ring_setting, 1);
    // No report is taken while the plates turn.
    bench.act(told([3.0, 3.0]));
    bench.advance(3).expect("in process");
    assert_eq!(status(&bench).form.map(Micrometres::get), [-6.0, 6.0]);
    until(&mut bench, "complete", |s| s.state == State::Complete);
    let s = status(&bench);
    assert_eq!((s.form.map(Micrometres::get), s.form_age), ([-5.5, 5.5], 1));

    let (_, mut bench) = rig(Some([-6.0, 6.0]));
    until(&mut bench, "in dwell", |s| s.phase == Phase::Dwell);
    bench.act(Action::Command(Command::Stop));
    until(&mut bench, "stopped", |s| {
        s.state == State::Stopped && s.phase == Phase::Rest
    });
    let s = status(&bench);
    assert_eq!((s.form_age, s.ring_setting), (OUT_OF_DATE, 0));
    bench.advance(2).expect("in process");
    assert!(asks(&bench, Cond::FormOverdue));
}

#[test]
fn conditioning_wears_as_programmed_and_makes_the_report_out_of_date() {
    let (job, mut bench) = rig(Some([-6.0, 6.0]));
    until(&mut bench, "in dwell", |s| s.phase == Phase::Dwell);
    bench.act(Action::Command(Command::Stop));
    until(&mut bench, "stopped", |s| {
        s.state == State::Stopped && s.phase == Phase::Rest
    });
    bench.act(told([-6.0, 6.0]));
    bench.advance(1000).expect("in process");
    assert_eq!(
        (status(&bench).form_age, status(&bench).ring_setting),
        (0, 1)
    );
    for action in [
        Action::Station(StationAct::SetupKey(true)),
        request(Request::SetMode(Mode::Setup)),
        request(Request::SelectMove(SetupMove::Condition)),
        Action::Station(StationAct::HoldToRun(true)),
    ] {
        bench.act(action);
        bench.advance(50).expect("in process");
    }
    until(&mut bench, "turning", |s| s.phase == Phase::Manual);
    bench.advance(20_000).expect("in process");
    let inner = bench.view().expect("ran").outputs.drives[0].setpoint;
    let programmed = job.compiled.steps[0].speeds[0].get();
    assert!(
        f32::from(inner) * programmed > 0.0,
        "{inner} against {programmed}"
    );
    bench.act(Action::Station(StationAct::HoldToRun(false)));
    until(&mut bench, "at rest", |s| s.phase == Phase::Rest);
    let s = status(&bench);
    assert_eq!((s.form_age, s.ring_setting), (OUT_OF_DATE, 0));
    assert_eq!(
        s.form.map(Micrometres::get),
        [-6.0, 6.0],
        "kept for the limit"
    );
}

#[test]
fn other_plates_make_the_report_out_of_date() {
    let (_, mut bench) = rig(Some([-6.0, 6.0]));
    bench.advance(300).expect("in process");
    bench.act(Action::Station(StationAct::PressEstop));
    bench.advance(3000).expect("in process");
    until(&mut bench, "at rest", |s| rests(s) && s.standstill);
    bench.act(told([-6.0, 6.0]));
    bench.advance(5).expect("in process");
    assert_eq!(status(&bench).form_age, 0);
    bench.act(request(Request::SetMode(Mode::PlateChange)));
    bench.advance(5).expect("in process");
    bench.act(request(Request::SetMode(Mode::Automatic)));
    bench.advance(5).expect("in process");
    let s = status(&bench);
    assert_eq!(
        (s.mode, s.form_age, s.ring_setting),
        (Mode::Automatic, OUT_OF_DATE, 0)
    );
}
