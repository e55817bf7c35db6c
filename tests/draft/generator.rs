//! Pairs of machine and batch that are known to be feasible: a passing recipe is made first, and hidden.
//!
//! A demonstration recipe with its machine and batch is varied by the factors below, drawn evenly between their ends on a logarithmic
//! scale, and kept where the varied recipe passes `check` without a warning. The draft sees the machine, the batch and a shelf that
//! holds the hidden recipe's abrasive among others; the recipe it does not see.
//!
//! | what | factor |
//! |---|---|
//! | scale of machine, parts and pockets together | 0.7 to 1.5 |
//! | outline of the parts in their pockets | 0.85 to 1 |
//! | thickness of parts and carriers, stock as it is | 0.8 to 1.6 |
//! | stock | 0.85 to 1.4 |
//! | spread, damage, roughness, bow and taper as they come | 0.6 to 1.2 |
//! | strength of a part | 0.6 to 2 |
//! | density, elastic modulus, stiffness of contact | 0.75 to 1.3 |
//! | size tolerance, flatness, parallelism, finish | 0.8 to 1.5 |
//! | torque of the drives, cooling, film life | 0.8 to 1.3 |
//! | removal of the abrasive | 0.6 to 1.5 |
//! | friction of the abrasive | 0.8 to 1.25 |
//! | its finish and damage | 0.85 to 1.1 |
//! | pressures of the hidden recipe | 0.7 to 1.3 |
//! | a pocket of each carrier left empty | one pair in four |

use crate::demo::{shelf, trials};
use twinplate_check::check::{Request, check};
use twinplate_check::predict::predict;
use twinplate_check::trials::TrialPlan;
use twinplate_check::verdict::Verdict;
use twinplate_check::{Case, static_check};
use twinplate_draft::{Goal, Order};
use twinplate_sim::demo;
use twinplate_sim::model::{Batch, End, Machine, Outline, Recipe, Shelf, Shelved, Shown};
use twinplate_tests::similar;

/// Numbers that a seed gives for ever (the mixing of `splitmix64`, public domain).
pub struct Draw(u64);

impl Draw {
    pub const fn new(seed: u64) -> Self {
        Self(seed)
    }

    fn next(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        z ^ (z >> 31)
    }

    /// 0..1.
    fn share(&mut self) -> f64 {
        (self.next() >> 11) as f64 / (1_u64 << 53) as f64
    }

    /// A factor between two, evenly by its logarithm.
    pub fn factor(&mut self, low: f64, high: f64) -> f64 {
        low * (high / low).powf(self.share())
    }

    pub fn below(&mut self, count: usize) -> usize {
        (self.next() % count as u64) as usize
    }
}

/// A pair, and what hides behind it.
pub struct Pair {
    pub name: String,
    pub machine: Machine,
    pub batch: Batch,
    pub shelf: Shelf,
    pub gauge: bool,
    pub longest: Option<f64>,
    /// What passes on it.
    pub hidden: Recipe,
}

impl Pair {
    pub fn order(&self, search: usize, proof: usize) -> Order<'_> {
        Order {
            machine: &self.machine,
            batch: &self.batch,
            shelf: &self.shelf,
            goal: Goal::Balanced,
            longest: self.longest,
            gauge: self.gauge,
            id: "drafted".into(),
            trials: trials(search, proof),
            shown: Shown::default(),
        }
    }

    pub fn case(&self) -> Case<'_> {
        Case {
            machine: &self.machine,
            batch: &self.batch,
            recipe: &self.hidden,
        }
    }
}

/// Draws of the check that the hidden recipe must pass.
const HIDDEN_DRAWS: usize = 20;

/// The `number`th pair that is feasible.
pub fn feasible(number: u64) -> Pair {
    let names = demo::recipes();
    for attempt in 0..400 {
        let mut draw = Draw::new(number * 1_000 + attempt);
        // Each demonstration recipe as often as any other.
        let name = &names[number as usize % names.len()];
        if let Some(pair) = vary(name, &mut draw) {
            return Pair {
                name: format!("{number} {name}"),
                ..pair
            };
        }
    }
    panic!("pair {number}: no passing recipe in 400 attempts");
}

fn vary(name: &str, draw: &mut Draw) -> Option<Pair> {
    let (mut machine, mut batch, mut hidden) = demo::set(name);
    let scale = draw.factor(0.7, 1.5);
    similar::machine(&mut machine, scale);
    similar::batch(&mut batch, scale);
    similar::recipe(&mut hidden, scale);
    let area = batch.area();
    parts(&mut batch, draw);
    if draw.below(4) == 0 && batch.pockets() > 3 {
        batch.parts -= machine.geometry.carriers;
    }
    for drive in &mut machine.drives {
        drive.torque *= draw.factor(0.8, 1.3);
    }
    machine.thermal.cooling *= draw.factor(0.8, 1.3);
    machine.slurry.film_life *= draw.factor(0.8, 1.3);
    abrasive(&mut hidden, draw);
    steps(&machine, &batch, &mut hidden, area, draw);
    let shelf = shelved(&hidden, &batch.material, draw);
    let pair = Pair {
        name: String::new(),
        gauge: hidden.gauge,
        longest: None,
        machine,
        batch,
        shelf,
        hidden,
    };
    passes(&pair.case()).then_some(pair)
}

