//! Every request in every state, phase, place of the plate and mode, under everything that it asks for: taken or refused as the table
//! of requests says, and nothing else touched. The table is `docs/sequence-and-interlocks.md`; it is said a second time here, and the
//! numbers of its last column are those that were seen.

use super::{Controller, controller, recipe};
use crate::plate_form::MOST_FORM;
use crate::recipe::RecipeWire;
use crate::sequence::{
    ALL_MODES, ALL_PHASES, ALL_PLATES, ALL_SETUP_MOVES, ALL_STATES, Mode, Phase, Plate, Refusal,
    Request, SetupMove, State,
};
use crate::status::Response;
use crate::units::Micrometres;
use std::collections::BTreeSet;
use std::format;
use std::string::String;
use std::vec::Vec;

/// Where the machine is, and what a request may ask for.
#[derive(Clone, Copy, Debug)]
struct Place {
    state: State,
    phase: Phase,
    plate: Plate,
    mode: Mode,
    standstill: bool,
    vented: bool,
    key: bool,
    local_enable: bool,
    shut: bool,
    response: Response,
}

impl Place {
    /// No cycle is under way and nothing moves.
    fn rests(&self, states: &[State]) -> bool {
        states.contains(&self.state) && self.phase == Phase::Rest
    }

    fn put(&self, controller: &mut Controller) {
        (controller.seq.state, controller.seq.phase) = (self.state, self.phase);
        controller.seq.plate = self.plate;
        controller.mode = self.mode;
        (controller.standstill, controller.vented) = (self.standstill, self.vented);
        (controller.setup_key, controller.local_enable) = (self.key, self.local_enable);
        controller.guard_shut = self.shut;
        controller.status.response = self.response;
    }
}

const QUIET: [State; 4] = [State::Idle, State::Complete, State::Stopped, State::Aborted];

/// Every place at rest with everything that may be there or not; every other place with all of it and with nothing.
fn places() -> Vec<Place> {
    let mut places = Vec::new();
    for state in ALL_STATES {
        for phase in ALL_PHASES {
            let every = QUIET.contains(&state) && phase == Phase::Rest;
            for bits in (0..64_u8).filter(|bits| every || matches!(bits, 0 | 63)) {
                let bit = |n: u8| bits >> n & 1 == 1;
                for plate in ALL_PLATES {
                    for mode in ALL_MODES {
                        places.push(Place {
                            state,
                            phase,
                            plate,
                            mode,
                            standstill: bit(0),
                            vented: bit(1),
                            key: bit(2),
                            local_enable: bit(3),
                            shut: bit(4),
                            // A start inhibit forbids no raise; a hold does.
                            response: if bit(5) {
                                Response::StartInhibit
                            } else {
                                Response::Hold
                            },
                        });
                    }
                }
            }
        }
    }
    places
}

/// A request, its row of the page's table, and what it may touch when it is taken: fields of the controller.
struct Asked {
    row: &'static str,
    request: Request,
    touches: &'static [&'static str],
}

/// What a recipe or a form brings with it: the setting that is chosen, and the step as it turns with it.
const LOADS: &[&str] = &[
    "recipe",
    "recipe_wrong",
    "flatness",
    "form_found",
    "aims",
    "step",
    "current",
    "pieces",
    "events",
];

