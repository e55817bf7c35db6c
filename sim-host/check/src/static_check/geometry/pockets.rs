//! Pockets in their carrier, and pieces in the pockets.

use super::super::Findings;
use super::DEDENDUM;
use crate::case::Case;
use crate::catalogue::Code;
use crate::finding::{Place, significant};
use std::f64::consts::{PI, TAU};
use twinplate_sim::math::{abs, cos, floor, hypot, max, min, sin};
use twinplate_sim::model::{Circle, Of, Outline};
use twinplate_sim::plant::places::surrounded;

/// Least web between two pockets, or between a pocket and the roots of the teeth, m (common practice, no source).
const WEB: f64 = 1.5e-3;

/// Pieces: as many as fit, and all around the gimbal.
pub(super) fn pieces(case: &Case, findings: &mut Findings) {
    let (batch, g) = (case.batch, &case.machine.geometry);
    let places = batch.pockets().saturating_mul(g.carriers);
    let pieces = batch.pieces();
    if pieces > places {
        findings.add(
            Code::PartsExceedPockets,
            Place::batch("parts"),
            (f64::from(pieces), f64::from(places), "pieces"),
            format!(
                "{pieces} pieces do not fit {} carriers of {} pockets",
                g.carriers,
                batch.pockets()
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
    } else {
        balance(case, findings);
    }
}

fn balance(case: &Case, findings: &mut Findings) {
    let (batch, g) = (case.batch, &case.machine.geometry);
    let pieces = batch.pieces();
    let gap = surrounded(g, batch).to_degrees();
    if gap >= 180.0 {
        findings.add(
            Code::LayoutOneSided,
            Place::batch("parts"),
            (gap, 180.0, "°"),
            format!(
                "as the carriers turn, all {pieces} pieces come to lie on one side of the machine's centre: a gap of {}° is left round it",
                significant(gap, 3)
            ),
            "load more pieces, dummies among them, on all sides of the centre".to_owned(),
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
                "{pieces} pieces do not share out evenly over {} carriers: the middle of what they carry comes {} from the gimbal",
                g.carriers,
                case.say(Of::Length, case.off_centre(), 2)
            ),
            format!("add {} dummies", even - pieces),
        );
    }
}

/// The path of a circle's key.
fn place(index: usize, key: &str) -> Place {
    Place::batch(format!("carrier.circles[{index}].{key}"))
}

/// Pockets: inside the carrier's rim, clear of each other, and with a web between them.
pub(super) fn pockets(case: &Case, findings: &mut Findings) {
    let (batch, g) = (case.batch, &case.machine.geometry);
    let radius = batch.outline.outer_radius();
    let root = g.radius_carrier() - DEDENDUM * g.module;
    let mut thinnest = Web::NONE;
    for (index, circle) in batch.circles.iter().enumerate() {
        let reach = circle.radius + radius;
        if reach >= root {
            findings.add(
                Code::PocketOutsideCarrier,
                place(index, "radius"),
                (reach * 1e3, root * 1e3, Of::Length),
                format!(
                    "pockets reach {} from the carrier's centre; its teeth begin at {}",
                    case.say(Of::Length, reach, 4),
                    case.say(Of::Length, root, 4)
                ),
                format!(
                    "bring the pocket circle under {}, or use smaller parts",
                    case.at_most(Of::Length, root - radius, 4)
                ),
            );
        } else {
            thinnest = thinnest.or(root - reach, index, "a pocket and the teeth");
        }
        thinnest = on_one_circle(case, index, circle, thinnest, findings);
        for (other, inner) in batch.circles.iter().enumerate().take(index) {
            thinnest = between_two(case, [other, index], [inner, circle], thinnest, findings);
        }
    }
    if thinnest.width < WEB && !findings.has(Code::PocketsOverlap) {
        findings.add(
            Code::PocketWebThin,
            place(thinnest.circle, "radius"),
            (thinnest.width * 1e3, WEB * 1e3, Of::Length),
            format!(
                "the web between {} is {} wide",
                thinnest.between,
                case.say(Of::Length, thinnest.width, 2)
            ),
            "cut fewer pockets, or move their circles apart".to_owned(),
        );
    }
}

/// The thinnest web so far.
#[derive(Clone, Copy)]
struct Web {
    /// m.
    width: f64,
    circle: usize,
    between: &'static str,
}

impl Web {
    const NONE: Self = Self {
        width: f64::INFINITY,
        circle: 0,
        between: "",
    };

    fn or(self, width: f64, circle: usize, between: &'static str) -> Self {
        if width < self.width {
            Self {
                width,
                circle,
                between,
            }
        } else {
            self
        }
    }
}

fn on_one_circle(
    case: &Case,
    index: usize,
    circle: &Circle,
    thinnest: Web,
    findings: &mut Findings,
) -> Web {
    if circle.pockets < 2 {
        return thinnest;
    }
    let apart = 2.0 * circle.radius * sin(PI / f64::from(circle.pockets));
    // A rectangle may be laid with its narrow side along the circle.
    let wide = match case.batch.outline {
        // What neighbours take of the distance between them, as they are laid in.
        Outline::Polygon(polygon) => {
            let next = TAU / f64::from(circle.pockets);
            apart - polygon.web([circle.radius; 2], [0.0, next])
        }
        Outline::Rectangle { length, width } => min(length, width),
        round => 2.0 * round.outer_radius(),
    };
    if apart > wide {
        return thinnest.or(apart - wide, index, "two pockets of one circle");
    }
    findings.add(
        Code::PocketsOverlap,
        place(index, "pockets"),
        (apart * 1e3, wide * 1e3, Of::Length),
        format!(
            "{} pockets lie {} apart, and a part is {} wide",
            circle.pockets,
            case.say(Of::Length, apart, 4),
            case.say(Of::Length, wide, 4)
        ),
        "cut fewer pockets, or on a larger circle".to_owned(),
    );
    thinnest
}

fn between_two(
    case: &Case,
    indices: [usize; 2],
    circles: [&Circle; 2],
    thinnest: Web,
    findings: &mut Findings,
) -> Web {
    let web = least_web(case.batch.outline, circles);
    if web > 0.0 {
        return thinnest.or(web, indices[1], "pockets of two circles");
    }
    findings.add(
        Code::PocketsOverlap,
        place(indices[1], "radius"),
        (web * 1e3, 0.0, Of::Length),
        format!(
            "pockets of circle {} run into those of circle {} by {}",
            indices[1] + 1,
            indices[0] + 1,
            case.say(Of::Length, -web, 3)
        ),
        "move the circles apart, or give one of them another phase".to_owned(),
    );
    thinnest
}

/// Least web between a pocket of one circle and one of another, m; negative where they run into each other. To each of the one the two
/// nearest of the other are looked at.
fn least_web(outline: Outline, [one, other]: [&Circle; 2]) -> f64 {
    let spacing = TAU / f64::from(other.pockets.max(1));
    let mut least = f64::INFINITY;
    for i in 0..one.pockets {
        let angle = one.phase + TAU * f64::from(i) / f64::from(one.pockets);
        let before = floor((angle - other.phase) / spacing);
        for place in [before, before + 1.0] {
            let angles = [angle, other.phase + spacing * place];
            least = min(least, web(outline, [one.radius, other.radius], angles));
        }
    }
    least
}

/// Web between two pockets whose centres are at these radii (m) and angles (rad). Rectangles lie with their narrow side along their
/// circle; where they are apart, some side of one of them has the other wholly beyond it.
fn web(outline: Outline, radii: [f64; 2], angles: [f64; 2]) -> f64 {
    let [a, b] = [0, 1].map(|i| [radii[i] * cos(angles[i]), radii[i] * sin(angles[i])]);
    let apart = [b[0] - a[0], b[1] - a[1]];
    let [length, width] = match outline {
        Outline::Rectangle { length, width } => [length, width],
        Outline::Polygon(polygon) => return polygon.web(radii, angles),
        round => return hypot(apart[0], apart[1]) - 2.0 * round.outer_radius(),
    };
    let halves = [0.5 * max(length, width), 0.5 * min(length, width)];
    let (turned, across) = (
        abs(cos(angles[1] - angles[0])),
        abs(sin(angles[1] - angles[0])),
    );
    let mut widest = f64::NEG_INFINITY;
    for angle in angles {
        let (c, s) = (cos(angle), sin(angle));
        for (side, [x, y]) in [[c, s], [-s, c]].into_iter().enumerate() {
            let far = abs(apart[0] * x + apart[1] * y);
            // Its own half along this side, and what the other reaches along it.
            let other = halves[side] * turned + halves[1 - side] * across;
            widest = max(widest, far - halves[side] - other);
        }
    }
    widest
}
