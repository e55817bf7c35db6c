//! The way up, and back to it from a hold.

use super::*;

/// The rungs: what the plate is known to do when a phase is done, and what comes next. Nothing else changes.
#[test]
fn each_phase_of_a_cycle_leads_to_the_next_when_it_is_done_and_not_before() {
    for (phase, before, next, after) in [
        (Phase::Precheck, Plate::Parked, Phase::Lower, Plate::Air),
        (Phase::Lower, Plate::Air, Phase::TouchDown, Plate::Contact),
        (
            Phase::TouchDown,
            Plate::Contact,
            Phase::SlurryPrestart,
            Plate::Contact,
        ),
        (
            Phase::SlurryPrestart,
            Plate::Contact,
            Phase::RunUp,
            Plate::Contact,
        ),
        (
            Phase::RunUp,
            Plate::Contact,
            Phase::LoadRamp,
            Plate::Contact,
        ),
        (
            Phase::LoadRamp,
            Plate::Contact,
            Phase::Dwell,
            Plate::Contact,
        ),
        (
            Phase::LoadRelease,
            Plate::Contact,
            Phase::RunDown,
            Plate::Contact,
        ),
        (Phase::Rinse, Plate::Contact, Phase::RunDown, Plate::Contact),
        (
            Phase::RunDown,
            Plate::Contact,
            Phase::SlurryStop,
            Plate::Contact,
        ),
        (Phase::SlurryStop, Plate::Contact, Phase::Lift, Plate::Air),
        // Not on the ladder.
        (Phase::Rest, Plate::Contact, Phase::Rest, Plate::Contact),
        (Phase::Coast, Plate::Contact, Phase::Coast, Plate::Contact),
        (Phase::Manual, Plate::Contact, Phase::Manual, Plate::Contact),
    ] {
        let cycle = at(State::Running, phase, before);
        let up = at(State::Running, next, after);
        assert_eq!(tick(cycle, &reached()), (up, Moved::default()), "{phase:?}");
        stays(cycle, &quiet());
    }
    // At the top the batch is done, and what the cycle meant to do is forgotten.
    let top = full(State::Running, Phase::Lift, Plate::Air);
    stays(top, &quiet());
    let done = forgotten(full(State::Complete, Phase::Rest, Plate::Parked));
    assert_eq!(tick(top, &reached()), (done, Moved::default()));
}

/// Power comes on only at proven standstill, and the plate leaves the parts only there.
#[test]
fn no_ramp_begins_and_no_plate_is_lifted_before_standstill_is_proven() {
    let turning = Seen {
        standstill: false,
        ..reached()
    };
    for (state, phase) in [
        (State::Running, Phase::SlurryPrestart),
        (State::Running, Phase::SlurryStop),
        (State::Restarting, Phase::SlurryPrestart),
    ] {
        stays(at(state, phase, Plate::Contact), &turning);
    }
}

/// The last step ends the cycle, whatever else; else a stop at step end, else a change of direction, else the next step follows under
/// load.
#[test]
fn after_a_step_comes_its_end_its_stop_its_change_of_direction_or_the_next() {
    let step = at(State::Running, Phase::Dwell, Plate::Contact);
    stays(step, &quiet());
    for bits in 0..8_u8 {
        let (last_step, stops, reverses) = (bits & 1 != 0, bits & 2 != 0, bits & 4 != 0);
        let seen = Seen {
            last_step,
            reverses,
            response: if stops {
                Response::StopAtStepEnd
            } else {
                Response::StartInhibit
            },
            ..reached()
        };
        let release = Sequencer {
            phase: Phase::LoadRelease,
            ..step
        };
        let (after, moved) = tick(step, &seen);
        let (due, next) = match (last_step, stops, reverses) {
            (true, _, _) => (release, StepMove::Stay),
            (false, true, _) => (
                Sequencer {
                    ending: true,
                    ..release
                },
                StepMove::Stay,
            ),
            (false, false, true) => (
                Sequencer {
                    reversing: true,
                    ..release
                },
                StepMove::Stay,
            ),
            (false, false, false) => (
                Sequencer {
                    phase: Phase::LoadRamp,
                    ..step
                },
                StepMove::Next,
            ),
        };
        assert_eq!(after, due, "{seen:?}");
        assert_eq!(
            moved,
            Moved {
                step: next,
                ..Moved::default()
            }
        );
    }
}

