//! Which number a finding moves. Each rule moves one number once; the draft is judged anew after that.

use crate::lever::Lever;
use crate::limit::Limit;
use crate::plan::{Plan, fives};
use firmware_core::interlock::{Cond, TABLE};
use twinplate_check::finding::significant;
use twinplate_check::{Case, Code, Finding};
use twinplate_sim::math::{max, min};

/// What came of mending a finding.
#[derive(Debug)]
pub(crate) enum Repaired {
    /// A number was moved.
    Changed,
    /// Nothing moves: what binds.
    Stuck(Vec<Limit>),
}

/// What is taken off beyond what a rule asks, so that rounding does not bring it back.
const BEYOND: f64 = 0.97;

/// Moves what a finding asks for.
pub(crate) fn repair(plan: &mut Plan, case: &Case, finding: &Finding) -> Repaired {
    let moved = if stalls(plan, finding) {
        Err(vec![Limit::of(finding.code)])
    } else {
        by_code(plan, case, finding)
    };
    match moved {
        Ok(what) => {
            plan.note(finding.name(), what);
            Repaired::Changed
        }
        Err(limits) => Repaired::Stuck(limits),
    }
}

/// Least that a change must bring, share of what was over the bound.
const BRINGS: f64 = 0.08;

/// Whether what was moved for the same finding of the parts before brought hardly anything: more of it will not help either.
fn stalls(plan: &mut Plan, finding: &Finding) -> bool {
    use Code as C;
    let of_parts = matches!(
        finding.code,
        C::ProofSize | C::ProofSpread | C::ProofFlatness | C::ProofParallelism | C::ProofFinish
    );
    let (Some(found), Some(bound)) = (finding.measured, finding.limit) else {
        return false;
    };
    if !of_parts {
        return false;
    }
    let over = found - bound;
    let before = plan.seen.replace((finding.code, over));
    before.is_some_and(|(code, was)| code == finding.code && over > was * (1.0 - BRINGS))
}

/// What was moved, or what binds.
type Moved = Result<String, Vec<Limit>>;

/// Bound over number found: under one where the number is too high.
fn ratio(finding: &Finding) -> f64 {
    match (finding.measured, finding.limit) {
        (Some(found), Some(bound)) if found > 0.0 && bound > 0.0 => bound / found,
        _ => 0.9,
    }
}

fn step_of(finding: &Finding) -> usize {
    usize::from(finding.place.path.starts_with("steps[1]"))
}

fn by_code(plan: &mut Plan, case: &Case, finding: &Finding) -> Moved {
    use Code as C;
    let by = Limit::of(finding.code);
    let index = step_of(finding);
    let off = ratio(finding);
    match finding.code {
        C::LoadBreaksPart | C::LoadNotReachable | C::LoadAboveCellRange => {
            load(plan, index, max(off, 0.5) * BEYOND, by)
        }
        C::LimitAboveRated | C::LimitInsideGovernor | C::LimitBelowSetpoint | C::BandAboveLimit => {
            load(plan, index, 0.95, by)
        }
        C::LoadTooLow => heavier(plan, index, off * 1.01, by),
        C::RodForceReversal => {
            load(plan, index, 0.96, by).or_else(|_| heavier(plan, index, 1.05, by))
        }
        C::TorqueShort => torque(plan, finding, off),
        C::SpeedAboveDrive => slower(plan, off * BEYOND, by),
        C::NothingTurns | C::SpeedToleranceWide | C::NoSliding => {
            faster(plan, max(1.0 / max(off, 0.2), 1.1), by).or_else(|limits| turn(plan, &limits))
        }
        C::FaceBalance | C::SpeedSpread | C::PathRepeats => turn(plan, &[by]),
        C::CoastOutlastsFilm | C::FilmShortForStop => {
            slower(plan, max(1.0 / max(off, 1.0), 0.7) * BEYOND, by)
        }
        C::PlateHot | C::PressureUneven => cooler(plan, by),
        C::CarrierTeethWeak | C::ProofCarrierTeeth => load(plan, 1, max(off, 0.5) * BEYOND, by)
            .or_else(|_| load(plan, 0, max(off, 0.5) * BEYOND, by)),
        C::FlowBelowMinimum | C::TankShort | C::FlowAbovePump => flow(plan, finding, by),
        C::PrestartShort | C::PrestartTimesOut | C::ProofDry => wetter(plan, by),
        C::LongestShort => patient(plan, by),
        C::EndAlreadyMet => shorter_seat(plan, by),
        C::SpreadTooWide | C::ProofSpread | C::ProofSize => evener(plan, case, by),
        C::DamageLeft
        | C::StockBelowDamage
        | C::DamageAdded
        | C::FinishMissed
        | C::FinishImpossible => faces(plan, case, finding),
        C::ProofPartStrength => gentler(plan, off, by),
        C::ProofFlatness | C::ProofParallelism => cooler(plan, by),
        C::ProofLoadLimit | C::ProofOvershoot | C::ProofRatedLoad => calmer(plan, finding, by),
        C::ProofNotCompleted => uncompleted(plan, finding),
        _ => Err(vec![by]),
    }
}

