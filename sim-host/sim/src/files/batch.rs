//! The batch file: every key, its range and where it goes in [`Batch`].

use super::materials::{self, MATERIALS};
use super::outline;
use super::quantity::{Dimension as D, find};
use super::table::Table;
use crate::assumed::Width;
use crate::assumed::batch::{BatchRule, rules};
use crate::model::{
    Batch, CIRCLES, CarrierMaterial, Circle, LoadingOrder, Outline, Shown, significant,
};

/// Model paths that differ from the file's, model first.
pub(super) const ALIASES: &[(&str, &str)] = &[
    ("material", "part.material"),
    ("density", "part.density"),
    ("outline", "part.outline"),
    ("thickness", "part.thickness"),
    ("spread", "part.spread"),
    ("damage", "part.damage"),
    ("roughness", "part.roughness"),
    ("strength", "part.strength"),
    ("stiffness-per-area", "part.stiffness-per-area"),
    ("elastic-modulus", "part.elastic-modulus"),
    ("bow", "part.bow"),
    ("taper", "part.taper"),
    ("wavelength", "inspection.wavelength"),
    ("target", "target.thickness"),
    ("tolerance", "target.tolerance"),
    ("parallelism", "target.parallelism"),
    ("flatness", "target.flatness"),
    ("finish", "target.finish"),
    ("damage-left", "target.damage"),
    ("carrier-thickness", "carrier.thickness"),
    ("carrier-material", "carrier.material"),
    ("carrier-strength", "carrier.strength"),
    ("parts", "loaded.parts"),
    ("dummies", "loaded.dummies"),
    ("order", "loaded.order"),
];

pub(super) fn read(t: &mut Table<'_, '_>) -> Batch {
    let id = t.identifier("id", "Identifier that recipes name; also the file's name.");
    let title = t.text("title", 120, "One line for people.");
    // Lengths may be in bands of the lamp that the parts are looked at with.
    let wavelength = t.table_or("inspection", "How the parts are looked at.", inspection);
    t.under_lamp(wavelength);
    let part = t.table("part", "A part as it comes in.", part);
    let target = t.table("target", "What a finished part must be.", target);
    let carrier = t.table("carrier", "The carriers that hold this batch.", carrier);
    let loaded = t.table("loaded", "What is loaded in the whole machine.", loaded);
    let assumed = rules().map(|rule| rule.key);
    let assumed = assumed.filter(|key| !t.gives(key)).collect();
    Batch {
        id,
        title,
        material: part.material,
        density: part.density,
        outline: part.outline,
        thickness: part.thickness,
        spread: part.spread,
        damage: part.damage,
        roughness: part.roughness,
        strength: part.strength,
        stiffness_per_area: part.stiffness_per_area,
        elastic_modulus: part.elastic_modulus,
        bow: part.bow,
        taper: part.taper,
        target: target.thickness,
        tolerance: target.tolerance,
        parallelism: target.parallelism,
        flatness: target.flatness,
        finish: target.finish,
        damage_left: target.damage,
        wavelength,
        carrier_thickness: carrier.thickness,
        circles: carrier.circles,
        carrier_material: carrier.material,
        carrier_strength: carrier.strength,
        parts: loaded.parts,
        dummies: loaded.dummies,
        order: loaded.order,
        measured: Vec::new(),
        assumed,
    }
}

/// A value of an assumed key with its unit, that typed where it has one.
#[must_use]
pub fn value_words(rule: &BatchRule, value: f64, shown: &Shown) -> String {
    if let Some(of) = rule.of {
        return shown.say(of, value, 3);
    }
    let unit = find(rule.unit);
    let number = unit.map_or(value, |unit| value * unit.denominator / unit.numerator);
    let words = format!("{} {}", significant(number, 3), rule.unit);
    words.trim_end().to_owned()
}

/// How far off an assumed key may be, in words.
#[must_use]
pub fn width_words(rule: &BatchRule, shown: &Shown) -> String {
    match rule.width {
        Width::Factor(factor) => format!("÷{factor}…×{factor}"),
        Width::Share(share) => format!("±{} %", significant(100.0 * share, 2)),
        Width::Plus(half) => format!("up to {} more", value_words(rule, half, shown)),
        _ => "as loaded".to_owned(),
    }
}

struct Part {
    material: String,
    density: f64,
    outline: Outline,
    thickness: f64,
    spread: f64,
    damage: f64,
    roughness: f64,
    strength: f64,
    stiffness_per_area: f64,
    elastic_modulus: f64,
    bow: f64,
    taper: f64,
}

