//! Batches in between: what one recipe of a row leaves, as the batch file of the next.

use crate::order::Stage;
use crate::write::{quantity, quoted};
use std::fmt::Write as _;
use twinplate_check::verdict::CheckReport;
use twinplate_sim::math::{max, min};
use twinplate_sim::model::{Batch, CarrierMaterial, LoadingOrder, Outline, Shelved, micrometres};
use twinplate_sim::plant::abrasion::Abrasion;

/// Longest identifier.
const LONGEST: usize = 24;

/// The identifier of the `number`th recipe or batch of a row.
pub(crate) fn id(base: &str, number: usize, word: &str) -> String {
    let tail = if word.is_empty() {
        format!("-{number}")
    } else {
        format!("-{number}-{word}")
    };
    let base: String = base.chars().take(LONGEST - tail.len()).collect();
    format!("{}{tail}", base.trim_end_matches('-'))
}

/// Sets what a recipe that is not the last is to leave: its size, and what its abrasive leaves of itself.
pub(crate) fn aim(batch: &mut Batch, asked: &Batch, abrasive: &Shelved, target: f64) {
    let own = Abrasion::of(&abrasive.consumables, &batch.material);
    batch.target = round(target);
    let left = batch.target - asked.target;
    // What it misses, the next one makes good, but not more than a fifth of what that takes off.
    batch.tolerance = round(max(asked.tolerance, min(0.2 * left, 5e-6)));
    batch.finish = round(max(1.25 * own.roughness, asked.finish));
    batch.damage_left = None;
    batch.flatness = max(batch.flatness, asked.flatness);
    batch.parallelism = max(batch.parallelism, asked.parallelism);
}

/// The last recipe is to leave what was asked for.
pub(crate) fn finish(batch: &mut Batch, asked: &Batch) {
    batch.target = asked.target;
    batch.tolerance = asked.tolerance;
    batch.finish = asked.finish;
    batch.damage_left = asked.damage_left;
    batch.flatness = asked.flatness;
    batch.parallelism = asked.parallelism;
}

/// What a recipe leaves, as the batch that comes into the next: sizes and faces as the worst of its trials left them.
pub(crate) fn after(
    batch: &Batch,
    abrasive: &Shelved,
    report: &CheckReport,
    base: &str,
    number: usize,
) -> Batch {
    let own = Abrasion::of(&abrasive.consumables, &batch.material);
    let worst = |name: &str| {
        let found = report.judged.iter().find(|target| target.name == name);
        found.and_then(|target| target.worst).map(|um| um * 1e-6)
    };
    let sigma = worst("tolerance").map_or(batch.spread, |six| six / 6.0);
    // The envelope makes the spread wider again: what is written is the middle of it.
    let spread = min(batch.spread, max(sigma, 0.05e-6));
    Batch {
        id: id(base, number, "in"),
        thickness: batch.target,
        spread: round(spread),
        damage: round(max(own.damage, worst("damage").unwrap_or(0.0))),
        roughness: round(worst("finish").unwrap_or(own.roughness)),
        bow: round(min(
            batch.bow,
            max(worst("flatness").unwrap_or(batch.bow), 0.1e-6),
        )),
        taper: round(min(
            batch.taper,
            max(worst("parallelism").unwrap_or(batch.taper), 0.1e-6),
        )),
        ..batch.clone()
    }
}

/// To a hundredth of a micrometre: what a file says is what is used.
fn round(length: f64) -> f64 {
    twinplate_sim::math::round(length * 1e8) / 1e8
}

