//! Tables of the sequence page that come from running the sequencer itself.

use crate::pages::{check, table};
use firmware_core::interlock::{Cond, TABLE};
use firmware_core::judge::{
    CONTACT_CONFIRM, LOAD_SPARE, LOADED, RELEASED, SEATED, STOPPED_SHARE, UP_TO_SPEED, WETTED,
    deadline,
};
use firmware_core::params::RAMP_SPARE;
use firmware_core::sequence::{
    ALL_COMMANDS, ALL_MODES, ALL_PHASES, ALL_SETUP_MOVES, ALL_STATES, Command, DriveGoal, Fluid,
    Mode, Phase, PlateGoal, Seen, Sequencer, State, View,
};
use firmware_core::signal::{STANDSTILL_RPM, STANDSTILL_TICKS};
use firmware_core::status::Response;
use firmware_core::units::TICKS_PER_SECOND;
use std::collections::BTreeSet;
use twinplate_sim::compile::TRAVEL_EXTRA;

/// The tables stand in the book and beside the code that makes them.
const PAGES: [&str; 2] = [
    "docs/sequence-and-interlocks.md",
    "firmware-core/src/sequence/README.md",
];
/// Every input that the exploration tries. Axes that cannot matter together are not multiplied; the walk of
/// `tests/exhaustive` multiplies them all.
fn inputs() -> Vec<(Seen, Mode)> {
    let mut all = Vec::new();
    let responses = [
        Response::None,
        Response::Hold,
        Response::StopAtStepEnd,
        Response::ControlledStop,
        Response::ImmediateStop,
    ];
    for bits in 0..32_u8 {
        let bit = |n: u8| bits >> n & 1 == 1;
        let base = Seen {
            view: if bit(0) { View::Reached } else { View::Waiting },
            standstill: bit(1),
            last_step: bit(2),
            reverses: bit(3),
            rinses: bit(4),
            recipe: true,
            ..Seen::default()
        };
        for response in responses {
            for command in ALL_COMMANDS.into_iter().map(Some).chain([None]) {
                all.push((
                    Seen {
                        command,
                        response,
                        ..base
                    },
                    Mode::Automatic,
                ));
            }
        }
    }
    for bits in 0..128_u8 {
        let bit = |n: u8| bits >> n & 1 == 1;
        for manual in ALL_SETUP_MOVES.into_iter().map(Some).chain([None]) {
            for mode in ALL_MODES {
                let seen = Seen {
                    raise: bit(0),
                    view: if bit(1) { View::Reached } else { View::Waiting },
                    standstill: bit(2),
                    flow: bit(3),
                    parked: bit(4),
                    contact: bit(5),
                    held: bit(6),
                    manual,
                    recipe: true,
                    ..Seen::default()
                };
                all.push((seen, mode));
            }
        }
    }
    all
}

/// Everything the sequencer can reach from power-up.
fn reachable() -> BTreeSet<Sequencer> {
    let inputs = inputs();
    let mut found: BTreeSet<Sequencer> = [(true, false), (false, true), (false, false)]
        .into_iter()
        .map(|(parked, contact)| Sequencer::power_up(parked, contact))
        .collect();
    let mut queue: Vec<Sequencer> = found.iter().copied().collect();
    while let Some(at) = queue.pop() {
        for (seen, mode) in &inputs {
            let mut next = at;
            next.next(seen, *mode);
            if found.insert(next) {
                queue.push(next);
            }
        }
    }
    let states: BTreeSet<State> = found.iter().map(|s| s.state).collect();
    let phases: BTreeSet<Phase> = found.iter().map(|s| s.phase).collect();
    assert_eq!(
        (states.len(), phases.len()),
        (ALL_STATES.len(), ALL_PHASES.len())
    );
    found
}

fn check_both(name: &str, body: &str) {
    for page in PAGES {
        check(page, name, body);
    }
}

