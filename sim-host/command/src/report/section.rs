//! The section: a cut through the two plates with carriers and parts between them, and every part's height beside it.
//!
//! Radii are to scale; heights are not. What is exaggerated, and by how much, stands in the picture.

use super::cycle::Cycle;
use super::svg::{Anchor, Frame, Svg};
use twinplate_check::finding::significant;
use twinplate_sim::math::{abs, max, min};
use twinplate_sim::model::{Batch, G, Machine, Of, Shown};

const WIDTH: f64 = 1200.0;
const HEIGHT: f64 = 250.0;
/// Height of an incoming part in the picture, px.
const PART: f64 = 54.0;
/// Height of the cut that one tolerance of deviation takes, px.
const TOLERANCE: f64 = 9.0;

/// Draws the section at the end of the cycle under `load` N (the last step's setpoint).
#[must_use]
pub fn draw(machine: &Machine, batch: &Batch, cycle: &Cycle, load: f64) -> String {
    let mut svg = Svg::new(
        WIDTH,
        HEIGHT,
        "Section through plates, carriers and parts at the end of the cycle",
    );
    cut(&mut svg, machine, batch, cycle, load);
    heights(&mut svg, cycle);
    svg.finish()
}

/// Exaggeration of deviations in thickness: how much taller than to the scale of the radii.
fn exaggeration(machine: &Machine, batch: &Batch) -> f64 {
    TOLERANCE / (batch.tolerance * radius_scale(machine))
}

/// A factor in hundreds, as nobody reads more of it.
fn rounded(factor: f64) -> String {
    format!(
        "{:.0}",
        100.0 * twinplate_sim::math::floor(factor / 100.0 + 0.5)
    )
}

/// Pixels a metre of radius.
fn radius_scale(machine: &Machine) -> f64 {
    620.0 / (1.06 * machine.geometry.plate_outer)
}

fn cut(svg: &mut Svg, machine: &Machine, batch: &Batch, cycle: &Cycle, load: f64) {
    let g = &machine.geometry;
    let scale = radius_scale(machine);
    let middle = 330.0;
    let floor = 190.0;
    let [target, tolerance] = cycle.size;
    let height = |thickness: f64| PART + TOLERANCE * (thickness - target) / tolerance;
    let tallest = height(cycle.finished[2]);
    let (inner, outer) = (g.plate_inner / 2.0 * scale, g.plate_outer / 2.0 * scale);
    for side in [-1.0, 1.0] {
        let left = if side > 0.0 {
            middle + inner
        } else {
            middle - outer
        };
        svg.rect(left, floor, outer - inner, 34.0, "plate");
        svg.rect(left, floor - tallest - 34.0, outer - inner, 34.0, "plate");
        let orbit = middle + side * g.radius_orbit() * scale;
        let rim = g.radius_carrier() * scale;
        let carrier = PART * min(batch.carrier_thickness / batch.target, 1.0);
        svg.rect(
            orbit - rim,
            floor - 0.5 * (PART + carrier),
            2.0 * rim,
            carrier,
            "carrier",
        );
        for circle in &batch.circles {
            let sides: &[f64] = if circle.radius > 0.0 {
                &[-1.0, 1.0]
            } else {
                &[0.0]
            };
            for (index, pocket) in sides.iter().enumerate() {
                let half = batch.outline.outer_radius() * scale;
                let x = orbit + pocket * circle.radius * scale;
                // The cut shows the thinnest and the thickest part on each side.
                let thickness = if index == 0 {
                    cycle.finished[1]
                } else {
                    cycle.finished[2]
                };
                let tall = height(thickness);
                svg.rect(x - half, floor - tall, 2.0 * half, tall, "part");
            }
        }
    }
    svg.line([middle, 40.0], [middle, HEIGHT - 14.0], "centre");
    load_arrow(svg, middle, floor - tallest - 34.0, load, &cycle.shown);
    svg.text(
        20.0,
        HEIGHT - 6.0,
        Anchor::Start,
        "note",
        &format!(
            "radii to scale; differences in thickness exaggerated {} times; thinnest and thickest part in the cut",
            rounded(exaggeration(machine, batch))
        ),
    );
}

fn load_arrow(svg: &mut Svg, x: f64, tip: f64, load: f64, shown: &Shown) {
    svg.path(&format!("M{x:.1} {tip:.1}l-9 -14h5v-26h8v26h5z"), "weight");
    svg.text(
        x + 16.0,
        tip - 24.0,
        Anchor::Start,
        "key",
        &format!(
            "{}, the weight of {}",
            shown.say(Of::Load, load, 3),
            shown.say(Of::Mass, load / G, 2)
        ),
    );
}

/// A bar for every finished part, sorted, against the tolerance.
fn heights(svg: &mut Svg, cycle: &Cycle) {
    let [target, tolerance] = cycle.size;
    let mut parts = cycle.parts.clone();
    let known = !parts.is_empty();
    if !known {
        parts = vec![cycle.finished[1], cycle.finished[0], cycle.finished[2]];
    }
    parts.sort_by(f64::total_cmp);
    let widest = parts
        .iter()
        .map(|part| abs(part - target))
        .fold(1.4 * tolerance, max);
    #[allow(clippy::cast_precision_loss)] // parts of one load
    let count = parts.len() as f64;
    let frame = Frame {
        left: 760.0,
        top: 34.0,
        width: 400.0,
        height: 170.0,
        x: [0.0, count],
        y: [target - widest, target + widest],
    };
    let (top, bottom) = (frame.py(target + tolerance), frame.py(target - tolerance));
    svg.rect(frame.left, top, frame.width, bottom - top, "tolerance");
    frame.axis_y(svg, cycle.shown.symbol(Of::Size));
    let wide = min(frame.width / count, 24.0);
    for (index, part) in parts.iter().enumerate() {
        #[allow(clippy::cast_precision_loss)]
        let x = frame.left + frame.width * (index as f64 + 0.5) / count;
        let (y, zero) = (frame.py(*part), frame.py(target));
        let bad = abs(part - target) > tolerance;
        let class = if bad { "bar bad-bar" } else { "bar" };
        svg.rect(
            x - 0.4 * wide,
            min(y, zero),
            0.8 * wide,
            max(abs(y - zero), 1.0),
            class,
        );
    }
    svg.line(
        [frame.left, frame.py(target)],
        [frame.right(), frame.py(target)],
        "axis",
    );
    let told = if known {
        format!(
            "every finished part, sorted; band: {target:.*} ± {}",
            cycle.shown.places(Of::Size, 1),
            cycle.shown.with(Of::Size, &significant(tolerance, 2))
        )
    } else {
        "thinnest, mean, thickest (planned, no run was made)".to_owned()
    };
    svg.text(frame.left, HEIGHT - 22.0, Anchor::Start, "note", &told);
}
