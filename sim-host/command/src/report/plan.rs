//! The plan of the machine: what each part bore in its pocket as laid in, and what the plates wore over their radius.
//!
//! Two quiet scales of colour, each with its numbers beside it; every part and every radius says its number in words too.

use super::svg::{Anchor, Frame, Svg};
use std::f64::consts::TAU;
use std::fmt::Write as _;
use twinplate_check::finding::significant;
use twinplate_check::inspection::{MapReport, PocketReport};
use twinplate_sim::math::{cos, floor, max, sin};
use twinplate_sim::model::{Batch, Machine, Of, Outline, Polygon, Shown};

const WIDTH: f64 = 1200.0;
const HEIGHT: f64 = 460.0;
/// Radius of a plan, px, and height of its middle.
const PLAN: f64 = 186.0;
const MIDDLE: f64 = 236.0;
/// Middles of the two plans, px.
const PLANS: [f64; 2] = [206.0, 620.0];
/// Radius of a part from which its number stands in it, px.
pub(super) const LABELLED: f64 = 11.0;
/// Swatches of a scale.
const SWATCHES: u32 = 5;

/// Colours of a scale, from nothing to its most: red, green, blue.
type Scale = [[f64; 3]; 2];
const LOAD: Scale = [[250.0, 246.0, 236.0], [108.0, 66.0, 24.0]];
const WEAR: Scale = [[240.0, 244.0, 247.0], [62.0, 104.0, 138.0]];

fn colour(scale: Scale, share: f64) -> String {
    let [from, to] = scale;
    let mut text = String::from("#");
    for (from, to) in from.into_iter().zip(to) {
        // Between 0 and 255 by the scales above.
        #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)]
        let level = floor(from + (to - from) * share + 0.5) as u8;
        // Writing to a String cannot fail.
        let _ = write!(text, "{level:02x}");
    }
    text
}

/// What was worn off each plate, in words.
#[must_use]
pub(crate) fn worn_words(map: &MapReport, shown: &Shown) -> String {
    format!(
        "worn off where parts touch: lower plate {}, upper plate {}",
        worn(map, 0, shown),
        worn(map, 1, shown)
    )
}

fn worn(map: &MapReport, face: usize, shown: &Shown) -> String {
    map.wear(face).map_or_else(
        || "nothing".to_owned(),
        |[least, most]| {
            format!(
                "{} to {}",
                shown.digits(Of::Form, least, 2),
                shown.tell(Of::Form, most, 2)
            )
        },
    )
}

/// What the plan shows, one sentence: who bore most, and what was worn off.
fn words(map: &MapReport, shown: &Shown) -> String {
    let load = map.largest().map_or_else(
        || "nothing was pressed".to_owned(),
        |most| format!("most borne: {}", of_part(most, shown)),
    );
    format!("{load}; {}", worn_words(map, shown))
}

fn of_part(part: &PocketReport, shown: &Shown) -> String {
    format!(
        "{}, {:.2} times the mean, on part {} (carrier {}, pocket {})",
        shown.fixed_with(Of::Load, part.load_n, 1),
        part.times_mean,
        part.part,
        part.carrier,
        part.pocket
    )
}

/// Draws the plan.
#[must_use]
pub(crate) fn draw(machine: &Machine, batch: &Batch, map: &MapReport, shown: &Shown) -> String {
    let mut svg = Svg::new(WIDTH, HEIGHT, "Plan of load and wear over the plates");
    svg.describe(&words(map, shown));
    let g = &machine.geometry;
    let reach = max(0.5 * g.plate_outer, g.radius_orbit() + g.radius_carrier());
    let plan = Plan {
        machine,
        shown,
        scale: PLAN / reach,
        wear: (0..2)
            .filter_map(|face| map.wear(face))
            .fold(1e-3, |most, ends| max(most, ends[1])),
        load: map.largest().map_or(1.0, |most| most.load_n),
    };
    for (face, (x, name)) in PLANS.into_iter().zip(["lower", "upper"]).enumerate() {
        let told = format!("{name} plate, worn off {}", worn(map, face, shown));
        svg.text(x, 24.0, Anchor::Middle, "key", &told);
        plan.rings(&mut svg, x, map, face);
        plan.carriers(&mut svg, x);
    }
    for part in &map.pockets {
        plan.part(&mut svg, batch, part);
    }
    svg.text(
        PLANS[0],
        HEIGHT - 14.0,
        Anchor::Middle,
        "note",
        &format!(
            "as laid in: largest load on each, {}, first contacts apart",
            shown.symbol(Of::Load)
        ),
    );
    svg.text(
        PLANS[1],
        HEIGHT - 14.0,
        Anchor::Middle,
        "note",
        "dashed: carriers",
    );
    over_radius(&mut svg, map, shown.again(Of::Form, plan.wear), shown);
    legend(
        &mut svg,
        LOAD,
        shown.again(Of::Load, plan.load),
        "largest load on a part",
        shown.symbol(Of::Load),
        290.0,
    );
    legend(
        &mut svg,
        WEAR,
        shown.again(Of::Form, plan.wear),
        "worn off a plate",
        shown.symbol(Of::Form),
        372.0,
    );
    svg.finish()
}