/// A batch as the text of its file.
pub(crate) fn text(batch: &Batch, what: &str) -> String {
    let um = |length: f64| quantity(micrometres(length), 10, "µm");
    let mm = |length: f64| quantity(length * 1e3, 10, "mm");
    let mut t = format!(
        "# {what}\n\nformat = \"batch-1\"\nid = {}\n",
        quoted(&batch.id)
    );
    let title: String = batch.title.chars().take(120).collect();
    let _ = writeln!(t, "title = {}\n\n[part]", quoted(&title));
    let _ = writeln!(t, "material = {}", quoted(&batch.material));
    let _ = writeln!(t, "density = {}", quantity(batch.density, 10, "kg/m³"));
    let outline = match batch.outline {
        Outline::Disc { diameter } => format!("diameter = {}", mm(diameter)),
        Outline::Ring { outer, inner } => format!("outer = {}, inner = {}", mm(outer), mm(inner)),
        Outline::Rectangle { length, width } => {
            format!("length = {}, width = {}", mm(length), mm(width))
        }
        Outline::Polygon(polygon) => {
            let corners = polygon.corners().iter();
            let corners: Vec<String> = corners
                .map(|[x, y]| format!("{{ x = {}, y = {} }}", mm(*x), mm(*y)))
                .collect();
            format!("corners = [{}]", corners.join(", "))
        }
    };
    let _ = writeln!(t, "outline = {{ {outline} }}");
    let _ = writeln!(t, "thickness = {}", mm(batch.thickness));
    let _ = writeln!(t, "spread = {}", um(batch.spread));
    let _ = writeln!(t, "damage = {}", um(batch.damage));
    let _ = writeln!(t, "roughness = {}", um(batch.roughness));
    let _ = writeln!(t, "strength = {}", quantity(batch.strength, 10, "N"));
    let _ = writeln!(
        t,
        "stiffness-per-area = \"{:e} N/m³\"",
        batch.stiffness_per_area
    );
    let _ = writeln!(
        t,
        "elastic-modulus = {}",
        quantity(batch.elastic_modulus / 1e9, 10, "GPa")
    );
    let _ = writeln!(t, "bow = {}\ntaper = {}", um(batch.bow), um(batch.taper));
    let _ = writeln!(t, "\n[target]\nthickness = {}", mm(batch.target));
    let _ = writeln!(t, "tolerance = {}", um(batch.tolerance));
    let _ = writeln!(t, "parallelism = {}", um(batch.parallelism));
    let _ = writeln!(t, "flatness = {}", um(batch.flatness));
    let _ = writeln!(t, "finish = {}", um(batch.finish));
    if let Some(damage) = batch.damage_left {
        let _ = writeln!(t, "damage = {}", um(damage));
    }
    carrier(&mut t, batch);
    t
}

/// The recipes of a row as the text of a route file: `id` is its identifier.
#[must_use]
pub fn route_text(id: &str, stages: &[Stage]) -> String {
    let title = format!("{} recipes in a row, drafted", stages.len());
    let batch = stages.first().map_or("", |stage| stage.batch.id.as_str());
    let mut t = format!(
        "# drafted: each recipe works on what the one before leaves\n\nformat = \"route-1\"\nid = {}\ntitle = {}\n# as it comes, with \
         the target of the first recipe\nbatch = {}\n",
        quoted(id),
        quoted(&title),
        quoted(batch)
    );
    for stage in stages {
        let recipe = &stage.recipe.value;
        let _ = write!(
            t,
            "\n# {}\n[[stages]]\nrecipe = {}\n",
            recipe.consumables.grade,
            quoted(&recipe.id)
        );
    }
    t
}

fn carrier(t: &mut String, batch: &Batch) {
    let mm = |length: f64| quantity(length * 1e3, 10, "mm");
    let _ = writeln!(
        t,
        "\n[inspection]\nwavelength = {}",
        quantity(batch.wavelength * 1e9, 10, "nm")
    );
    let _ = writeln!(
        t,
        "\n[carrier]\nthickness = {}",
        mm(batch.carrier_thickness)
    );
    let material = match batch.carrier_material {
        CarrierMaterial::SpringSteel => "spring-steel",
        CarrierMaterial::GlassLaminate => "glass-laminate",
    };
    let _ = writeln!(t, "material = \"{material}\"");
    let _ = writeln!(
        t,
        "strength = {}",
        quantity(batch.carrier_strength / 1e6, 10, "MPa")
    );
    let circles: Vec<String> = batch
        .circles
        .iter()
        .map(|circle| {
            format!(
                "{{ pockets = {}, radius = {}, phase = {} }}",
                circle.pockets,
                mm(circle.radius),
                quantity(circle.phase.to_degrees(), 10, "°")
            )
        })
        .collect();
    let _ = writeln!(t, "circles = [{}]", circles.join(", "));
    let order = match batch.order {
        LoadingOrder::Mixed => "mixed",
        LoadingOrder::ByThickness => "by-thickness",
    };
    let _ = writeln!(
        t,
        "\n[loaded]\nparts = {}\ndummies = {}\norder = \"{order}\"",
        batch.parts, batch.dummies
    );
}