fn lever<'p>(plan: &'p mut Plan<'_>, index: usize) -> &'p mut Lever {
    if index == 0 {
        &mut plan.seat
    } else {
        &mut plan.lap
    }
}

const NAMES: [&str; 2] = ["seating", "lapping"];

/// Less load in a step; the seating never presses harder than the lapping.
fn load(plan: &mut Plan, index: usize, factor: f64, by: Limit) -> Moved {
    let lever = lever(plan, index);
    lever
        .lower(lever.value * factor, by)
        .map_err(|limits| limits.to_vec())?;
    plan.seat.value = min(plan.seat.value, plan.lap.value);
    plan.time_seat();
    let now = [plan.seat.value, plan.lap.value][index];
    Ok(format!(
        "{} with {}",
        NAMES[index],
        plan.ground.load(now, 3)
    ))
}

fn heavier(plan: &mut Plan, index: usize, factor: f64, by: Limit) -> Moved {
    let lever = lever(plan, index);
    lever
        .raise(lever.value * max(factor, 1.02), by, true)
        .map_err(|limits| limits.to_vec())?;
    plan.lap.value = max(plan.seat.value, plan.lap.value);
    plan.time_seat();
    Ok(format!(
        "{} with {}",
        NAMES[index],
        plan.ground
            .load([plan.seat.value, plan.lap.value][index], 3)
    ))
}

fn slower(plan: &mut Plan, factor: f64, by: Limit) -> Moved {
    plan.speed
        .lower(plan.speed.value * factor, by)
        .map_err(|limits| limits.to_vec())?;
    plan.time_seat();
    Ok(plan.ground.sliding(plan.speed.value))
}

fn faster(plan: &mut Plan, factor: f64, by: Limit) -> Moved {
    plan.speed
        .raise(plan.speed.value * factor, by, true)
        .map_err(|limits| limits.to_vec())?;
    plan.time_seat();
    Ok(plan.ground.sliding(plan.speed.value))
}

/// Another way to turn rings and plates.
fn turn(plan: &mut Plan, limits: &[Limit]) -> Moved {
    if plan.shape + 1 >= plan.shapes.len() {
        return Err(limits.to_vec());
    }
    plan.take_shape(plan.shape + 1);
    if let Some(closed) = plan.speed.closed() {
        return Err(closed.to_vec());
    }
    Ok("rings and plates turn otherwise".to_owned())
}

/// A drive that must give less: less load where it is the load, otherwise another way to turn.
fn torque(plan: &mut Plan, finding: &Finding, off: f64) -> Moved {
    let by = Limit::Torque;
    // The check says in words when: under load, or while the drives set out.
    if finding.message.contains("under load") {
        if off > 0.75
            && let Ok(what) = load(plan, step_of(finding), off * BEYOND, by)
        {
            return Ok(what);
        }
        if let Ok(what) = turn(plan, &[by]) {
            return Ok(what);
        }
        return load(plan, step_of(finding), off * BEYOND, by);
    }
    turn(plan, &[by])
}