fn part(t: &mut Table<'_, '_>) -> Part {
    let material = t.text_like(
        "material",
        60,
        MATERIALS[0].name,
        "Material. What a handbook says of it stands in for values that are left out: the manual lists the names it knows.",
    );
    let known = materials::named(&material);
    let density = t.quantity_from(
        "density",
        D::Density,
        ["100 kg/m³", "25000 kg/m³"],
        known.map(|known| known.density),
        "Density. Left out, that of the material.",
    );
    let outline = t.table(
        "outline",
        "Outline of a part: disc, ring, rectangle, or any polygon.",
        outline::read,
    );
    let thickness = t.quantity(
        "thickness",
        D::Length,
        ["20 µm", "300 mm"],
        "Incoming mean thickness.",
    );
    let elastic_modulus = t.quantity_from(
        "elastic-modulus",
        D::Pressure,
        ["100 MPa", "1200 GPa"],
        known.map(|known| known.modulus),
        "Elastic modulus: how much of a bow springs back. Left out, that of the material.",
    );
    let Incoming {
        spread,
        damage,
        roughness,
        bow,
        taper,
    } = incoming(t);
    t.require_order(("spread", spread), ("thickness", thickness), true);
    Part {
        density,
        outline,
        thickness,
        spread,
        damage,
        roughness,
        bow,
        taper,
        strength: t.quantity_from(
            "strength",
            D::Force,
            ["0.1 N", "1000 kN"],
            known.map(|known| materials::strength(known.bending, elastic_modulus, &outline, thickness)),
            "Load on one part at which it may crack. Left out, that at which a part of the material cracks over a clump of 10 µm.",
        ),
        stiffness_per_area: t.quantity_or(
            "stiffness-per-area",
            D::StiffnessPerArea,
            ["1e7 N/m³", "1e13 N/m³"],
            "1e10 N/m³",
            "Contact stiffness per area of the column of film, grains and part. The default is typical (invented).",
        ),
        elastic_modulus,
        material,
    }
}

/// How parts come in, and how much they differ.
struct Incoming {
    spread: f64,
    damage: f64,
    roughness: f64,
    bow: f64,
    taper: f64,
}

fn incoming(t: &mut Table<'_, '_>) -> Incoming {
    Incoming {
        spread: t.quantity(
            "spread",
            D::Length,
            ["0 µm", "1 mm"],
            "Incoming thickness spread, one standard deviation.",
        ),
        damage: t.quantity(
            "damage",
            D::Length,
            ["0 µm", "1 mm"],
            "Incoming damage depth per face.",
        ),
        roughness: t.quantity(
            "roughness",
            D::Length,
            ["0.1 nm", "100 µm"],
            "Incoming roughness Ra.",
        ),
        bow: t.quantity_or(
            "bow",
            D::Length,
            ["0 µm", "1 mm"],
            "0 µm",
            "Largest incoming bow of a part to either side, edge over middle. Left out, parts come in flat.",
        ),
        taper: t.quantity_or(
            "taper",
            D::Length,
            ["0 µm", "1 mm"],
            "0 µm",
            "Largest incoming thickness difference across a part. Left out, parts come in parallel.",
        ),
    }
}

struct Target {
    thickness: f64,
    tolerance: f64,
    parallelism: f64,
    flatness: f64,
    finish: f64,
    damage: Option<f64>,
}

fn target(t: &mut Table<'_, '_>) -> Target {
    let form = ["10 nm", "1 mm"];
    let value = Target {
        thickness: t.quantity(
            "thickness",
            D::Length,
            ["10 µm", "300 mm"],
            "Target mean thickness.",
        ),
        tolerance: t.quantity(
            "tolerance",
            D::Length,
            ["10 nm", "5 mm"],
            "Size tolerance, ±, on every part.",
        ),
        parallelism: t.quantity(
            "parallelism",
            D::Length,
            form,
            "Largest thickness difference within a part.",
        ),
        flatness: t.quantity(
            "flatness",
            D::Length,
            form,
            "Largest flatness deviation, peak to valley.",
        ),
        finish: t.quantity(
            "finish",
            D::Length,
            ["0.1 nm", "100 µm"],
            "Largest roughness Ra.",
        ),
        damage: t.optional_quantity(
            "damage",
            D::Length,
            ["0 µm", "1 mm"],
            "Largest damage depth left in any face of any part; without it, no more than the process itself leaves.",
        ),
    };
    t.require_order(
        ("tolerance", value.tolerance),
        ("thickness", value.thickness),
        true,
    );
    value
}

fn inspection(t: &mut Table<'_, '_>) -> f64 {
    t.quantity_or(
        "wavelength",
        D::Length,
        ["200 nm", "2 µm"],
        "587.5618 nm",
        "Wavelength of the lamp under which light bands are read. The default is the yellow line of helium.",
    )
}

struct Carrier {
    thickness: f64,
    circles: Vec<Circle>,
    material: CarrierMaterial,
    strength: f64,
}

fn carrier(t: &mut Table<'_, '_>) -> Carrier {
    let material = t
        .optional_word(
            "material",
            &[
                ("spring-steel", CarrierMaterial::SpringSteel),
                ("glass-laminate", CarrierMaterial::GlassLaminate),
            ],
            "What the carriers are cut from. Left out, spring steel.",
        )
        .unwrap_or_default();
    let strength = t.optional_quantity(
        "strength",
        D::Pressure,
        ["1 MPa", "5 GPa"],
        "Bending stress that the carriers' teeth bear. Left out, that of the material: spring steel 400 MPa, glass laminate 100 MPa.",
    );
    Carrier {
        material,
        strength: strength.unwrap_or(material.strength()),
        thickness: t.quantity(
            "thickness",
            D::Length,
            ["10 µm", "300 mm"],
            "Carrier thickness.",
        ),
        circles: t
            .one_of(&[("pockets", one_circle), ("circles", several)])
            .unwrap_or_default(),
    }
}

