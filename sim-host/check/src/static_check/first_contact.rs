//! Touch-down: a collision that no loop can soften, and what single parts bear.

use super::Findings;
use crate::case::Case;
use crate::catalogue::Code;
use crate::descent::FeltDescent;
use crate::finding::Place;
use twinplate_sim::math::{max, sqrt};
use twinplate_sim::model::{LoadingOrder, Of};

pub(super) fn check(case: &Case, findings: &mut Findings) {
    // Creep is judged against the initial load: where that is wrong, it comes first.
    if !findings.has(Code::InitialLoadLow) && !findings.has(Code::RestingLoadLow) {
        creep(case, findings);
    }
    // A creep speed that is too fast makes the peak too high as well: one cause, one finding.
    if !findings.has(Code::CreepTooFast) {
        contact_limit(case, findings);
        part_at_contact(case, findings);
    }
    part_under_load(case, findings);
    // Where the plate does not rest well, there is no contact to believe in, and that comes first.
    if !findings.has(Code::RestingLoadLow) {
        descent(case, findings);
    }
    if !findings.has(Code::FirstContactLimitLow) && !findings.has(Code::InitialLoadLow) {
        touch_down(case, findings);
    }
}

/// Drag of the guides while descending fast, against the load from which on the controller believes in contact.
fn descent(case: &Case, findings: &mut Findings) {
    let Some(felt) = FeltDescent::of(case) else {
        return;
    };
    findings.add(
        Code::DescentFeltAsContact,
        Place::machine("actuator.guide_drag"),
        (felt.drag, felt.threshold, Of::Load),
        felt.message(case),
        felt.cure(case),
    );
}

/// Room for the governor at touch-down: on every machine of the envelope the load must come into the band of the initial load.
fn touch_down(case: &Case, findings: &mut Findings) {
    let control = &case.machine.control;
    let (limit, initial) = (control.first_contact_limit, control.initial_load);
    let wanted = initial - case.band(initial);
    let reached = case.reached_at_touch_down(limit);
    if reached >= wanted && limit > initial {
        return;
    }
    // The load reached grows with the limit, and as straight: two points give the line.
    let slope = case.reached_at_touch_down(limit + initial) - case.reached_at_touch_down(limit);
    let needed = if slope > 0.0 {
        limit + (wanted - reached) * initial / slope
    } else {
        limit
    };
    let needed = max(needed, initial) * 1.02;
    findings.add(
        Code::FirstContactNearInitial,
        Place::machine("control.first_contact_limit"),
        (reached, wanted, Of::Load),
        format!(
            "under a first-contact limit of {} the governor lets the weakest machine of the envelope press with {} at touch-down; \
             the initial load of {} begins at {}",
            case.load(limit),
            case.load(reached),
            case.load(initial),
            case.load(wanted)
        ),
        format!(
            "raise the first-contact limit to {} or more",
            case.at_least(Of::Load, needed, 4)
        ),
    );
}

fn creep(case: &Case, findings: &mut Findings) {
    let (actuator, control) = (&case.machine.actuator, &case.machine.control);
    let impedance = sqrt(case.batch.stiffness() * actuator.mass);
    let fastest = (control.initial_load - actuator.resting_load()) / impedance;
    // Where the initial load is under the resting load, that is the finding.
    if fastest > 0.0 && actuator.speed_creep > fastest {
        findings.add(
            Code::CreepTooFast,
            Place::machine("actuator.speed_creep"),
            (actuator.speed_creep * 1e3, fastest * 1e3, Of::Travel),
            format!(
                "the plate creeps at {}; this batch allows {} (peak {}, initial load {})",
                case.say(Of::Travel, actuator.speed_creep, 3),
                case.say(Of::Travel, fastest, 3),
                case.load(case.impact_peak(case.batch.stiffness())),
                case.load(control.initial_load)
            ),
            format!(
                "creep at {} or slower",
                case.at_most(Of::Travel, fastest * 0.95, 2)
            ),
        );
    }
}

fn contact_limit(case: &Case, findings: &mut Findings) {
    let limit = case.machine.control.first_contact_limit;
    let stiffest = case.batch.stiffness() * case.machine.envelope.stiffness_factor;
    let peak = case.impact_peak(stiffest);
    if peak > limit {
        findings.add(
            Code::FirstContactLimitLow,
            Place::machine("control.first_contact_limit"),
            (peak, limit, Of::Load),
            format!(
                "first contact may peak at {} on the stiffest parts; its limit is {}",
                case.load(peak),
                case.load(limit)
            ),
            format!(
                "raise the limit to {}, or lower the creep speed",
                case.at_least(Of::Load, peak * 1.1, 3)
            ),
        );
    }
}

fn part_at_contact(case: &Case, findings: &mut Findings) {
    let (actuator, strength) = (&case.machine.actuator, case.batch.strength);
    let one = case.impact_on_one();
    if one > strength {
        let resting = case.worst_share() * actuator.resting_load();
        let speed = max(strength - resting, 0.0) / case.blow_on_one();
        let cure = if speed > 0.0 {
            format!(
                "creep at {} or slower",
                case.at_most(Of::Travel, speed * 0.95, 2)
            )
        } else {
            format!(
                "lower the resting load: {} of it alone may come on one part",
                case.say(Of::Load, resting, 3)
            )
        };
        findings.add(
            Code::FirstContactBreaksPart,
            Place::machine("actuator.speed_creep"),
            (one, strength, Of::Load),
            format!(
                "first contact may put {} on one part, which may crack at {}",
                case.say(Of::Load, one, 3),
                case.say(Of::Load, strength, 3)
            ),
            cure,
        );
    }
}

fn part_under_load(case: &Case, findings: &mut Findings) {
    if findings.has(Code::FirstContactBreaksPart) {
        return;
    }
    let strength = case.batch.strength;
    for (index, step) in case.recipe.steps.iter().enumerate() {
        let setpoint = case.setpoint(step);
        let load = setpoint + case.band(setpoint);
        // The spread is widest in the first step and lapped down after it: later steps share evenly.
        let one = if index == 0 {
            case.share_on_one(load)
        } else {
            load / f64::from(case.batch.pieces())
        };
        if one > strength {
            findings.add(
                Code::LoadBreaksPart,
                Place::step(index, "pressure"),
                (one, strength, Of::Load),
                format!(
                    "at the top of its band step {} may put {} on one part, which may crack at {}",
                    index + 1,
                    case.say(Of::Load, one, 3),
                    case.say(Of::Load, strength, 3)
                ),
                if case.batch.order == LoadingOrder::ByThickness {
                    "mix the lot, lower the pressure, or load more pieces".to_owned()
                } else {
                    "lower the pressure, sort the parts by thickness, or load more pieces"
                        .to_owned()
                },
            );
            return;
        }
    }
}
