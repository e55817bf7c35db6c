//! Walks every state that the sequencer can reach under every input it can see, and asserts the rules of
//! `docs/sequence-and-interlocks.md` on every transition. A violation prints the shortest path that leads to it.
//!
//! Inputs are free: any command, request, response, view, bit and mode may come at any tick, in any order; the expiry of a
//! deadline is a response like any other. Two relations are kept: a run-down is `Reached` exactly when standstill is proven, because
//! they are the same measurement; and what comes after a phase (last step, reversal, rinse) is told only with its end.

use firmware_core::sequence::{
    Command, DriveGoal, Fluid, Goals, Mode, Moved, Phase, Plate, PlateGoal, Seen, Sequencer,
    SetupMove, State, View,
};
use firmware_core::status::{ALL_RESPONSES, LoadMode, Response};
use std::collections::{BTreeMap, HashMap, HashSet, VecDeque};

/// A reachable state plus what the rules need to remember of the way there.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
struct Node {
    seq: Sequencer,
    /// Standstill was proven since drives were last told to turn.
    still: bool,
    /// The movement that a grip of the hold-to-run control in the next tick may begin: in this tick everything permitted it, at rest,
    /// and the control was let go. Followed from what the walk showed, never from what the sequencer remembers.
    let_go: Option<SetupMove>,
}

const COMMANDS: [Option<Command>; 7] = [
    None,
    Some(Command::Start),
    Some(Command::Hold),
    Some(Command::Restart),
    Some(Command::Stop),
    Some(Command::Abort),
    Some(Command::Reset),
];
const MOVES: [Option<SetupMove>; 6] = [
    None,
    Some(SetupMove::Raise),
    Some(SetupMove::Lower),
    Some(SetupMove::Jog),
    Some(SetupMove::Purge),
    Some(SetupMove::Condition),
];
const MODES: [Mode; 3] = [Mode::Automatic, Mode::Setup, Mode::PlateChange];
const BITS: u32 = 10;

/// Calls `f` with every input and mode.
fn every_input(phase: Phase, mut f: impl FnMut(&Seen, Mode)) {
    for command in COMMANDS {
        for response in ALL_RESPONSES {
            for manual in MOVES {
                for bits in 0..1_u32 << BITS {
                    let bit = |n: u32| bits >> n & 1 == 1;
                    let standstill = bit(1);
                    if phase == Phase::RunDown && bit(0) != standstill {
                        continue;
                    }
                    if !bit(0) && (bit(3) || bit(4) || bit(5)) {
                        continue;
                    }
                    let seen = Seen {
                        command,
                        raise: bit(2),
                        view: if bit(0) { View::Reached } else { View::Waiting },
                        response,
                        last_step: bit(3),
                        reverses: bit(4),
                        rinses: bit(5),
                        standstill,
                        flow: bit(6),
                        manual,
                        parked: bit(7),
                        contact: bit(8),
                        held: bit(9),
                        recipe: true,
                    };
                    for mode in MODES {
                        f(&seen, mode);
                    }
                }
                // Whether a recipe is loaded matters only to starting and conditioning; one pass without it is enough.
                for held in [false, true] {
                    let bare = Seen {
                        command,
                        response,
                        held,
                        manual,
                        standstill: true,
                        ..Seen::default()
                    };
                    for mode in MODES {
                        f(&bare, mode);
                    }
                }
            }
        }
    }
}

fn driven(goals: &Goals) -> bool {
    matches!(goals.drives, DriveGoal::Run | DriveGoal::Reduced)
}

fn moves(goals: &Goals) -> bool {
    driven(goals)
        || matches!(
            goals.plate,
            PlateGoal::Lower | PlateGoal::LowerCreep | PlateGoal::Lift
        )
        || matches!(goals.load, LoadMode::Tracking)
        || goals.fluid != Fluid::Off
}

fn quiet(seq: &Sequencer) -> bool {
    matches!(
        seq.state,
        State::Idle | State::Held | State::Stopped | State::Aborted | State::Complete
    ) && matches!(seq.phase, Phase::Rest | Phase::TouchDown)
}

/// At rest, where a Setup movement may begin.
fn at_rest(seq: &Sequencer) -> bool {
    matches!(seq.state, State::Idle | State::Stopped | State::Aborted) && seq.phase == Phase::Rest
}