/// A rinse belongs to the end of a cycle that rinses: not to a change of direction, nor to a stop at step end.
#[test]
fn only_the_end_of_a_cycle_is_rinsed() {
    for bits in 0..8_u8 {
        let (rinses, reversing, ending) = (bits & 1 != 0, bits & 2 != 0, bits & 4 != 0);
        let release = Sequencer {
            reversing,
            ending,
            ..at(State::Running, Phase::LoadRelease, Plate::Contact)
        };
        let seen = Seen {
            rinses,
            ..reached()
        };
        let rinsed = rinses && !(reversing || ending);
        let due = Sequencer {
            phase: if rinsed { Phase::Rinse } else { Phase::RunDown },
            rinsing: rinsed,
            ..release
        };
        assert_eq!(tick(release, &seen), (due, Moved::default()), "{seen:?}");
    }
}

/// Through standstill, without a rinse and without the line stopping, into the next step; once.
#[test]
fn a_change_of_direction_runs_up_again_with_the_next_step() {
    let down = Sequencer {
        reversing: true,
        ..at(State::Running, Phase::RunDown, Plate::Contact)
    };
    let (up, moved) = tick(down, &reached());
    assert_eq!(up, at(State::Running, Phase::RunUp, Plate::Contact));
    assert_eq!(
        moved,
        Moved {
            step: StepMove::Next,
            ..Moved::default()
        }
    );
}

/// The plate stays on the parts, and the cycle has departed: whoever asked for it is told by then.
#[test]
fn a_stop_at_step_end_stops_where_the_line_has_stopped() {
    let last = Sequencer {
        ending: true,
        ..at(State::Running, Phase::SlurryStop, Plate::Contact)
    };
    let (stopping, moved) = tick(last, &reached());
    assert_eq!(
        stopping,
        Sequencer {
            state: State::Stopping,
            ..last
        }
    );
    assert_eq!(
        moved,
        Moved {
            departed: true,
            ..Moved::default()
        }
    );
}

/// After the quick proof. A step is begun again from its wetting, and is not running yet.
#[test]
fn a_restart_goes_back_to_where_the_hold_came_from() {
    for (resume, state, phase, step) in [
        (
            Resume::Precheck,
            State::Running,
            Phase::Precheck,
            StepMove::Stay,
        ),
        (Resume::Lower, State::Running, Phase::Lower, StepMove::Stay),
        (
            Resume::TouchDown,
            State::Running,
            Phase::TouchDown,
            StepMove::Stay,
        ),
        (
            Resume::Prestart,
            State::Restarting,
            Phase::SlurryPrestart,
            StepMove::Stay,
        ),
        (
            Resume::Step,
            State::Restarting,
            Phase::SlurryPrestart,
            StepMove::Stay,
        ),
        (
            Resume::NextStep,
            State::Restarting,
            Phase::SlurryPrestart,
            StepMove::Next,
        ),
        (
            Resume::SlurryStop,
            State::Running,
            Phase::SlurryStop,
            StepMove::Stay,
        ),
        (Resume::Lift, State::Running, Phase::Lift, StepMove::Stay),
    ] {
        let proof = Sequencer {
            resume,
            reversing: true,
            ..at(State::Restarting, Phase::Precheck, Plate::Contact)
        };
        stays(proof, &quiet());
        // The next step is begun once: from then on it is the step to come back to.
        let begun = resume == Resume::NextStep;
        let due = Sequencer {
            state,
            phase,
            resume: if begun { Resume::Step } else { resume },
            reversing: !begun,
            ..proof
        };
        let (back, moved) = tick(proof, &reached());
        assert_eq!(back, due, "{resume:?}");
        assert_eq!(
            moved,
            Moved {
                step,
                ..Moved::default()
            }
        );
    }
}

/// By wetting and running up, at proven standstill; what was rinsed is slurry again, and on load there is nothing left to come back to.
#[test]
fn a_step_that_was_held_is_taken_up_wet_turning_and_then_under_load() {
    let mut back = Sequencer {
        resume: Resume::Step,
        rinsing: true,
        ..at(State::Restarting, Phase::SlurryPrestart, Plate::Contact)
    };
    for (state, phase, resume) in [
        (State::Restarting, Phase::RunUp, Resume::Step),
        (State::Restarting, Phase::LoadRamp, Resume::Step),
        (State::Running, Phase::Dwell, Resume::Precheck),
    ] {
        stays(back, &quiet());
        let (next, moved) = tick(back, &reached());
        back = Sequencer {
            resume,
            ..at(state, phase, Plate::Contact)
        };
        assert_eq!((next, moved), (back, Moved::default()));
    }
    for phase in ALL_PHASES {
        if !matches!(
            phase,
            Phase::Precheck | Phase::SlurryPrestart | Phase::RunUp | Phase::LoadRamp
        ) {
            stays(full(State::Restarting, phase, Plate::Contact), &reached());
        }
    }
}