const POCKETS: [u32; 2] = [1, 1000];
const RADIUS: [&str; 2] = ["0 mm", "2 m"];

/// The short form: one circle, its first pocket outwards.
fn one_circle(t: &mut Table<'_, '_>) -> Vec<Circle> {
    let circle = Circle {
        pockets: t.integer("pockets", POCKETS, "Pockets in one carrier, on one circle."),
        radius: t.quantity(
            "pocket-radius",
            D::Length,
            RADIUS,
            "Radius of the pocket centres in the carrier.",
        ),
        phase: 0.0,
    };
    t.also("pockets", "circles[0].pockets");
    t.also("pocket-radius", "circles[0].radius");
    vec![circle]
}

fn several(t: &mut Table<'_, '_>) -> Vec<Circle> {
    t.list(
        "circles",
        [1, CIRCLES],
        "Circles of pockets in one carrier, instead of `pockets` and `pocket-radius`.",
        circle,
    )
}

fn circle(t: &mut Table<'_, '_>) -> Circle {
    Circle {
        pockets: t.integer("pockets", POCKETS, "Pockets on the circle, evenly spread."),
        radius: t.quantity(
            "radius",
            D::Length,
            RADIUS,
            "Radius of the pocket centres; 0 mm for one pocket in the middle.",
        ),
        phase: t.quantity_or(
            "phase",
            D::Angle,
            ["-360 °", "360 °"],
            "0 °",
            "Angle to its first pocket, counter-clockwise from the line outwards as the carrier is laid in.",
        ),
    }
}

struct Loaded {
    parts: u32,
    dummies: u32,
    order: LoadingOrder,
}

fn loaded(t: &mut Table<'_, '_>) -> Loaded {
    Loaded {
        parts: t.integer("parts", [1, 10_000], "Parts in the whole machine."),
        dummies: t
            .optional_integer(
                "dummies",
                [0, 10_000],
                "Dummies beside them that carry load and are no product. Left out, none.",
            )
            .unwrap_or(0),
        order: t
            .optional_word(
                "order",
                &[
                    ("mixed", LoadingOrder::Mixed),
                    ("by-thickness", LoadingOrder::ByThickness),
                ],
                "How the lot is laid in: mixed, or carrier after carrier from a lot whose thickness runs from one end to the other. Left out, mixed.",
            )
            .unwrap_or_default(),
    }
}

#[cfg(test)]
mod tests {
    use super::super::{parse_batch, render_errors};
    use crate::model::Circle;
    use std::path::Path;

    const SHORT: &str = "pockets = 3\npocket-radius = \"50 mm\"\n";

    fn read(carrier: &str) -> super::super::Loaded<super::Batch> {
        let path =
            Path::new(env!("CARGO_MANIFEST_DIR")).join("../../recipes/batches/glass-discs.toml");
        let text = std::fs::read_to_string(&path).expect("the demonstration batch");
        assert!(text.contains(SHORT));
        parse_batch(&path, &text.replace(SHORT, carrier))
            .unwrap_or_else(|errors| panic!("{}", render_errors(&errors, false)))
    }

    /// The short form is one circle; both know where a circle's values stand.
    #[test]
    fn one_circle_is_the_same_in_both_forms() {
        let short = read(SHORT);
        let long = read("circles = [{ pockets = 3, radius = \"50 mm\" }]\n");
        assert_eq!(short.value, long.value);
        for (path, text) in [
            ("carrier.circles[0].radius", "50 mm"),
            ("carrier.circles[0].pockets", "pockets"),
        ] {
            for file in [&short, &long] {
                let place = file.place(path).expect("a place");
                assert!(file.line(place).contains(text), "{path}: {place:?}");
            }
        }
        assert_eq!(
            short.line(short.place("carrier.circles[0].radius").expect("a place")),
            SHORT.lines().nth(1).expect("two lines")
        );
    }

    #[test]
    fn circles_are_read_in_order_with_their_phases() {
        let batch = read(
            "[[carrier.circles]]\npockets = 1\nradius = \"0 mm\"\n[[carrier.circles]]\npockets = 6\nradius = \"27 mm\"\nphase = \"30 °\"\n",
        )
        .value;
        let [middle, six] = batch.circles[..] else {
            panic!("{:?}", batch.circles)
        };
        assert_eq!((middle.pockets, middle.radius, middle.phase), (1, 0.0, 0.0));
        let half = std::f64::consts::PI / 6.0;
        assert!(
            (six.phase - half).abs() < 1e-15
                && six
                    == Circle {
                        pockets: 6,
                        radius: 0.027,
                        phase: six.phase
                    }
        );
        assert_eq!((batch.pockets(), batch.outermost()), (7, 0.027));
    }
}