/// What the plans have in common.
struct Plan<'a> {
    machine: &'a Machine,
    shown: &'a Shown,
    /// Pixels a metre.
    scale: f64,
    /// Most of the scales, µm and N.
    wear: f64,
    load: f64,
}

impl Plan<'_> {
    fn rings(&self, svg: &mut Svg, x: f64, map: &MapReport, face: usize) {
        let g = &self.machine.geometry;
        #[allow(clippy::cast_precision_loss)] // a few dozen rings
        let wide = 0.5 * (g.plate_outer - g.plate_inner) / max(map.rings.len() as f64, 1.0);
        for ring in &map.rings {
            let worn = ring.worn_um.get(face).copied().unwrap_or(0.0);
            svg.band(
                [x, MIDDLE],
                ring.radius_mm * 1e-3 * self.scale,
                // A little more, so that no line is left between two.
                wide * self.scale + 0.5,
                &colour(WEAR, max(worn, 0.0) / self.wear),
                &format!(
                    "at {}: {} worn off",
                    self.shown.fixed_with(Of::Length, ring.radius_mm, 0),
                    self.shown.fixed_with(Of::Form, worn, 4)
                ),
            );
        }
        for edge in [g.plate_inner, g.plate_outer] {
            svg.circle(x, MIDDLE, 0.5 * edge * self.scale, "plan-edge");
        }
    }

    fn carriers(&self, svg: &mut Svg, x: f64) {
        let g = &self.machine.geometry;
        for carrier in 0..g.carriers {
            let angle = TAU * f64::from(carrier) / f64::from(g.carriers);
            let orbit = g.radius_orbit() * self.scale;
            let (cx, cy) = (x + orbit * cos(angle), MIDDLE - orbit * sin(angle));
            svg.circle(cx, cy, g.radius_carrier() * self.scale, "plan-carrier");
        }
    }

    fn part(&self, svg: &mut Svg, batch: &Batch, part: &PocketReport) {
        let share = part.load_n / self.load;
        let [x, y] = part.place_mm.map(|at| at * 1e-3 * self.scale);
        let (x, y) = (PLANS[0] + x, MIDDLE - y);
        let over = part.load_n > batch.strength;
        let said = if over {
            format!("{}: over its strength", of_part(part, self.shown))
        } else {
            of_part(part, self.shown)
        };
        svg.filled(
            &outline(batch.outline, [x, y], part.turned, self.scale),
            &colour(LOAD, share),
            if over { "plan-part bad" } else { "plan-part" },
            &said,
        );
        if batch.outline.room() * self.scale >= LABELLED {
            let mark = if over { "✕" } else { "" };
            svg.text(
                x,
                y + 4.0,
                Anchor::Middle,
                "plan-num",
                &format!("{mark}{}", self.shown.fixed(Of::Load, part.load_n, 0)),
            );
        }
    }
}