/// What a command can do in a state, over every reachable way to be in that state and every reason to refuse.
fn answer(space: &BTreeSet<Sequencer>, state: State, command: Command) -> String {
    let mut results = BTreeSet::new();
    let mut refusals: BTreeSet<(u16, String)> = BTreeSet::new();
    for at in space.iter().filter(|s| s.state == state) {
        for bits in 0..8_u8 {
            let seen = Seen {
                command: Some(command),
                response: if bits & 1 == 0 {
                    Response::None
                } else {
                    Response::StartInhibit
                },
                standstill: bits & 2 == 0,
                recipe: bits & 4 == 0,
                ..Seen::default()
            };
            for mode in ALL_MODES {
                let mut next = *at;
                let moved = next.next(&seen, mode);
                if let Some(refusal) = moved.refused {
                    refusals.insert((refusal as u16, refusal.name().replace('-', " ")));
                } else if next.state == state && next.phase != at.phase {
                    results.insert("ends a raise or a Setup movement".to_owned());
                } else if next.state == state {
                    assert!(
                        moved.release,
                        "{state:?} {command:?} does nothing and says nothing"
                    );
                    results.insert("releases latches".to_owned());
                } else {
                    results.insert(format!("→ {}", next.state.word()));
                }
            }
        }
    }
    let refused: Vec<String> = refusals.into_iter().map(|(_, name)| name).collect();
    match (results.is_empty(), refused.is_empty()) {
        (true, _) if refused == ["wrong state"] => "–".to_owned(),
        (true, _) => format!("refused: {}", refused.join(", ")),
        (false, true) => join(results),
        (false, false) => format!("{}; or refused: {}", join(results), refused.join(", ")),
    }
}

fn join(set: BTreeSet<String>) -> String {
    set.into_iter().collect::<Vec<_>>().join(" or ")
}

#[test]
fn state_and_command_matrix() {
    let space = reachable();
    let rows = ALL_STATES.iter().map(|state| {
        let mut row = vec![format!("**{}**", state.word())];
        row.extend(
            ALL_COMMANDS
                .iter()
                .map(|command| answer(&space, *state, *command)),
        );
        row
    });
    let head: Vec<&str> = ["state"]
        .into_iter()
        .chain(ALL_COMMANDS.map(Command::word))
        .collect();
    check_both("state-command", &table(&head, rows));
}

/// The way from a departure to rest, every phase on it done at once.
fn way(mut at: Sequencer) -> String {
    let mut text = String::new();
    let done = Seen {
        view: View::Reached,
        standstill: true,
        recipe: true,
        ..Seen::default()
    };
    loop {
        let goals = at.goals();
        let place = format!("{} ({})", at.phase.word(), goals.load.word());
        let before = at;
        at.next(&done, Mode::Automatic);
        // A phase that ends in the tick of the departure is no stop on the way.
        if before.phase != Phase::Rest {
            text.push_str(&place);
            text.push_str(" → ");
        }
        if matches!(at.state, State::Held | State::Stopped | State::Aborted) {
            let end = format!("**{}**, {}", at.state.word(), at.goals().load.word());
            return text + &end;
        }
        assert_ne!(before, at, "stuck on the way to rest");
    }
}

#[test]
fn hold_stop_and_category_0() {
    let space = reachable();
    // Phases with the same ways share a row.
    let mut rows: Vec<(State, Vec<&str>, Vec<String>)> = Vec::new();
    for state in [State::Running, State::Restarting] {
        for phase in ALL_PHASES {
            let here: Vec<&Sequencer> = space
                .iter()
                .filter(|s| s.state == state && s.phase == phase)
                .collect();
            if here.is_empty() {
                continue;
            }
            let mut cells = Vec::new();
            for command in [Command::Hold, Command::Stop, Command::Abort] {
                let ways = here.iter().map(|at| {
                    let mut next = **at;
                    let seen = Seen {
                        command: Some(command),
                        recipe: true,
                        ..Seen::default()
                    };
                    next.next(&seen, Mode::Automatic);
                    way(next)
                });
                cells.push(join(ways.collect()));
            }
            match rows.last_mut() {
                Some((s, phases, ways)) if *s == state && *ways == cells => {
                    phases.push(phase.word());
                }
                _ => rows.push((state, vec![phase.word()], cells)),
            }
        }
    }
    let rows = rows.into_iter().map(|(state, phases, cells)| {
        let mut row = vec![state.word().to_owned(), phases.join(", ")];
        row.extend(cells);
        row
    });
    let head = [
        "state",
        "phase",
        "Hold",
        "Stop (category 1)",
        "Abort (category 0)",
    ];
    check_both("departures", &table(&head, rows));
}