fn requests(controller: &Controller) -> Vec<Asked> {
    let fits = recipe(controller);
    let wrong = RecipeWire {
        machine_id: fits.machine_id.wrapping_add(1),
        ..fits.clone()
    };
    let form = |lower: f32| Request::ReportForm {
        lower: Micrometres::new(lower),
        upper: Micrometres::new(1.0),
    };
    let asked = |row, request, touches| Asked {
        row,
        request,
        touches,
    };
    let mut all = std::vec![
        asked(
            "confirm parts",
            Request::ConfirmParts { pieces: 7 },
            &["pieces"] as &[_]
        ),
        asked("load recipe", Request::LoadRecipe(fits), LOADS),
        asked("load recipe", Request::LoadRecipe(wrong), &[]),
        asked("raise", Request::Raise, &["raise"]),
        asked("unlock guard", Request::UnlockGuard, &["guard_unlock"]),
        asked(
            "lock guard, acknowledge",
            Request::LockGuard,
            &["guard_unlock"]
        ),
        asked(
            "lock guard, acknowledge",
            Request::Acknowledge,
            &["annunciator", "events"]
        ),
        asked(
            "arm remote start",
            Request::ArmRemote(true),
            &["remote_armed"]
        ),
        asked(
            "arm remote start",
            Request::ArmRemote(false),
            &["remote_armed"]
        ),
        asked("report the form of the plates", form(-3.0), LOADS),
        asked(
            "report the form of the plates",
            form(MOST_FORM.get() + 1.0),
            &[]
        ),
        asked("report the form of the plates", form(f32::NAN), &[]),
    ];
    // A plate that was changed has another tare and another form.
    let modes: &[&str] = &[
        "mode",
        "setup_move",
        "signal",
        "flatness",
        "form_found",
        "aims",
        "current",
        "events",
    ];
    all.extend(ALL_MODES.map(|mode| asked("change mode", Request::SetMode(mode), modes)));
    all.extend(ALL_SETUP_MOVES.map(|wanted| {
        asked(
            "select Setup movement",
            Request::SelectMove(wanted),
            &["setup_move"],
        )
    }));
    all
}

/// Every reason for which the request must be refused here; none: it is taken.
fn reasons(request: &Request, at: &Place) -> Vec<Refusal> {
    use State::{Aborted, Idle, Stopped};
    let rests = at.rests(&QUIET);
    let wants: Vec<(bool, Refusal)> = match request {
        Request::ConfirmParts { .. } => std::vec![(rests, Refusal::WrongState)],
        Request::LoadRecipe(wire) => std::vec![
            (rests, Refusal::WrongState),
            (
                wire.machine_id == crate::params::tests::sample().machine_id,
                Refusal::RecipeInvalid,
            ),
        ],
        Request::Raise => std::vec![
            (at.rests(&[Stopped, Aborted]), Refusal::WrongState),
            (at.mode == Mode::Automatic, Refusal::WrongMode),
            (at.standstill, Refusal::NotStandstill),
            (at.response < Response::Hold, Refusal::Inhibited),
            (at.shut, Refusal::Inhibited),
        ],
        Request::UnlockGuard => std::vec![
            (rests, Refusal::WrongState),
            (at.standstill, Refusal::NotStandstill),
            (at.vented, Refusal::NotVented),
            (
                at.plate == Plate::Parked || matches!(at.state, Stopped | Aborted),
                Refusal::NotRaised,
            ),
        ],
        Request::LockGuard | Request::Acknowledge | Request::ArmRemote(false) => std::vec![],
        Request::SetMode(mode) => {
            let change = *mode == Mode::PlateChange;
            std::vec![
                (at.rests(&[Idle, Stopped, Aborted]), Refusal::WrongState),
                (*mode != Mode::Setup || at.key, Refusal::NoKey),
                (!change || at.plate == Plate::Parked, Refusal::NotRaised),
                (!change || at.vented, Refusal::NotVented),
            ]
        }
        Request::SelectMove(_) => std::vec![(at.mode == Mode::Setup, Refusal::WrongMode)],
        Request::ArmRemote(true) => std::vec![(at.local_enable, Refusal::NoLocalEnable)],
        Request::ReportForm { lower, .. } => std::vec![
            (rests, Refusal::WrongState),
            (lower.abs() <= MOST_FORM, Refusal::NoSuchForm),
        ],
    };
    let broken = wants.into_iter().filter(|(met, _)| !met);
    broken.map(|(_, refusal)| refusal).collect()
}

macro_rules! differing {
    ($a:expr, $b:expr; $($field:ident),* $(,)?) => {{
        // A field that is added must be named here, or this does not compile.
        let Controller { $($field: _),* } = $a;
        let mut names: Vec<&'static str> = Vec::new();
        $(if format!("{:?}", $a.$field) != format!("{:?}", $b.$field) {
            names.push(stringify!($field));
        })*
        names
    }};
}

