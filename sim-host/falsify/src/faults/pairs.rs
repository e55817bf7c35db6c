//! Pairs of faults, sampled by the seed: a second fault in another component begins some time after the first.
//!
//! No ordinary controller answers every two faults at once, and none is asked to here. A pair passes when what it does follows from
//! its two faults: harm that one of them does by itself, begun there and then, and is declared to; or harm for which one of [`MASKS`]
//! says beforehand which of the two takes away what the answer to the other needs. Anything else is a defect. Which row answers is
//! free (two faults show themselves in more ways than one), but every row that is due must ask, what it asks for must be done, and a
//! safe state be reached unless one of the two is declared not to.

use super::answers::{Longer, excused};
use super::fork::{Ending, Followed, Seen, Tried};
use super::harms::{DECLARED, DRIVES, Kind};
use super::judge::{self, Difference, Done, Place};
use super::moments::{Column, Moment, Snapshot};
use super::{Bed, MatrixError};
use firmware_core::interlock::Cond;
use twinplate_sim::bench::{Journal, PortError, ensemble};
use twinplate_sim::model::{Component as C, FaultMode as M};
use twinplate_sim::plant::fault_table::{SUPPORTED, Supported, mode_name, name};
use twinplate_sim::plant::seed::substream;

/// Pairs of one matrix. Invented: as many as cost a few seconds.
pub const PAIRS: usize = 400;
/// The second fault begins at most so many ticks after the first: within the time in which a stop is carried out. Invented.
const LATER: u64 = 2000;

/// One pair that was tried.
#[derive(Clone, Debug)]
pub struct Pair {
    /// Its number among the seed's pairs.
    pub number: usize,
    /// The two faults in the order in which they begin.
    pub faults: [&'static Supported; 2],
    /// Ticks between them.
    pub later: u32,
    /// Where the first begins.
    pub column: Column,
    /// At which moment there.
    pub moment: Moment,
    /// What was seen, or why the first could not be tried.
    pub tried: Tried,
    /// Harm, with what declares it.
    pub harms: Vec<Done>,
    /// What else is not as declared.
    pub wrong: Vec<String>,
    /// The journal of a pair that fails.
    pub journal: Option<Journal>,
}

impl Pair {
    /// All of it follows from the two faults.
    #[must_use]
    pub fn passes(&self) -> bool {
        self.wrong.is_empty() && self.harms.iter().all(|harm| harm.reason.is_some())
    }

    /// Its name: number and faults, so that it can be a file's name.
    #[must_use]
    pub fn name(&self) -> String {
        let [a, b] = self
            .faults
            .map(|f| format!("{}-{}", name(f.component), mode_name(f.mode)));
        format!("pair-{}-{a}-{b}", self.number)
    }
}

/// Harm that two faults do together and neither alone.
#[derive(Clone, Copy, Debug)]
pub struct Mask {
    /// Components of one fault, whichever comes first.
    pub one: &'static [C],
    /// Its modes.
    pub one_modes: &'static [M],
    /// Components of the other.
    pub other: &'static [C],
    /// Its modes.
    pub other_modes: &'static [M],
    /// Kinds of harm.
    pub kinds: &'static [Kind],
    /// Which of the two takes away what.
    pub reason: &'static str,
}

/// Everything that turns, or is turned.
const TURNED: &[C] = &[
    C::DriveInner,
    C::DriveOuter,
    C::DriveLower,
    C::DriveUpper,
    C::Dog,
];
const ANY: &[M] = &M::ALL;

/// The masks.
pub const MASKS: &[Mask] = &[
    Mask {
        one: TURNED,
        one_modes: ANY,
        other: &[C::DumpValve, C::Regulator],
        other_modes: &[
            M::Stuck,
            M::Garbage,
            M::Wrong,
            M::Slow,
            M::Delayed,
            M::Intermittent,
        ],
        kinds: &[Kind::OutOfRatio],
        reason: "a drive has failed, and a valve that should release the load is late or does not: the carriers bear the error under load",
    },
    Mask {
        one: DRIVES,
        one_modes: ANY,
        other: TURNED,
        other_modes: ANY,
        kinds: &[Kind::OutOfRatio],
        reason: "two drives have failed: the others can follow only one of them down",
    },
    Mask {
        one: TURNED,
        one_modes: ANY,
        other: &[C::LoadCell, C::RodSwitch, C::RodValve, C::Supply],
        other_modes: ANY,
        kinds: &[Kind::OutOfRatio],
        reason: "a drive has failed while the load on it is not what the controller measures",
    },
    Mask {
        one: &[C::Pump, C::SlurryLine, C::RinseWater],
        one_modes: ANY,
        other: &[C::FlowSensor],
        other_modes: ANY,
        kinds: &[Kind::DryTurning],
        reason: "the flow is gone, and its sensor, the only one, says otherwise",
    },
    Mask {
        one: &[C::Regulator],
        one_modes: ANY,
        other: &[C::LoadCell, C::DumpValve, C::CapTransmitter],
        other_modes: ANY,
        kinds: &[Kind::PartOverload],
        reason: "the regulator presses by itself, and what would see it, or vent it, has failed: only the mechanical relief is left",
    },
    Mask {
        one: &[C::RodValve, C::HeightTransmitter],
        one_modes: ANY,
        other: &[C::HeightTransmitter, C::RodValve, C::LoadCell],
        other_modes: ANY,
        kinds: &[Kind::PartOverload],
        reason: "height and cell end the descent, and both, or one of them and the valve, have failed",
    },
    Mask {
        one: &[C::Counterbalance, C::RodValve],
        one_modes: ANY,
        other: &[C::RodSwitch, C::RodValve],
        other_modes: ANY,
        kinds: &[
            Kind::Fell,
            Kind::PartOverload,
            Kind::AboveRated,
            Kind::OutOfRatio,
        ],
        reason: "the counterbalance is lost, and the switch that would report it or the valve that would hold it has failed too",
    },
];

impl Mask {
    /// Whether it is about these two.
    #[must_use]
    pub fn covers(&self, [a, b]: [&Supported; 2]) -> bool {
        let is = |fault: &Supported, components: &[C], modes: &[M]| {
            components.contains(&fault.component) && modes.contains(&fault.mode)
        };
        (is(a, self.one, self.one_modes) && is(b, self.other, self.other_modes))
            || (is(b, self.one, self.one_modes) && is(a, self.other, self.other_modes))
    }
}

/// What declares a harm of two faults, of which `alone` says what harm each does by itself, begun in the same place at the same time.
fn reason(faults: [&Supported; 2], alone: &[Vec<Kind>; 2], kind: Kind) -> Option<&'static str> {
    let by_itself = faults
        .iter()
        .zip(alone)
        .filter(|(_, kinds)| kinds.contains(&kind))
        .find_map(|(fault, _)| {
            DECLARED.iter().find(|entry| {
                entry.kinds.contains(&kind)
                    && entry.components.contains(&fault.component)
                    && entry.modes.contains(&fault.mode)
            })
        });
    by_itself.map(|entry| entry.reason).or_else(|| {
        MASKS
            .iter()
            .find(|mask| mask.kinds.contains(&kind) && mask.covers(faults))
            .map(|mask| mask.reason)
    })
}