/// The movement that everything but the hand permits in this tick.
fn permitted(seen: &Seen, mode: Mode) -> Option<SetupMove> {
    let free = mode == Mode::Setup
        && seen.response < Response::Hold
        && seen.standstill
        && seen.command.is_none();
    seen.manual.filter(|_| free)
}

/// Transitions of ANSI/ISA-88.00.01 (with a resting state's own exits); the state matrix of the standard, from memory.
fn allowed(from: State, to: State) -> bool {
    use State::{
        Aborted, Aborting, Complete, Held, Holding, Idle, Restarting, Running, Stopped, Stopping,
    };
    from == to
        || matches!(
            (from, to),
            (Idle, Running)
                | (Running, Complete | Holding | Stopping | Aborting)
                | (Holding, Held | Stopping | Aborting)
                | (Held, Restarting | Stopping | Aborting)
                | (Restarting, Running | Holding | Stopping | Aborting)
                | (Stopping, Stopped | Aborting)
                | (Stopped, Idle | Aborting)
                | (Aborting, Aborted)
                | (Aborted | Complete, Idle)
                // A category 0 stop during a raise or a Setup movement: the latch beside the procedural state needs
                // standstill proven.
                | (Idle | Aborted, Aborting)
        )
}

/// The rules. Returns the name of the one that a transition breaks.
fn broken_rule(
    from: &Node,
    seen: &Seen,
    mode: Mode,
    to: &Node,
    moved: &Moved,
) -> Option<&'static str> {
    let (a, b) = (&from.seq, &to.seq);
    let (ga, gb) = (a.goals(), b.goals());
    let cycle = matches!(
        a.state,
        State::Running | State::Holding | State::Held | State::Restarting
    );
    let nothing_new = seen.command.is_none()
        && !seen.raise
        && seen.response < Response::Hold
        && seen.view == View::Waiting;
    let checks: [(&'static str, bool); 24] = [
        ("invariants of the state", b.invariants_hold()),
        (
            "ISA-88: only the standard's transitions",
            allowed(a.state, b.state),
        ),
        (
            "a waiting tick changes nothing",
            !(nothing_new && a.waits()) || (a == b && *moved == Moved::default()),
        ),
        (
            "never rotate dry: driven in contact needs something flowing",
            !(driven(&gb) && b.plate == Plate::Contact) || gb.fluid != Fluid::Off,
        ),
        (
            "never rotate dry: run-up only from a proven pre-start or through a wet standstill",
            b.phase != Phase::RunUp
                || a.phase == Phase::RunUp
                || (a.phase == Phase::SlurryPrestart && seen.view == View::Reached)
                || (a.phase == Phase::RunDown
                    && a.reversing
                    && ga.fluid != Fluid::Off
                    && seen.standstill),
        ),
        (
            "never power a turning drive: power comes on only at proven standstill",
            ga.drives != DriveGoal::Off || gb.drives == DriveGoal::Off || seen.standstill,
        ),
        (
            "never press still: tracking needs running drives",
            gb.load != LoadMode::Tracking || gb.drives == DriveGoal::Run,
        ),
        (
            "never press still: the load ramp begins only at speed or from the step before",
            b.phase != Phase::LoadRamp
                || a.phase == Phase::LoadRamp
                || (matches!(a.phase, Phase::RunUp | Phase::Dwell) && seen.view == View::Reached),
        ),
        (
            "never lift turning: lifting needs standstill proven since the last turn",
            gb.plate != PlateGoal::Lift || (to.still && !driven(&gb)),
        ),
        (
            "never lift turning: a cycle's lift asks for standstill in its own tick",
            !(a.state == State::Running && a.phase == Phase::SlurryStop && b.phase == Phase::Lift)
                || seen.standstill,
        ),
        (
            "never rotate dry: no jog on a plate that the cell feels",
            !(b.setup_move == Some(SetupMove::Jog) && a.phase == Phase::Rest && seen.contact),
        ),
        (
            "Stop and Hold end a raise or a Setup movement",
            !(matches!(a.state, State::Idle | State::Stopped | State::Aborted)
                && matches!(a.phase, Phase::Lift | Phase::Manual)
                && matches!(b.phase, Phase::Lift | Phase::Manual)
                && matches!(seen.command, Some(Command::Stop | Command::Hold))),
        ),
        (
            "never start by itself: motion from quiet needs Start, Restart, a raise or a held Setup control",
            !(quiet(a) && moves(&gb))
                || seen.command == Some(Command::Start)
                || seen.command == Some(Command::Restart)
                || seen.raise
                || (mode == Mode::Setup && seen.held && seen.manual.is_some()),
        ),
        (
            "never start by itself: a Setup movement needs a fresh grip, made when everything that permits it was there",
            b.phase != Phase::Manual
                || a.phase == Phase::Manual
                || (seen.held
                    && b.setup_move.is_some()
                    && b.setup_move == permitted(seen, mode)
                    && b.setup_move == from.let_go),
        ),
        (
            "a Setup movement ends with the hand on its control, and with what permits it",
            b.phase != Phase::Manual
                || (seen.held && mode == Mode::Setup && seen.manual == b.setup_move),
        ),
        (
            "never start by itself: Reset moves nothing",
            seen.command != Some(Command::Reset) || !quiet(a) || !moves(&gb),
        ),
        (
            "never start under a start inhibit or anything worse",
            !(matches!(a.state, State::Idle) && b.state == State::Running
                || a.state == State::Held && b.state == State::Restarting)
                || seen.response < Response::StartInhibit,
        ),
        (
            "never lose the reason: a departure is announced",
            a.state == b.state
                || !matches!(b.state, State::Holding | State::Stopping | State::Aborting)
                || moved.departed,
        ),
        (
            "category 0: an immediate stop takes the power off in the same tick",
            seen.response != Response::ImmediateStop
                || (gb.drives == DriveGoal::Off
                    && gb.load == LoadMode::Safe
                    && gb.plate == PlateGoal::Hold),
        ),
        (
            "category 1: a controlled stop leaves the ladder in the same tick",
            !(cycle && seen.response == Response::ControlledStop)
                || matches!(b.state, State::Stopping | State::Aborting),
        ),
        (
            "category 1: stopping presses with nothing but the resting load",
            b.state != State::Stopping || matches!(gb.load, LoadMode::Resting | LoadMode::Safe),
        ),
        (
            "category 2: a hold leaves the ladder in the same tick",
            !(matches!(a.state, State::Running | State::Restarting)
                && seen.response == Response::Hold)
                || matches!(b.state, State::Holding | State::Stopping | State::Aborting),
        ),
        (
            "a cycle starts and restarts only in Automatic",
            !(a.state == State::Idle && b.state == State::Running
                || a.state == State::Held && b.state == State::Restarting)
                || mode == Mode::Automatic,
        ),
        (
            "the way up is proved: no descent without a passed precheck",
            b.phase != Phase::Lower
                || a.phase == Phase::Lower
                || (a.phase == Phase::Precheck && seen.view == View::Reached),
        ),
    ];
    checks.iter().find(|(_, ok)| !ok).map(|(name, _)| *name)
}