/// Outline of a part in the plan, as path data.
pub(super) fn outline(outline: Outline, [x, y]: [f64; 2], turned: f64, scale: f64) -> String {
    let circle = |radius: f64| {
        // To what is written: half a turn over anything but twice its radius is no half circle.
        let radius = floor(10.0 * radius + 0.5) / 10.0;
        format!(
            "M{:.1} {y:.1}a{radius:.1} {radius:.1} 0 1 0 {:.1} 0a{radius:.1} {radius:.1} 0 1 0 {:.1} 0z",
            x - radius,
            2.0 * radius,
            -2.0 * radius
        )
    };
    match outline {
        Outline::Disc { diameter } => circle(0.5 * diameter * scale),
        Outline::Ring { outer, inner } => {
            circle(0.5 * outer * scale) + &circle(0.5 * inner * scale)
        }
        Outline::Rectangle { length, width } => {
            let (c, s) = (cos(turned), sin(turned));
            let mut path = String::new();
            for (verb, [i, j]) in ["M", "L", "L", "L"].into_iter().zip([
                [1.0, 1.0],
                [1.0, -1.0],
                [-1.0, -1.0],
                [-1.0, 1.0],
            ]) {
                let (a, b) = (0.5 * i * length * scale, 0.5 * j * width * scale);
                // The picture's second axis points down.
                let _ = write!(
                    path,
                    "{verb}{:.1} {:.1}",
                    x + a * c - b * s,
                    y - a * s - b * c
                );
            }
            path + "z"
        }
        Outline::Polygon(polygon) => round(&polygon, [x, y], turned, scale),
    }
}

/// A polygon about its centroid, as path data.
pub(super) fn round(polygon: &Polygon, [x, y]: [f64; 2], turned: f64, scale: f64) -> String {
    let (c, s) = (cos(turned), sin(turned));
    let mut path = String::new();
    for (place, corner) in polygon.corners().iter().enumerate() {
        let verb = if place == 0 { 'M' } else { 'L' };
        let [a, b] = corner.map(|at| at * scale);
        // The picture's second axis points down.
        let _ = write!(
            path,
            "{verb}{:.1} {:.1}",
            x + a * c - b * s,
            y - a * s - b * c
        );
    }
    path + "z"
}

/// Wear of both plates over the radius.
fn over_radius(svg: &mut Svg, map: &MapReport, most: f64, shown: &Shown) {
    let radius = map.rings.iter().map(|ring| ring.radius_mm);
    let radius: Vec<f64> = radius.map(|at| shown.again(Of::Length, at)).collect();
    let ends = [radius.first(), radius.last()].map(|end| end.copied().unwrap_or(0.0));
    let frame = Frame {
        left: 892.0,
        top: 40.0,
        width: 210.0,
        height: 170.0,
        x: ends,
        y: [0.0, 1.1 * most],
    };
    svg.text(
        frame.left,
        14.0,
        Anchor::Start,
        "key",
        "worn off over the radius",
    );
    if ends[0] >= ends[1] {
        return;
    }
    frame.axis_y(svg, shown.symbol(Of::Form));
    for (face, (class, name)) in [("load", "lower"), ("limit", "upper")]
        .into_iter()
        .enumerate()
    {
        let worn = map.rings.iter().map(|ring| ring.worn_um[face]);
        let worn: Vec<f64> = worn.map(|depth| shown.again(Of::Form, depth)).collect();
        svg.path(&frame.curve(&radius, &worn), class);
        #[allow(clippy::cast_precision_loss)] // two
        let y = frame.top + 8.0 + 20.0 * face as f64;
        let x = frame.right() + 10.0;
        svg.line([x, y], [x + 20.0, y], class);
        svg.text(x + 25.0, y + 4.0, Anchor::Start, "key", name);
    }
    frame.axis_x(svg, shown.symbol(Of::Length));
}

/// A scale with its numbers.
fn legend(svg: &mut Svg, scale: Scale, most: f64, what: &str, unit: &str, top: f64) {
    let (left, wide) = (892.0, 54.0);
    svg.text(left, top, Anchor::Start, "key", &format!("{what}, {unit}"));
    for swatch in 0..SWATCHES {
        let share = f64::from(swatch) / f64::from(SWATCHES - 1);
        let x = left + wide * f64::from(swatch);
        let number = significant(most * share, 2);
        svg.filled(
            &format!("M{x:.1} {:.1}h{wide:.1}v16h{:.1}z", top + 8.0, -wide),
            &colour(scale, share),
            "plan-part",
            &format!("{number} {unit}"),
        );
        svg.text(x + 0.5 * wide, top + 40.0, Anchor::Middle, "num", &number);
    }
}