/// Less heat, and less load to spring the parts flat: speed and load in turn.
fn cooler(plan: &mut Plan, by: Limit) -> Moved {
    let speed_room = plan.speed.value / plan.speed.low().0;
    let load_room = plan.lap.value / plan.lap.low().0;
    if speed_room > load_room && speed_room > 1.3 {
        slower(plan, 0.8, by)
    } else {
        load(plan, 1, 0.8, by)
            .or_else(|_| slower(plan, 0.8, by))
            .or_else(|_| load(plan, 0, 0.85, by))
    }
}

fn flow(plan: &mut Plan, finding: &Finding, by: Limit) -> Moved {
    if finding.place.path.contains("rinse") {
        if plan.rinse <= 0.0 {
            return Err(vec![by]);
        }
        plan.rinse = 0.0;
        return Ok("no rinse".to_owned());
    }
    if finding.code == Code::TankShort {
        let slurry = &plan.ground.machine.slurry;
        let least = 1.4 * slurry.flow_min / slurry.flow_max;
        if plan.flow > least * 1.02 {
            plan.flow = max(plan.flow * max(ratio(finding), 0.7) * BEYOND, least);
            return Ok(format!("flow at {} %", significant(plan.flow * 100.0, 3)));
        }
        return hurry(plan, 1.15, by).map(|()| "faster, so that it takes less slurry".to_owned());
    }
    if plan.flow >= 0.99 {
        return Err(vec![by]);
    }
    plan.flow = min(plan.flow * 1.3, 1.0);
    Ok(format!("flow at {} %", significant(plan.flow * 100.0, 3)))
}

fn wetter(plan: &mut Plan, by: Limit) -> Moved {
    if plan.prestart < 3.0 {
        plan.prestart *= 1.3;
        return Ok("a longer pre-start".to_owned());
    }
    if plan.flow < 0.99 {
        plan.flow = min(plan.flow * 1.3, 1.0);
        return Ok("more flow".to_owned());
    }
    slower(plan, 0.85, by)
}

fn patient(plan: &mut Plan, by: Limit) -> Moved {
    if plan.patience > 4.0 {
        return Err(vec![by]);
    }
    plan.patience *= 1.3;
    Ok(format!(
        "longest times of {} times the predicted",
        significant(plan.patience, 3)
    ))
}

/// The seating took off what was to be lapped.
fn shorter_seat(plan: &mut Plan, by: Limit) -> Moved {
    if plan.seat_time > 6.0 {
        plan.seat_time = max(fives(0.5 * plan.seat_time), 5.0);
        return Ok(format!("seating for {} s", plan.seat_time));
    }
    slower(plan, 0.8, by).or_else(|_| load(plan, 0, 0.85, by))
}

/// The spread evens out over the path at any load: less load for the same stock is more path. The gauge's part of the error stays.
fn evener(plan: &mut Plan, case: &Case, by: Limit) -> Moved {
    let envelope = &case.machine.envelope;
    let gauge = envelope.gauge_bias + envelope.gauge_drift;
    if plan.ground.gauge && gauge > 0.9 * case.batch.tolerance {
        return Err(vec![by]);
    }
    // Nor does the removal's doubt go away, where no gauge ends the step.
    let stock = case.batch.thickness - case.batch.target;
    if !plan.ground.gauge && envelope.removal * stock > case.batch.tolerance {
        return Err(vec![by]);
    }
    load(plan, 1, 0.75, by).or_else(|_| load(plan, 0, 0.9, by))
}