fn step(from: &Node, seen: &Seen, mode: Mode) -> (Node, Moved) {
    let mut seq = from.seq;
    let moved = seq.next(seen, mode);
    let turned = driven(&from.seq.goals()) || driven(&seq.goals());
    let still = (from.still && !turned) || (seen.standstill && !driven(&seq.goals()));
    let let_go =
        permitted(seen, mode).filter(|_| !seen.held && at_rest(&from.seq) && at_rest(&seq));
    (Node { seq, still, let_go }, moved)
}

type Parents = HashMap<Node, Option<(Node, String)>>;

fn timeline(parents: &Parents, end: &Node) -> String {
    let mut lines = Vec::new();
    let mut at = *end;
    while let Some(Some((before, why))) = parents.get(&at) {
        lines.push(format!(
            "  {:<10} {:<16} --{why}--> {} {}",
            before.seq.state.name(),
            before.seq.phase.name(),
            at.seq.state.name(),
            at.seq.phase.name()
        ));
        at = *before;
    }
    lines.reverse();
    lines.join("\n")
}

fn describe(seen: &Seen, mode: Mode) -> String {
    let mut words = Vec::new();
    if let Some(c) = seen.command {
        words.push(format!("{c:?}"));
    }
    if seen.raise {
        words.push("raise request".into());
    }
    if seen.response != Response::None {
        words.push(format!("response {:?}", seen.response));
    }
    if seen.view == View::Reached {
        words.push("phase reached".into());
    }
    if let Some(m) = seen.manual {
        words.push(format!("{m:?} selected, key on, guard locked"));
    }
    if seen.held {
        words.push("control held".into());
    }
    if seen.standstill {
        words.push("standstill".into());
    }
    words.push(format!("{mode:?}"));
    words.join(", ")
}