/// Fields of the controller that are not what they were.
fn touched(a: &Controller, b: &Controller) -> Vec<&'static str> {
    differing!(a, b; params, recipe, recipe_wrong, flatness, form_found, signal, latch, annunciator, judge, seq, goals, aims,
        load_loop, drives, events, mode, step, current, old_limit, limit, pieces, batches, boots, tick, booted, raise, setup_move,
        guard_unlock, remote_armed, setup_key, local_enable, cause, fault_is_new, guard_shut, outputs, standstill, vented, status)
}

#[test]
fn each_request_is_taken_or_refused_as_its_table_says() {
    let base = controller();
    let requests = requests(&base);
    let (mut taken, mut refused) = (0, 0);
    for at in places() {
        for asked in &requests {
            let mut controller = base.clone();
            at.put(&mut controller);
            let answer = controller.request(&asked.request);
            let reasons = reasons(&asked.request, &at);
            match answer {
                Ok(()) => {
                    taken += 1;
                    assert!(
                        reasons.is_empty(),
                        "{} is taken in {at:?}, against {reasons:?}",
                        asked.row
                    );
                }
                Err(refusal) => {
                    refused += 1;
                    assert!(
                        reasons.contains(&refusal),
                        "{}: {refusal:?} in {at:?}, due: {reasons:?}",
                        asked.row
                    );
                }
            }
        }
    }
    // Both sides were tried: a table that is asked on one side alone says little.
    assert!(
        taken > 10_000 && refused > 10_000,
        "{taken} taken, {refused} refused"
    );
}

#[test]
fn a_request_touches_what_it_is_for_and_a_refused_one_nothing() {
    let base = controller();
    let requests = requests(&base);
    let some = |at: &Place| {
        matches!(
            at.phase,
            Phase::Rest | Phase::Dwell | Phase::Lift | Phase::Manual
        ) && (at.plate == Plate::Parked || at.phase == Phase::Rest)
            && at.standstill == at.vented
            && at.vented == at.key
            && at.key == at.local_enable
            && at.local_enable == at.shut
            && at.shut == (at.response < Response::Hold)
    };
    for at in places().into_iter().filter(some) {
        for asked in &requests {
            let mut before = base.clone();
            at.put(&mut before);
            // What a request sets is never there already.
            before.guard_unlock = asked.request == Request::LockGuard;
            before.remote_armed = asked.request == Request::ArmRemote(false);
            let mut after = before.clone();
            let answer = after.request(&asked.request);
            let touched = touched(&before, &after);
            let may: &[&str] = match answer {
                Ok(()) => asked.touches,
                // The old recipe goes too, so that nobody runs another than the one that is shown.
                Err(Refusal::RecipeInvalid) => LOADS,
                Err(_) => &["events"],
            };
            assert!(
                touched.iter().all(|field| may.contains(field)),
                "{} in {at:?}: {touched:?}",
                asked.row
            );
            // A choice may be made again, and a mode too; everything else shows that it was made.
            let must = asked
                .touches
                .first()
                .filter(|_| answer.is_ok() && asked.row != "load recipe");
            let again = matches!(&asked.request, Request::SetMode(mode) if *mode == at.mode);
            let must = match &asked.request {
                Request::ReportForm { .. } => Some(&"flatness").filter(|_| answer.is_ok()),
                // Its list may be empty already.
                Request::Acknowledge => Some(&"events"),
                Request::ConfirmParts { .. }
                | Request::LoadRecipe(_)
                | Request::Raise
                | Request::UnlockGuard
                | Request::LockGuard
                | Request::SetMode(_)
                | Request::SelectMove(_)
                | Request::ArmRemote(_) => must,
            };
            let shows = must.is_none_or(|field| again || touched.contains(field));
            assert!(shows, "{} in {at:?} did nothing: {touched:?}", asked.row);
        }
    }
}

