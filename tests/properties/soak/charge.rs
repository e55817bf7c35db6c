//! What the soak declares: no documented act fills the rod side of a plate that is parked.

use super::operator::SEEN;
use crate::common::DEMO;
use firmware_core::interlock::Cond;
use firmware_core::sequence::{Command, Mode, Plate, Refusal, Request, SetupMove, State};
use firmware_core::status::Status;
use twinplate_sim::bench::{Action, Bench, InProcess, Job, NoRecorder, RefusedBy};
use twinplate_sim::model::{Component, Fault, FaultMode, StationAct};

/// Longest that a leak may take to empty the rod side, ticks.
const LONGEST: u32 = 600_000;

type Rig = Bench<InProcess, NoRecorder>;

fn does(rig: &mut Rig, action: Action) -> Status {
    rig.act(action);
    rig.advance(SEEN).expect("in process");
    *rig.status().expect("ran")
}

fn asks(rig: &mut Rig, request: Request) -> Status {
    does(rig, Action::Request(Box::new(request)))
}

/// A machine that stands stopped and parked, whose check valve has leaked until its rod side was empty, and was exchanged then.
fn emptied(job: &Job) -> Rig {
    let setup = job.nominal(1);
    let mut rig = setup.bench(setup.controller(), NoRecorder);
    let fault = Fault {
        component: Component::RodValve,
        mode: FaultMode::Wrong,
        magnitude: None,
    };
    does(&mut rig, Action::Fault(fault));
    while rig.plant().inputs().counterbalance_ok {
        rig.step().expect("in process");
        assert!(rig.tick() < LONGEST, "the rod side keeps its air");
    }
    // The switch opens at some of the pressure; it leaks on.
    rig.advance(rig.tick()).expect("in process");
    let s = does(&mut rig, Action::Clear(Component::RodValve));
    assert_eq!((s.state, s.plate), (State::Stopped, Plate::Parked));
    assert!(s.active & Cond::CounterbalanceStopped.bit() != 0);
    rig
}

/// It is told, and it may not be started; what would fill the rod side moves the plate, and this one is where it belongs.
#[test]
fn no_documented_act_fills_the_rod_side_of_a_parked_plate() {
    for job in DEMO.iter() {
        let mut rig = emptied(job);
        let empty = |rig: &Rig| !rig.plant().inputs().counterbalance_ok;
        // Stopped: a raise has nothing to do.
        asks(&mut rig, Request::Raise);
        let deadline = job.params.get().lift_time.0;
        rig.advance(deadline).expect("in process");
        assert!(rig.refused().is_empty() && empty(&rig));
        // Setup: a parked plate is not raised, whatever hand is held. It could only be lowered, by its own weight.
        for act in [StationAct::SetupKey(true), StationAct::HoldToRun(false)] {
            does(&mut rig, Action::Station(act));
        }
        let setup = asks(&mut rig, Request::SetMode(Mode::Setup));
        assert_eq!(setup.mode, Mode::Setup);
        asks(&mut rig, Request::SelectMove(SetupMove::Raise));
        does(&mut rig, Action::Station(StationAct::HoldToRun(true)));
        assert!(empty(&rig));
        does(&mut rig, Action::Station(StationAct::HoldToRun(false)));
        // Plate change and back.
        for mode in [Mode::Automatic, Mode::PlateChange, Mode::Automatic] {
            assert_eq!(asks(&mut rig, Request::SetMode(mode)).mode, mode);
        }
        assert!(empty(&rig));
        // The main switch, and Idle.
        does(&mut rig, Action::PowerReturns);
        asks(&mut rig, Request::Raise);
        rig.advance(deadline).expect("in process");
        let s = does(&mut rig, Action::Command(Command::Reset));
        assert_eq!(s.state, State::Idle);
        assert!(s.active & Cond::Counterbalance.bit() != 0 && empty(&rig));
        asks(&mut rig, Request::Raise);
        let last = rig.refused().last().map(|refused| refused.by.clone());
        assert_eq!(last, Some(RefusedBy::Controller(Refusal::WrongState)));
    }
}