/// Everything reachable: nodes, their successors, and how many transitions were taken.
struct Space {
    parents: Parents,
    successors: BTreeMap<Node, HashSet<Node>>,
    transitions: u64,
}

fn starts() -> Vec<Node> {
    [(true, false), (false, true), (false, false)]
        .into_iter()
        .map(|(parked, contact)| Node {
            seq: Sequencer::power_up(parked, contact),
            still: false,
            let_go: None,
        })
        .collect()
}

fn explore() -> Result<Space, String> {
    let mut space = Space {
        parents: HashMap::new(),
        successors: BTreeMap::new(),
        transitions: 0,
    };
    let mut queue = VecDeque::new();
    for start in starts() {
        space.parents.insert(start, None);
        queue.push_back(start);
    }
    while let Some(node) = queue.pop_front() {
        let mut next: HashMap<Node, (Seen, Mode)> = HashMap::new();
        let mut last = None;
        let mut violation = None;
        let mut count = 0_u64;
        every_input(node.seq.phase, |seen, mode| {
            if violation.is_some() {
                return;
            }
            let (to, moved) = step(&node, seen, mode);
            count += 1;
            if let Some(rule) = broken_rule(&node, seen, mode, &to, &moved) {
                violation = Some((rule, to, describe(seen, mode)));
                return;
            }
            if last != Some(to) {
                last = Some(to);
                next.entry(to).or_insert((*seen, mode));
            }
        });
        space.transitions += count;
        if let Some((rule, to, why)) = violation {
            return Err(format!(
                "rule broken: {rule}\n{}\n  {:<10} {:<16} --{why}--> {} {}",
                timeline(&space.parents, &node),
                node.seq.state.name(),
                node.seq.phase.name(),
                to.seq.state.name(),
                to.seq.phase.name()
            ));
        }
        // Deterministic order, so that the same tree prints the same shortest path.
        let mut found: Vec<_> = next.into_iter().collect();
        found.sort_by_key(|(to, _)| *to);
        for (to, (seen, mode)) in found {
            space.successors.entry(node).or_default().insert(to);
            if let std::collections::hash_map::Entry::Vacant(place) = space.parents.entry(to) {
                place.insert(Some((node, describe(&seen, mode))));
                queue.push_back(to);
            }
        }
    }
    Ok(space)
}

#[test]
fn every_reachable_transition_keeps_every_rule_and_leads_home() {
    let space = match explore() {
        Ok(space) => space,
        Err(report) => panic!("{report}"),
    };
    println!(
        "{} states, {} transitions",
        space.parents.len(),
        space.transitions
    );

    // Every procedural state and every phase is reachable: a walk that misses some proves little.
    let states: HashSet<State> = space.parents.keys().map(|n| n.seq.state).collect();
    let phases: HashSet<Phase> = space.parents.keys().map(|n| n.seq.phase).collect();
    assert_eq!(states.len(), 10, "procedural states reached: {states:?}");
    assert_eq!(phases.len(), 15, "phases reached: {phases:?}");

    // From everywhere there is a documented way to Idle: reverse reachability on the same graph.
    let mut before: HashMap<Node, Vec<Node>> = HashMap::new();
    for (from, tos) in &space.successors {
        for to in tos {
            before.entry(*to).or_default().push(*from);
        }
    }
    let mut home: HashSet<Node> = space
        .parents
        .keys()
        .filter(|n| n.seq.state == State::Idle && n.seq.phase == Phase::Rest)
        .copied()
        .collect();
    let mut queue: VecDeque<Node> = home.iter().copied().collect();
    while let Some(node) = queue.pop_front() {
        for from in before.get(&node).into_iter().flatten() {
            if home.insert(*from) {
                queue.push_back(*from);
            }
        }
    }
    for node in space.parents.keys() {
        assert!(
            home.contains(node),
            "no way home from {node:?}:\n{}",
            timeline(&space.parents, node)
        );
    }
}
