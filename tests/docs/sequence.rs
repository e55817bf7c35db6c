//! Tables of the sequence page that come from running the sequencer itself.

use crate::pages::{check, table};
use firmware_core::sequence::{
    ALL_PHASES, ALL_STATES, Command, DriveGoal, Fluid, Mode, Phase, PlateGoal, Seen, Sequencer,
    SetupMove, State, View,
};
use firmware_core::status::{LoadMode, Response};
use std::collections::BTreeSet;

const PAGE: &str = "docs/sequence-and-interlocks.md";
const COMMANDS: [Command; 6] = [
    Command::Start,
    Command::Hold,
    Command::Restart,
    Command::Stop,
    Command::Abort,
    Command::Reset,
];
const MODES: [Mode; 3] = [Mode::Automatic, Mode::Setup, Mode::PlateChange];
const MOVES: [SetupMove; 5] = [
    SetupMove::Raise,
    SetupMove::Lower,
    SetupMove::Jog,
    SetupMove::Purge,
    SetupMove::Condition,
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
            for command in COMMANDS.into_iter().map(Some).chain([None]) {
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
        for manual in MOVES.into_iter().map(Some).chain([None]) {
            for mode in MODES {
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

/// `WrongMode` as "wrong mode".
fn words(name: &str) -> String {
    let mut text = String::new();
    for c in name.chars() {
        if c.is_uppercase() && !text.is_empty() {
            text.push(' ');
        }
        text.extend(c.to_lowercase());
    }
    text
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
            for mode in MODES {
                let mut next = *at;
                let moved = next.next(&seen, mode);
                if let Some(refusal) = moved.refused {
                    refusals.insert((refusal as u16, words(&format!("{refusal:?}"))));
                } else if next.state == state && next.phase != at.phase {
                    results.insert("ends a raise or a Setup movement".to_owned());
                } else if next.state == state {
                    assert!(
                        moved.release,
                        "{state:?} {command:?} does nothing and says nothing"
                    );
                    results.insert("releases latches".to_owned());
                } else {
                    results.insert(format!("→ {}", next.state.name()));
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
        let mut row = vec![format!("**{}**", state.name())];
        row.extend(
            COMMANDS
                .iter()
                .map(|command| answer(&space, *state, *command)),
        );
        row
    });
    let head = [
        "state", "Start", "Hold", "Restart", "Stop", "Abort", "Reset",
    ];
    check(PAGE, "state-command", &table(&head, rows));
}

fn load(mode: LoadMode) -> &'static str {
    match mode {
        LoadMode::Safe => "cap vented",
        LoadMode::Resting => "resting load",
        LoadMode::Initial => "initial load",
        LoadMode::Tracking => "the step's load",
    }
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
        let place = format!("{} ({})", at.phase.name(), load(goals.load));
        let before = at;
        at.next(&done, Mode::Automatic);
        // A phase that ends in the tick of the departure is no stop on the way.
        if before.phase != Phase::Rest {
            text.push_str(&place);
            text.push_str(" → ");
        }
        if matches!(at.state, State::Held | State::Stopped | State::Aborted) {
            let end = format!("**{}**, {}", at.state.name(), load(at.goals().load));
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
                    phases.push(phase.name());
                }
                _ => rows.push((state, vec![phase.name()], cells)),
            }
        }
    }
    let rows = rows.into_iter().map(|(state, phases, cells)| {
        let mut row = vec![state.name().to_owned(), phases.join(", ")];
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
    check(PAGE, "departures", &table(&head, rows));
}

#[test]
fn what_each_phase_of_the_ladder_asks_for() {
    let rows = ALL_PHASES
        .iter()
        .filter(|p| !matches!(p, Phase::Rest | Phase::Coast | Phase::Manual))
        .map(|phase| {
            let seq = Sequencer {
                state: State::Running,
                phase: *phase,
                ..Sequencer::default()
            };
            let goals = seq.goals();
            vec![
                phase.name().to_owned(),
                load(goals.load).to_owned(),
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
    check(PAGE, "goals", &table(&head, rows));
}