/// Damage and finish follow from stock and grain; what a plan can do is lose as much from one face as from the other.
fn faces(plan: &mut Plan, case: &Case, finding: &Finding) -> Moved {
    let abrasion = case.abrasion();
    let own = match finding.code {
        Code::DamageAdded | Code::FinishImpossible => true,
        Code::FinishMissed => abrasion.roughness > case.batch.finish,
        Code::DamageLeft => finding.place.path.contains("damage_left"),
        _ => false,
    };
    let by = if own { Limit::Grain } else { Limit::Stock };
    if own || plan.shape + 1 >= plan.shapes.len() {
        return Err(vec![by]);
    }
    let [lower, upper] = case
        .recipe
        .steps
        .last()
        .map_or([1.0; 2], |step| case.face_speeds(step));
    if (lower / upper - 1.0) * (lower / upper - 1.0) < 0.01 * 0.01 * 25.0 {
        return Err(vec![by]);
    }
    turn(plan, &[by])
}

/// A part bore too much: seat more gently, then longer, then lap more gently.
fn gentler(plan: &mut Plan, off: f64, by: Limit) -> Moved {
    let factor = max(off, 0.6) * BEYOND;
    if let Ok(what) = load(plan, 0, factor, by) {
        return Ok(what);
    }
    load(plan, 1, factor, by).map_err(|mut limits| {
        limits.insert(0, by);
        limits
    })
}

/// The load passed its bound in a run.
fn calmer(plan: &mut Plan, finding: &Finding, by: Limit) -> Moved {
    if finding.code == Code::ProofLoadLimit && plan.room < 1.8 {
        let before = plan.room;
        plan.room *= 1.1;
        if plan.room * plan.lap.value < plan.ground.machine.control.rated_load {
            return Ok("more room to the limit".to_owned());
        }
        plan.room = before;
    }
    if plan.ramp > 0.12 {
        plan.ramp *= 0.6;
        return Ok("a slower ramp".to_owned());
    }
    load(plan, 1, 0.92, by).or_else(|_| load(plan, 0, 0.92, by))
}

/// The controller stopped a cycle: what it says is the cause.
fn uncompleted(plan: &mut Plan, finding: &Finding) -> Moved {
    // A row stands in the table at its condition's place.
    let stopped_by = |cond: Cond| {
        let row = TABLE.get(cond as usize);
        row.is_some_and(|row| finding.message.contains(row.name))
    };
    if stopped_by(Cond::DriveRatio)
        && let Ok(what) = turn(plan, &[Limit::Torque])
    {
        return Ok(what);
    }
    if stopped_by(Cond::StepOvertime) {
        return patient(plan, Limit::LongestCycle);
    }
    let tried = plan
        .changes
        .iter()
        .filter(|change| change.because == finding.name())
        .count();
    match tried {
        0 => patient(plan, Limit::Machine),
        1 => calmer(plan, finding, Limit::Machine),
        2..8 => cooler(plan, Limit::Machine),
        _ => Err(vec![Limit::Machine]),
    }
}

/// Takes the parts down faster by a factor: speed first, then load, then less seating.
///
/// # Errors
/// What asked for it, and what holds speed and load down.
pub(crate) fn hurry(plan: &mut Plan, factor: f64, by: Limit) -> Result<(), Vec<Limit>> {
    let factor = max(min(factor, 1.5), 1.01);
    let room = plan.speed.high().0 / plan.speed.value;
    let loads = plan.lap.high().0 / plan.lap.value;
    let first = if room > loads {
        plan.speed.raise(plan.speed.value * factor, by, false)
    } else {
        plan.lap.raise(plan.lap.value * factor, by, false)
    };
    let moved = first
        .or_else(|_| plan.speed.raise(plan.speed.value * factor, by, false))
        .or_else(|_| plan.lap.raise(plan.lap.value * factor, by, false));
    match moved {
        Ok(()) => {
            plan.time_seat();
            plan.note("longest-cycle", "faster".to_owned());
            Ok(())
        }
        Err([_, above]) => {
            let seat = plan
                .seat
                .raise(min(plan.seat.value * factor, plan.lap.value), by, false);
            if seat.is_ok() {
                plan.note("longest-cycle", "seated faster".to_owned());
                return Ok(());
            }
            Err(vec![by, above, plan.speed.high().1])
        }
    }
}
