//! Teeth, carriers, pockets and parts: what fits, what collides, what runs over the edge.

use super::Findings;
use crate::case::Case;
use crate::catalogue::Code;
use crate::finding::{Place, significant};
use twinplate_sim::math::sin;
use twinplate_sim::model::micrometres;
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
        pieces(case, findings);
    }
    if !findings.has(Code::ToothRelation) {
        pockets(case, findings);
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
            (gap * 1e3, 0.0, "mm"),
            format!(
                "the tips of neighbouring carriers overlap by {} mm",
                significant(-gap * 1e3, 3)
            ),
            most.map_or_else(
                || "no number of these carriers fits; use smaller carriers".to_owned(),
                |q| format!("use at most {q} carriers"),
            ),
        );
    }
}

fn pieces(case: &Case, findings: &mut Findings) {
    let (batch, g) = (case.batch, &case.machine.geometry);
    let places = batch.pockets.saturating_mul(g.carriers);
    let pieces = batch.pieces();
    if pieces > places {
        findings.add(
            Code::PartsExceedPockets,
            Place::batch("parts"),
            (f64::from(pieces), f64::from(places), "pieces"),
            format!(
                "{pieces} pieces do not fit {} carriers of {} pockets",
                g.carriers, batch.pockets
            ),
            format!("load at most {places}"),
        );
    } else if pieces < 3 {
        findings.add(
            Code::TooFewPieces,
            Place::batch("parts"),
            (f64::from(pieces), 3.0, "pieces"),
            format!("{pieces} pieces cannot carry the gimballed upper plate"),
            "load at least three, dummies among them".to_owned(),
        );
    } else if !pieces.is_multiple_of(g.carriers.max(1)) {
        let even = pieces
            .div_ceil(g.carriers.max(1))
            .saturating_mul(g.carriers);
        findings.add(
            Code::PocketsUneven,
            Place::batch("parts"),
            (f64::from(pieces), f64::from(even), "pieces"),
            format!(
                "{pieces} pieces do not share out evenly over {} carriers",
                g.carriers
            ),
            format!("add {} dummies", even - pieces),
        );
    }
}

fn pockets(case: &Case, findings: &mut Findings) {
    let (batch, g) = (case.batch, &case.machine.geometry);
    let radius = batch.outline.outer_radius();
    let root = g.radius_carrier() - DEDENDUM * g.module;
    let reach = batch.pocket_radius + radius;
    if reach >= root {
        findings.add(
            Code::PocketOutsideCarrier,
            Place::batch("pocket_radius"),
            (reach * 1e3, root * 1e3, "mm"),
            format!(
                "pockets reach {} mm from the carrier's centre; its teeth begin at {} mm",
                significant(reach * 1e3, 4),
                significant(root * 1e3, 4)
            ),
            format!(
                "bring the pocket circle under {} mm, or use smaller parts",
                significant((root - radius) * 1e3, 4)
            ),
        );
    }
    if batch.pockets > 1 {
        let apart =
            2.0 * batch.pocket_radius * sin(std::f64::consts::PI / f64::from(batch.pockets));
        let wide = 2.0 * pocket_half_width(case);
        if apart <= wide {
            findings.add(
                Code::PocketsOverlap,
                Place::batch("pockets"),
                (apart * 1e3, wide * 1e3, "mm"),
                format!(
                    "{} pockets lie {} mm apart, and a part is {} mm wide",
                    batch.pockets,
                    significant(apart * 1e3, 4),
                    significant(wide * 1e3, 4)
                ),
                "cut fewer pockets, or on a larger circle".to_owned(),
            );
        }
    }
}

/// Half of what a pocket needs along its circle, m: a rectangle may be laid with its narrow side along the circle.
fn pocket_half_width(case: &Case) -> f64 {
    match case.batch.outline {
        twinplate_sim::model::Outline::Rectangle { length, width } => {
            0.5 * if length < width { length } else { width }
        }
        round => round.outer_radius(),
    }
}

fn edges(case: &Case, findings: &mut Findings) {
    let (batch, g) = (case.batch, &case.machine.geometry);
    let radius = batch.outline.outer_radius();
    let reach = batch.pocket_radius + radius;
    let over_outer = g.radius_orbit() + reach - g.plate_outer / 2.0;
    let over_inner = g.plate_inner / 2.0 - (g.radius_orbit() - reach);
    let most = OVERRUN * 2.0 * radius;
    for (edge, over) in [("outer", over_outer), ("inner", over_inner)] {
        if over > most {
            findings.add(
                Code::PlateOverrun,
                Place::batch("pocket_radius"),
                (over * 1e3, most * 1e3, "mm"),
                format!(
                    "parts run {} mm over the {edge} edge of the plate; a third of their width is {} mm",
                    significant(over * 1e3, 3),
                    significant(most * 1e3, 3)
                ),
                format!("bring the pocket circle {} mm inwards", significant((over - most) * 1e3, 3)),
            );
        } else if over < 0.0 {
            findings.add(
                Code::PlateEdgeUnused,
                Place::batch("pocket_radius"),
                (over * 1e3, 0.0, "mm"),
                format!(
                    "parts end {} mm short of the {edge} edge of the plate",
                    significant(-over * 1e3, 3)
                ),
                format!(
                    "take the pocket circle {} mm outwards",
                    significant(-over * 1e3, 3)
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
            (batch.carrier_thickness * 1e3, thickest * 1e3, "mm"),
            format!(
                "the carrier is {} mm thick; under the smallest good part ({} mm) and a grain layer on each face it may be {} mm",
                significant(batch.carrier_thickness * 1e3, 4),
                significant((batch.target - batch.tolerance) * 1e3, 4),
                significant(thickest * 1e3, 4)
            ),
            format!(
                "use a carrier that is {} µm thinner",
                significant(micrometres(batch.carrier_thickness - thickest), 3)
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
            (actuator.height_raised * 1e3, needed * 1e3, "mm"),
            format!(
                "parts of {} mm and an approach of {} mm do not fit under a plate raised to {} mm",
                significant(case.batch.thickness * 1e3, 3),
                significant(actuator.approach * 1e3, 3),
                significant(actuator.height_raised * 1e3, 3)
            ),
            format!(
                "raise it to more than {} mm, or shorten the approach",
                significant(needed * 1.02e3, 4)
            ),
        );
    }
}