/// What a request that is taken sets, by value.
#[test]
fn a_request_that_is_taken_does_what_it_says() {
    let mut c = controller();
    let rest = |c: &mut Controller, state: State, mode: Mode| {
        (c.seq.state, c.seq.phase, c.mode) = (state, Phase::Rest, mode);
        (
            c.standstill,
            c.vented,
            c.setup_key,
            c.local_enable,
            c.guard_shut,
        ) = (true, true, true, true, true);
    };
    rest(&mut c, State::Stopped, Mode::Automatic);
    c.pieces = 0;
    assert_eq!(c.request(&Request::ConfirmParts { pieces: 9 }), Ok(()));
    assert_eq!(c.pieces, 9);
    // Another recipe is another count.
    let fits = recipe(&c);
    assert_eq!(c.request(&Request::LoadRecipe(fits)), Ok(()));
    assert!(c.recipe.is_some() && !c.recipe_wrong && c.pieces == 0);
    let wrong = RecipeWire {
        pieces: 0,
        ..recipe(&c)
    };
    assert_eq!(
        c.request(&Request::LoadRecipe(wrong)),
        Err(Refusal::RecipeInvalid)
    );
    assert!(c.recipe.is_none() && c.current.is_none() && c.recipe_wrong);
    assert_eq!(c.request(&Request::Raise), Ok(()));
    assert!(c.raise);
    assert_eq!(c.request(&Request::UnlockGuard), Ok(()));
    assert!(c.guard_unlock);
    assert_eq!(c.request(&Request::LockGuard), Ok(()));
    assert!(!c.guard_unlock);
    for arm in [true, false] {
        assert_eq!(c.request(&Request::ArmRemote(arm)), Ok(()));
        assert_eq!(c.remote_armed, arm);
    }
    assert_eq!(c.request(&Request::SetMode(Mode::Setup)), Ok(()));
    assert_eq!(c.mode, Mode::Setup);
    assert_eq!(c.request(&Request::SelectMove(SetupMove::Jog)), Ok(()));
    assert_eq!(c.setup_move, Some(SetupMove::Jog));
    // A movement that was chosen does not outlast its mode.
    assert_eq!(c.request(&Request::SetMode(Mode::Setup)), Ok(()));
    assert_eq!(c.setup_move, None);
    assert_eq!(c.request(&Request::SetMode(Mode::PlateChange)), Ok(()));
    // The plate that comes back may be another: what it weighs is learned again, and its form is not known.
    let form = Micrometres::new(1.0);
    assert_eq!(
        c.request(&Request::ReportForm {
            lower: form,
            upper: form
        }),
        Ok(())
    );
    assert_eq!(c.flatness.age(), 0);
    assert_eq!(c.request(&Request::SetMode(Mode::Automatic)), Ok(()));
    assert!(!c.signal.tared());
    assert_eq!(c.flatness.age(), crate::plate_form::OUT_OF_DATE);
}

/// The last column of the page's table against what was seen in every place.
#[test]
fn the_page_names_every_refusal_of_each_request_and_no_other() {
    let page = include_str!("../../../../docs/sequence-and-interlocks.md");
    let mut table = page
        .lines()
        .skip_while(|line| !line.starts_with("| request | allowed |"))
        .skip(2)
        .take_while(|line| line.starts_with('|'));
    let base = controller();
    let requests = requests(&base);
    let mut rows: Vec<&str> = requests.iter().map(|asked| asked.row).collect();
    rows.dedup();
    rows.sort_unstable();
    rows.dedup();
    let mut said = BTreeSet::new();
    for line in table.by_ref() {
        let cells: Vec<&str> = line.trim_matches('|').split('|').map(str::trim).collect();
        let numbers = cells[2].split(';').next().unwrap_or("");
        let mut numbers: Vec<u16> = numbers
            .split(',')
            .filter_map(|n| n.trim().parse().ok())
            .collect();
        numbers.sort_unstable();
        let mut seen = BTreeSet::new();
        for at in places() {
            for asked in requests.iter().filter(|asked| asked.row == cells[0]) {
                let mut controller = base.clone();
                at.put(&mut controller);
                if let Err(refusal) = controller.request(&asked.request) {
                    seen.insert(refusal as u16);
                }
            }
        }
        assert_eq!(
            numbers,
            seen.into_iter().collect::<Vec<_>>(),
            "{}",
            cells[0]
        );
        said.insert(String::from(cells[0]));
    }
    assert_eq!(
        said.into_iter().collect::<Vec<_>>(),
        rows,
        "every request has its row"
    );
}