#[test]
fn what_each_phase_of_the_ladder_asks_for() {
    let rows = ALL_PHASES
        .iter()
        .filter(|phase| phase.on_ladder())
        .map(|phase| {
            let seq = Sequencer {
                state: State::Running,
                phase: *phase,
                ..Sequencer::default()
            };
            let goals = seq.goals();
            vec![
                phase.word().to_owned(),
                goals.load.word().to_owned(),
                match goals.plate {
                    PlateGoal::Hold => "held",
                    PlateGoal::Float => "on the parts",
                    PlateGoal::Lower => "down, fast then creeping",
                    PlateGoal::Lift => "up, creeping then fast",
                    PlateGoal::LowerCreep => "creeping down",
                }
                .to_owned(),
                match goals.drives {
                    DriveGoal::Off => "off",
                    DriveGoal::Stop => "to standstill, powered",
                    DriveGoal::Run => "to the step's speeds",
                    DriveGoal::Reduced => "reduced",
                }
                .to_owned(),
                match goals.fluid {
                    Fluid::Off => "off",
                    Fluid::Prestart => "slurry, pre-start flow",
                    Fluid::Slurry => "slurry, step's flow",
                    Fluid::Rinse => "rinse water",
                }
                .to_owned(),
            ]
        });
    let head = ["phase", "load", "plate", "drives", "fluid"];
    check_both("goals", &table(&head, rows));
}

/// Ticks as a person writes them.
fn time(ticks: u32) -> String {
    format!("{} s", f64::from(ticks) / f64::from(TICKS_PER_SECOND))
}

/// What ends a phase of the ladder.
fn done_when(phase: Phase) -> String {
    match phase {
        Phase::Precheck => "all items of the list below".to_owned(),
        Phase::Lower => format!(
            "contact seen for {} net (a bounce takes away twice what it gave), not above the taught height",
            time(CONTACT_CONFIRM)
        ),
        Phase::TouchDown => format!(
            "load within the band around initial load for {}",
            time(SEATED)
        ),
        Phase::SlurryPrestart => format!(
            "flow proven for {} without a break, the programmed time spent, and standstill proven",
            time(WETTED)
        ),
        Phase::RunUp => format!(
            "ramp arrived and all drives in band for {}",
            time(UP_TO_SPEED)
        ),
        Phase::LoadRamp => format!(
            "load and reference in band, drives in band, {}",
            time(LOADED)
        ),
        Phase::Dwell => "in-band time, stock by gauge, or size by gauge".to_owned(),
        Phase::LoadRelease => format!(
            "back within the band of initial load, or of the step's where that is less, for {}",
            time(RELEASED)
        ),
        Phase::Rinse => "flow proven for the programmed time in all".to_owned(),
        Phase::RunDown => format!(
            "standstill proven on all four drives: under {STANDSTILL_RPM} rpm for {}",
            time(u32::from(STANDSTILL_TICKS))
        ),
        Phase::SlurryStop => format!("flow under {STOPPED_SHARE} of the minimum"),
        Phase::Lift => "raised and pinned".to_owned(),
        Phase::Rest | Phase::Coast | Phase::Manual => String::new(),
    }
}

/// After what time it is too late. Where machine or recipe say the time, in words; else what the controller itself has, in whose
/// parameters and recipes nothing matters then.
fn too_late_after(phase: Phase) -> String {
    let fixed = || {
        let job = twinplate_sim::demo::job("glass-f800");
        let ticks = deadline(phase, &job.params, None, None).expect("it has a deadline");
        time(ticks)
    };
    match phase {
        Phase::Precheck | Phase::TouchDown => fixed(),
        Phase::SlurryStop => format!(
            "{}; on the way to a stop or hold it goes on instead",
            fixed()
        ),
        // Without a recipe nothing is programmed: what is left is the spare time.
        Phase::SlurryPrestart | Phase::Rinse => format!("programmed time + {}", fixed()),
        Phase::Lower => format!("travel at its speeds + half + {TRAVEL_EXTRA} s"),
        Phase::RunUp => format!("ramp + half + {}", time(RAMP_SPARE)),
        Phase::LoadRamp => format!(
            "the longer of load ramp + half and speed ramp + half + {}, + {}",
            time(RAMP_SPARE),
            time(LOAD_SPARE)
        ),
        Phase::LoadRelease => format!("load ramp + half + {}", fixed()),
        Phase::Dwell => format!(
            "the step's longest time ends it, with alarm row {}",
            TABLE[Cond::StepOvertime as usize].id
        ),
        Phase::RunDown => format!(
            "the longer of ramp + half + {} and monitored stop time",
            time(RAMP_SPARE)
        ),
        Phase::Lift => format!("creep and lift at their speeds + half + {TRAVEL_EXTRA} s"),
        Phase::Rest | Phase::Coast | Phase::Manual => String::new(),
    }
}

#[test]
fn what_each_phase_waits_for_and_how_long() {
    let rows = ALL_PHASES
        .iter()
        .filter(|phase| phase.on_ladder())
        .map(|phase| {
            vec![
                phase.word().to_owned(),
                done_when(*phase),
                too_late_after(*phase),
            ]
        });
    check(
        PAGES[0],
        "waits",
        &table(&["phase", "done when", "too late after"], rows),
    );
}