/// The harm that each of two faults does by itself, begun where and when it does beside the other.
fn alone(
    bed: &Bed,
    snapshot: &Snapshot,
    faults: [&'static Supported; 2],
    later: u32,
) -> Result<[Vec<Kind>; 2], PortError> {
    let mut kinds = [Vec::new(), Vec::new()];
    for ((kinds, fault), after) in kinds.iter_mut().zip(faults).zip([0, later]) {
        let mut rig = snapshot.rig.clone();
        rig.advance(after)?;
        let tried = bed.fork(rig, fault, None, &[])?.tried;
        if let Tried::Ran(seen) = tried {
            let place = Place::of(fault, snapshot.column);
            let done = judge::harms(place, &seen, &bed.job, &bed.nominal);
            kinds.extend(done.iter().map(|harm| harm.kind));
        }
    }
    Ok(kinds)
}

/// Runs the pairs of the bed's seed.
///
/// # Errors
/// [`MatrixError::Port`].
pub fn sample(
    bed: &Bed,
    threads: usize,
    progress: &(dyn Fn(usize) + Sync),
) -> Result<Vec<Pair>, MatrixError> {
    ensemble(PAIRS, threads.max(1), progress, |number| pair(bed, number))
        .into_iter()
        .flat_map(Result::transpose)
        .collect::<Result<_, _>>()
        .map_err(MatrixError::Port)
}

/// Draws and runs one pair; `None` only on a machine without snapshots.
fn pair(bed: &Bed, number: usize) -> Result<Option<Pair>, PortError> {
    let draw = |purpose: &str, of: u64| {
        // By the recipe too, so that no two machines try the same pairs.
        let drawn = substream(bed.seed, &bed.job.recipe.id, purpose, number as u64);
        usize::try_from(drawn % of.max(1)).unwrap_or(0)
    };
    let first = draw("first", SUPPORTED.len() as u64);
    let snapshot = draw("snapshot", bed.nominal.snapshots.len() as u64);
    let later = u32::try_from(draw("later", LATER)).unwrap_or(0) + 1;
    let (Some(a), Some(snapshot)) = (SUPPORTED.get(first), bed.nominal.snapshots.get(snapshot))
    else {
        return Ok(None);
    };
    let others: Vec<&'static Supported> = SUPPORTED
        .iter()
        .filter(|row| row.component != a.component)
        .collect();
    let Some(b) = others.get(draw("second", others.len() as u64)) else {
        return Ok(None);
    };
    let faults = [a, *b];
    let Followed { tried, rig, .. } = bed.fork(snapshot.rig.clone(), a, Some((later, *b)), &[])?;
    let mut pair = Pair {
        number,
        faults,
        later,
        column: snapshot.column,
        moment: snapshot.moment,
        tried,
        harms: Vec::new(),
        wrong: Vec::new(),
        journal: None,
    };
    if let Tried::Ran(seen) = &pair.tried {
        let place = Place::of(a, snapshot.column);
        pair.harms = judge::harms(place, seen, &bed.job, &bed.nominal);
        if !pair.harms.is_empty() {
            let alone = alone(bed, snapshot, faults, later)?;
            for harm in &mut pair.harms {
                harm.reason = reason(faults, &alone, harm.kind);
            }
        }
        pair.wrong = wrong(faults, seen);
        let ending = seen.ending;
        if !pair.passes() {
            pair.journal = Some(bed.journal(rig, ending)?);
        }
    }
    Ok(Some(pair))
}

fn wrong(faults: [&Supported; 2], seen: &Seen) -> Vec<String> {
    let mut found: Vec<Difference> = judge::silent(seen).collect();
    if let Some(trip) = seen.acted.filter(|trip| !trip.taken) {
        let row = trip.row().name;
        found.push(Difference::NotTaken { row });
    }
    if seen.ending == Ending::Unsettled {
        if seen.rows & Cond::CoastOverrun.bit() == 0 {
            found.push(Difference::Untold);
        }
        let never = |f: &&Supported| excused(f.component, f.mode, Longer::Never).is_some();
        if !faults.iter().any(never) {
            found.push(Difference::Unsafe);
        }
    }
    found.iter().map(ToString::to_string).collect()
}
