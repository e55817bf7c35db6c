//! The plan of carriers and pockets as they are laid in.

use super::Laid;
use crate::report::plan::{LABELLED, outline};
use crate::report::svg::{Anchor, Svg};
use std::f64::consts::TAU;
use twinplate_sim::math::{cos, max, sin};
use twinplate_sim::plant::places::LaidIn;

/// Side of a plan, px, and the room around what is drawn.
const SIDE: f64 = 520.0;
const ROOM: f64 = 14.0;

/// Width of a letter, px, about.
const LETTER: f64 = 7.0;
/// Pockets in a carrier up to which there is room for numbers beside them.
const BESIDE: u32 = 12;

/// What stands in a pocket.
pub(super) struct Tag {
    /// The word in it.
    pub word: String,
    /// What a pointer that rests on it is told.
    pub told: String,
    /// A dummy lies there.
    pub dummy: bool,
}

/// Draws the plan: each pocket with its tag, each carrier with its number.
pub(super) fn draw(laid: Laid, label: &str, places: &[LaidIn], tags: &[Tag]) -> Svg {
    let mut svg = Svg::new(SIDE, SIDE, label);
    let g = &laid.machine.geometry;
    let reach = max(0.5 * g.plate_outer, g.radius_orbit() + g.radius_carrier());
    let (middle, scale) = (0.5 * SIDE, (0.5 * SIDE - ROOM) / reach);
    for edge in [g.plate_inner, g.plate_outer] {
        svg.circle(middle, middle, 0.5 * edge * scale, "plan-edge");
    }
    for carrier in 0..g.carriers {
        let angle = TAU * f64::from(carrier) / f64::from(g.carriers);
        let r = g.radius_orbit() * scale;
        let (x, y) = (middle + r * cos(angle), middle - r * sin(angle));
        svg.circle(x, y, g.radius_carrier() * scale, "plan-carrier");
    }
    let room = laid.batch.outline.room() * scale;
    let few = laid.batch.pockets() <= BESIDE;
    for (lies, tag) in places.iter().zip(tags) {
        let [x, y] = lies.place.map(|at| at * scale);
        let (x, y) = (middle + x, middle - y);
        let class = if tag.dummy {
            "plan-part dummy"
        } else {
            "plan-part"
        };
        let colour = if tag.dummy { "#e3e5e7" } else { "#ffffff" };
        svg.filled(
            &outline(laid.batch.outline, [x, y], lies.turned, scale),
            colour,
            class,
            &tag.told,
        );
        // Some seven pixels a letter: a long word is told by the table and the pointer, a number that has no room in the pocket stands
        // beside it, towards the middle of its carrier.
        let wide = tag.word.chars().count() as f64 * LETTER;
        if room >= LABELLED && wide <= 2.0 * room + 4.0 {
            svg.text(x, y + 4.0, Anchor::Middle, "plan-num", &tag.word);
        } else if wide <= 2.0 * LETTER && few {
            let beside = room + 9.0;
            let (x, y) = (x - beside * cos(lies.turned), y + beside * sin(lies.turned));
            svg.text(x, y + 4.0, Anchor::Middle, "plan-num small", &tag.word);
        }
    }
    // A carrier's number stands in its middle, or on its rim where a pocket is in the middle.
    let taken = laid.batch.circles.iter().any(|circle| circle.radius == 0.0);
    let off = if taken { 0.9 * g.radius_carrier() } else { 0.0 };
    for carrier in 0..g.carriers {
        let angle = TAU * f64::from(carrier) / f64::from(g.carriers);
        let r = (g.radius_orbit() + off) * scale;
        let (x, y) = (middle + r * cos(angle), middle - r * sin(angle));
        svg.circle(x, y, 12.0, "plan-carrier-number");
        let number = (carrier + 1).to_string();
        svg.text(x, y + 4.0, Anchor::Middle, "plan-num", &number);
    }
    svg
}
