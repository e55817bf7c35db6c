//! Teeth, carriers, pockets and parts: what fits, what collides, what runs over the edge.

mod pockets;

use super::Findings;
use crate::case::Case;
use crate::catalogue::Code;
use crate::finding::Place;
use twinplate_sim::math::sin;
use twinplate_sim::model::Of;
use twinplate_sim::plant::kinematics::{equally_spaced, tip_gap, tip_radius, tooth_relation_holds};

/// Tooth depth under the pitch circle, modules (common proportion of involute gearing, from memory).
const DEDENDUM: f64 = 1.25;
/// Film under one face, grains: the coarse tail carries the load (reference values H, low confidence).
const FILM_GRAINS: f64 = 1.5;
/// Largest overrun of a plate's edge, share of a part's width (common practice, no source).
const OVERRUN: f64 = 1.0 / 3.0;

pub(super) fn check(case: &Case, findings: &mut Findings) {
    daylight(case, findings);
    teeth(case, findings);
    // With the wrong number of carriers every count of pieces is wrong as well.
    if !findings.has(Code::CarrierSpacing) && !findings.has(Code::CarrierTipGap) {
        pockets::pieces(case, findings);
    }
    if !findings.has(Code::ToothRelation) {
        pockets::pockets(case, findings);
        edges(case, findings);
    }
    carrier(case, findings);
}

fn teeth(case: &Case, findings: &mut Findings) {
    let g = &case.machine.geometry;
    if !tooth_relation_holds(g) {
        let wanted = g
            .teeth_inner
            .saturating_add(g.teeth_carrier.saturating_mul(2));
        findings.add(
            Code::ToothRelation,
            Place::machine("geometry.teeth_outer"),
            (f64::from(g.teeth_outer), f64::from(wanted), "teeth"),
            format!(
                "the outer ring has {} teeth; with {} on the inner ring and {} on a carrier it needs {wanted}",
                g.teeth_outer, g.teeth_inner, g.teeth_carrier
            ),
            format!("count the teeth again; the outer ring needs {wanted}"),
        );
        return;
    }
    if !equally_spaced(g) {
        let sum = g.teeth_inner.saturating_add(g.teeth_outer);
        let fits: Vec<String> = (2..=12_u32)
            .filter(|q| sum.is_multiple_of(*q))
            .map(|q| q.to_string())
            .collect();
        findings.add(
            Code::CarrierSpacing,
            Place::machine("geometry.carriers"),
            (f64::from(g.carriers), f64::from(sum), "carriers of teeth"),
            format!(
                "{} carriers cannot be spaced evenly: {sum} teeth of both rings are not a multiple of {}",
                g.carriers, g.carriers
            ),
            format!("use {} carriers", fits.join(" or ")),
        );
        return;
    }
    let gap = tip_gap(g);
    if gap <= 0.0 {
        let orbit = g.radius_orbit();
        let most = (2..g.carriers)
            .rev()
            .find(|q| orbit * sin(std::f64::consts::PI / f64::from(*q)) > tip_radius(g));
        findings.add(
            Code::CarrierTipGap,
            Place::machine("geometry.carriers"),
            (gap * 1e3, 0.0, Of::Length),
            format!(
                "the tips of neighbouring carriers overlap by {}",
                case.say(Of::Length, -gap, 3)
            ),
            most.map_or_else(
                || "no number of these carriers fits; use smaller carriers".to_owned(),
                |q| format!("use at most {q} carriers"),
            ),
        );
    }
}

fn edges(case: &Case, findings: &mut Findings) {
    let (batch, g) = (case.batch, &case.machine.geometry);
    let radius = batch.outline.outer_radius();
    let reach = batch.outermost() + radius;
    let outermost = batch
        .circles
        .iter()
        .position(|circle| circle.radius >= batch.outermost())
        .unwrap_or(0);
    let over_outer = g.radius_orbit() + reach - g.plate_outer / 2.0;
    let over_inner = g.plate_inner / 2.0 - (g.radius_orbit() - reach);
    let most = OVERRUN * 2.0 * radius;
    for (edge, over) in [("outer", over_outer), ("inner", over_inner)] {
        if over > most {
            findings.add(
                Code::PlateOverrun,
                Place::batch(format!("carrier.circles[{outermost}].radius")),
                (over * 1e3, most * 1e3, Of::Length),
                format!(
                    "parts run {} over the {edge} edge of the plate; a third of their width is {}",
                    case.say(Of::Length, over, 3),
                    case.say(Of::Length, most, 3)
                ),
                format!(
                    "bring the pocket circle {} inwards",
                    case.at_least(Of::Length, over - most, 3)
                ),
            );
        } else if over < 0.0 {
            findings.add(
                Code::PlateEdgeUnused,
                Place::batch(format!("carrier.circles[{outermost}].radius")),
                (over * 1e3, 0.0, Of::Length),
                format!(
                    "parts end {} short of the {edge} edge of the plate",
                    case.say(Of::Length, -over, 3)
                ),
                format!(
                    "take the pocket circle {} outwards",
                    case.at_least(Of::Length, -over, 3)
                ),
            );
        }
    }
}

fn carrier(case: &Case, findings: &mut Findings) {
    let batch = case.batch;
    let film = 2.0 * FILM_GRAINS * case.recipe.consumables.grain;
    let thickest = batch.target - batch.tolerance - film;
    if batch.carrier_thickness > thickest {
        findings.add(
            Code::CarrierTooThick,
            Place::batch("carrier_thickness"),
            (batch.carrier_thickness * 1e3, thickest * 1e3, Of::Length),
            format!(
                "the carrier is {} thick; under the smallest good part ({}) and a grain layer on each face it may be {}",
                case.say(Of::Length, batch.carrier_thickness, 4),
                case.say(Of::Thickness, batch.target - batch.tolerance, 4),
                case.say(Of::Length, thickest, 4)
            ),
            format!(
                "use a carrier that is {} thinner",
                case.at_least(Of::Size, batch.carrier_thickness - thickest, 3)
            ),
        );
    }
}

/// Parts and approach under the raised plate.
fn daylight(case: &Case, findings: &mut Findings) {
    let actuator = &case.machine.actuator;
    let needed = case.batch.thickness + actuator.approach;
    if needed >= actuator.height_raised {
        findings.add(
            Code::DaylightShort,
            Place::machine("actuator.height_raised"),
            (actuator.height_raised * 1e3, needed * 1e3, Of::Length),
            format!(
                "parts of {} and an approach of {} do not fit under a plate raised to {}",
                case.say(Of::Thickness, case.batch.thickness, 3),
                case.say(Of::Length, actuator.approach, 3),
                case.say(Of::Length, actuator.height_raised, 3)
            ),
            format!(
                "raise it to more than {}, or shorten the approach",
                case.at_least(Of::Length, needed * 1.02, 4)
            ),
        );
    }
}
