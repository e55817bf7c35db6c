//! A shelf for whoever names none: usual grades, of which nothing is measured. What they do is taken from published forms, and `check`
//! says so.

use twinplate_sim::files::grades;
use twinplate_sim::model::{Consumables, Process, Recipe, Shelf, Shelved};
use twinplate_sim::plant::abrasion::Material;
use twinplate_sim::plant::abrasion::Published;

/// A kind of slurry: process, abrasive, vehicle, mass share, friction wet and dry, work that halves the cut, J/m².
struct Kind {
    process: Process,
    abrasive: &'static str,
    vehicle: &'static str,
    concentration: f64,
    friction: [f64; 2],
    breakdown_work: f64,
}

/// Alumina in water. Friction and breakdown are invented, as those of the demonstration set.
const ALUMINA: Kind = Kind {
    process: Process::LooseAbrasive,
    abrasive: "aluminium oxide",
    vehicle: "water",
    concentration: 0.2,
    friction: [0.1, 0.3],
    breakdown_work: 20e6,
};
/// Diamond in oil, likewise.
const DIAMOND: Kind = Kind {
    process: Process::Diamond,
    abrasive: "diamond",
    vehicle: "oil",
    concentration: 0.02,
    friction: [0.1, 0.3],
    breakdown_work: 40e6,
};
/// Ceria on pads, likewise.
const CERIA: Kind = Kind {
    process: Process::PadPolishing,
    abrasive: "cerium oxide",
    vehicle: "water",
    concentration: 0.1,
    friction: [0.35, 0.7],
    breakdown_work: 100e6,
};

/// Micro-grits of alumina that shops usually have (common practice, no source).
const GRITS: [&str; 4] = ["F320", "F400", "F600", "F800"];
/// Grains of diamond, m, likewise.
const DIAMONDS: [(&str, f64); 3] = [
    ("15 µm diamond", 15e-6),
    ("6 µm diamond", 6e-6),
    ("3 µm diamond", 3e-6),
];

/// The usual shelf for a material.
#[must_use]
pub fn usual_shelf(material: &str) -> Shelf {
    let grits = GRITS
        .iter()
        .filter_map(|name| grades::find(name))
        .map(|grade| shelved(&ALUMINA, material, grade.name, grade.median * 1e-6));
    let diamonds = DIAMONDS
        .iter()
        .map(|(name, grain)| shelved(&DIAMOND, material, name, *grain));
    let ceria = shelved(&CERIA, material, "1 µm ceria", 1e-6);
    Shelf {
        id: "usual".to_owned(),
        title: "Usual grades, nothing measured".to_owned(),
        currency: None,
        machine: None,
        abrasives: grits.chain(diamonds).chain([ceria]).collect(),
    }
}

/// The abrasive of a recipe as a shelf of its own, for a material.
#[must_use]
pub fn shelf_of(recipe: &Recipe, material: &str) -> Shelf {
    Shelf {
        id: recipe.id.clone(),
        title: format!("As in {}", recipe.id),
        currency: None,
        machine: None,
        abrasives: vec![Shelved {
            material: material.to_owned(),
            consumables: recipe.consumables.clone(),
            price: None,
        }],
    }
}

fn shelved(kind: &Kind, material: &str, grade: &str, grain: f64) -> Shelved {
    let mut consumables = Consumables {
        process: kind.process,
        abrasive: kind.abrasive.to_owned(),
        grade: grade.to_owned(),
        grain,
        vehicle: kind.vehicle.to_owned(),
        concentration: kind.concentration,
        removal: None,
        removal_rate: None,
        friction: kind.friction[0],
        friction_dry: kind.friction[1],
        breakdown_work: kind.breakdown_work,
        roughness: None,
        damage: None,
        measured_at: None,
        settle_depth: grain,
    };
    // A new finish is there when the damage before it is gone; where that is less than a third of a grain, when the grains are past it.
    let published = Published::of(&consumables, Material::named(material));
    let third = grain / 3.0;
    consumables.settle_depth = if published.damage.usual > third {
        published.damage.usual
    } else {
        third
    };
    Shelved {
        material: material.to_owned(),
        consumables,
        price: None,
    }
}