fn parts(batch: &mut Batch, draw: &mut Draw) {
    let outline = draw.factor(0.85, 1.0);
    batch.outline = match batch.outline {
        Outline::Disc { diameter } => Outline::Disc {
            diameter: outline * diameter,
        },
        Outline::Ring { outer, inner } => Outline::Ring {
            outer: outline * outer,
            inner: outline * inner,
        },
        Outline::Rectangle { length, width } => Outline::Rectangle {
            length: outline * length,
            width: outline * width,
        },
        Outline::Polygon(_) => unreachable!("no demonstration part is a polygon"),
    };
    let stock = (batch.thickness - batch.target) * draw.factor(0.85, 1.4);
    let thicker = draw.factor(0.8, 1.6);
    batch.target = round(batch.target * thicker);
    batch.thickness = round(batch.target + stock);
    batch.carrier_thickness *= thicker;
    for incoming in [
        &mut batch.spread,
        &mut batch.damage,
        &mut batch.roughness,
        &mut batch.bow,
        &mut batch.taper,
    ] {
        *incoming *= draw.factor(0.6, 1.2);
    }
    batch.strength *= draw.factor(0.6, 2.0);
    for own in [
        &mut batch.density,
        &mut batch.elastic_modulus,
        &mut batch.stiffness_per_area,
    ] {
        *own *= draw.factor(0.75, 1.3);
    }
    for asked in [
        &mut batch.tolerance,
        &mut batch.flatness,
        &mut batch.parallelism,
        &mut batch.finish,
    ] {
        *asked *= draw.factor(0.8, 1.5);
    }
}

/// To a tenth of a micrometre, as a drawing says it.
fn round(length: f64) -> f64 {
    (length * 1e7).round() / 1e7
}

fn abrasive(hidden: &mut Recipe, draw: &mut Draw) {
    let c = &mut hidden.consumables;
    let friction = draw.factor(0.8, 1.25);
    c.friction *= friction;
    c.friction_dry *= friction;
    for (value, [low, high]) in [
        (&mut c.removal, [0.6, 1.5]),
        (&mut c.roughness, [0.85, 1.1]),
        (&mut c.damage, [0.85, 1.1]),
    ] {
        *value = value.map(|value| value * draw.factor(low, high));
    }
}

/// Pressures, limits and ends of the hidden recipe for its batch.
fn steps(machine: &Machine, batch: &Batch, hidden: &mut Recipe, area: f64, draw: &mut Draw) {
    let harder = draw.factor(0.7, 1.3);
    for step in &mut hidden.steps {
        // The same load as before the parts got smaller, so that the machine holds it.
        step.pressure *= harder * area / batch.area();
        step.load_limit = (step.load_limit * harder.max(1.0)).min(machine.control.rated_load);
        step.longest = 1800.0;
    }
    let last = hidden.steps.len() - 1;
    if matches!(hidden.steps[last].end, End::Stock { .. }) {
        hidden.steps[last].end = End::Size {
            thickness: batch.target,
        };
    }
    if let End::Time { .. } = hidden.steps[last].end {
        hidden.steps[last].end = End::Time { seconds: 60.0 };
    } else {
        hidden.steps[last].end = End::Size {
            thickness: batch.target,
        };
    }
    for _ in 0..5 {
        let predicted = predict(
            &Case {
                machine,
                batch,
                recipe: hidden,
            },
            1.0,
        );
        let off = predicted.thickness - batch.target;
        let rate = predicted.steps[last].removal_rate_um_min / 60e6;
        match &mut hidden.steps[last].end {
            End::Size { thickness } => *thickness -= off,
            End::Time { seconds } => *seconds = (*seconds + off / rate).max(1.0),
            End::Stock { .. } => {}
        }
    }
}

/// The hidden recipe's abrasive among others: one coarser, one finer, and those of other materials.
fn shelved(hidden: &Recipe, material: &str, draw: &mut Draw) -> Shelf {
    let mut shelf = shelf();
    shelf.abrasives.retain(|other| other.material != material);
    let own = Shelved {
        material: material.to_owned(),
        consumables: hidden.consumables.clone(),
        price: Some(draw.factor(2000.0, 20_000.0)),
    };
    let like = |grain: f64, removal: f64, finish: f64, grade: &str| {
        let mut other = own.clone();
        let c = &mut other.consumables;
        c.grade = grade.to_owned();
        c.grain *= grain;
        c.removal = c.removal.map(|value| value * removal);
        c.roughness = c.roughness.map(|value| value * finish);
        c.damage = c.damage.map(|value| value * finish);
        c.settle_depth *= finish;
        c.measured_at = None;
        other
    };
    let coarse = like(2.0, 2.0, 2.0, "coarser");
    let fine = like(0.6, 0.6, 0.7, "finer");
    for one in [coarse, fine, own] {
        let at = draw.below(shelf.abrasives.len() + 1);
        shelf.abrasives.insert(at, one);
    }
    shelf
}

/// Whether a recipe passes, with no warning either.
pub fn passes(case: &Case) -> bool {
    if !static_check::check(case, &predict(case, 1.0)).is_empty() {
        return false;
    }
    let report = check(
        case,
        &Request::plain(TrialPlan {
            draws: HIDDEN_DRAWS,
            threads: 1,
            seed: 1,
        }),
    )
    .expect("a controller in process")
    .report;
    report.verdict == Verdict::Pass
}
