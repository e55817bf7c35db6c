//! Measured parts into loads and pockets, and what that does: each load is run on the simulated machine with those very thicknesses.

mod balance;
mod faces;
pub mod list;
mod loads;
mod runs;

pub use balance::Layout;
pub use faces::Faces;
pub use list::Part;
pub use runs::Ran;

use crate::deviation;
use crate::shown::Lengths;
use firmware_core::sequence::State;
use runs::run;
use twinplate_sim::files::{FileError, Set};
use twinplate_sim::math::{max, min};
use twinplate_sim::model::{Batch, Shown};

/// How the parts come into the machine.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Way {
    /// Loads as the list has them, one carrier after the other filled.
    AsListed,
    /// Loads by thickness, in each one carrier after the other from the thickest on.
    ByThickness,
    /// Loads by thickness, balanced around the plate.
    Balanced,
}

/// All ways.
pub const WAYS: [Way; 3] = [Way::AsListed, Way::ByThickness, Way::Balanced];

impl Way {
    /// The words for it.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::AsListed => "as listed",
            Self::ByThickness => "by thickness",
            Self::Balanced => "balanced",
        }
    }
}

/// A load of one way.
#[derive(Clone, Debug, PartialEq)]
pub struct Load {
    /// The part of each pocket, by its number in the list; none where a dummy lies. In the order of [`Layout::laid`].
    pub pieces: Vec<Option<usize>>,
    /// Thickness of the dummies, m: the mean of the load's parts.
    pub dummy: f64,
    /// Thinnest and thickest part of the load, m.
    pub ends: [f64; 2],
    /// Lean of the plate as all pieces touch, m over the whole plate.
    pub lean: f64,
    /// What its run came to, or why there was none.
    pub ran: Result<Ran, String>,
}

impl Load {
    /// Parts in it.
    #[must_use]
    pub fn parts(&self) -> usize {
        self.pieces.iter().flatten().count()
    }

    /// Dummies in it.
    #[must_use]
    pub fn dummies(&self) -> usize {
        self.pieces.len() - self.parts()
    }
}

/// What a way comes to: of all its loads the worst, and all their time.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Total {
    /// Largest first contact on one part, N.
    pub first_contact: f64,
    /// Largest load on one part, first contacts apart, N.
    pub largest: f64,
    /// Largest lean of the plate under load, m over the whole plate.
    pub lean: f64,
    /// Widest range of the incoming thicknesses of a load, m.
    pub range_in: f64,
    /// Widest range of the thicknesses of a load at its end, m.
    pub range_out: f64,
    /// Deepest damage left in a face, m.
    pub damage: f64,
    /// Time of all cycles, s.
    pub time: f64,
    /// Loads that did not hold what the batch asks.
    pub failed: usize,
}

/// Everything to say about a list of parts.
#[derive(Clone, Debug, PartialEq)]
pub struct LayInReport {
    /// The list.
    pub file: String,
    /// Unit of its thicknesses.
    pub unit: Lengths,
    /// Units of all else.
    pub shown: Shown,
    /// Parts in the order of the list.
    pub parts: Vec<Part>,
    /// Parts that are too thin already, by their number in the list.
    pub aside: Vec<usize>,
    /// Mean and standard deviation of the others, m.
    pub lot: [f64; 2],
    /// Loads of each way, in the order of [`WAYS`].
    pub ways: [Vec<Load>; 3],
    /// The short load with its pockets left empty where dummies would lie, where there is one: the run, or why there is none.
    pub unfilled: Option<Result<Ran, String>>,
    /// What the loads leave of the two faces, and whether turning parts over would help.
    pub faces: Option<Faces>,
    /// Load on one part at which it may crack, N.
    pub strength: f64,
    /// Notes.
    pub notes: Vec<String>,
}

impl LayInReport {
    /// The loads as they are recommended.
    #[must_use]
    pub fn loads(&self) -> &[Load] {
        &self.ways[WAYS.len() - 1]
    }

    /// What a way comes to.
    #[must_use]
    pub fn total(&self, way: Way) -> Total {
        let mut total = Total::default();
        for load in &self.ways[way as usize] {
            total.range_in = max(total.range_in, load.ends[1] - load.ends[0]);
            let Ok(ran) = &load.ran else {
                total.failed += 1;
                continue;
            };
            total.first_contact = max(total.first_contact, ran.first_contact);
            total.largest = max(total.largest, ran.largest);
            total.lean = max(total.lean, ran.lean);
            total.range_out = max(total.range_out, ran.thickness.max - ran.thickness.min);
            total.damage = max(total.damage, ran.damage);
            total.time += ran.time.unwrap_or(0.0);
            total.failed += usize::from(!ran.holds);
        }
        total
    }

    /// Whether every part of the list is in a load, and every load holds what the batch asks.
    #[must_use]
    pub fn holds(&self) -> bool {
        self.aside.is_empty() && self.total(Way::Balanced).failed == 0
    }
}

/// Sorts a list of parts into loads of the set's batch, lays each in and runs it, in each way.
///
/// # Errors
/// All errors of the list.
pub fn lay_in(
    file: &str,
    bytes: &[u8],
    set: &Set,
    seed: u64,
) -> Result<LayInReport, Vec<FileError>> {
    let batch = &set.batch.value;
    let list = list::read(file, bytes, batch)?;
    let thickness: Vec<f64> = list.parts.iter().map(|part| part.thickness).collect();
    let small = batch.target - batch.tolerance;
    let (kept, aside): (Vec<usize>, Vec<usize>) =
        (0..thickness.len()).partition(|i| thickness[*i] >= small);
    let room = batch.parts as usize;
    let shop = Shop {
        set,
        seed,
        parts: &list.parts,
        thickness: &thickness,
    };
    let ways = WAYS.map(|way| {
        let loads = match way {
            Way::AsListed => loads::as_listed(&kept, room),
            Way::ByThickness | Way::Balanced => loads::by_thickness(&kept, &thickness, room),
        };
        loads.iter().map(|load| shop.load(way, load)).collect()
    });
    let chosen: Vec<f64> = kept.iter().map(|i| thickness[*i]).collect();
    let mean = chosen.iter().sum::<f64>() / max(chosen.len() as f64, 1.0);
    let mut report = LayInReport {
        file: file.to_owned(),
        unit: list.unit,
        shown: set.recipe.value.shown,
        aside,
        lot: [mean, deviation(&chosen)],
        ways,
        unfilled: None,
        faces: None,
        strength: batch.strength,
        notes: Vec::new(),
        parts: list.parts.clone(),
    };
    report.unfilled = report
        .loads()
        .iter()
        .find(|load| load.parts() < room)
        .map(|load| shop.unfilled(load));
    report.faces = Faces::of(&report, set);
    report.notes = notes(&report, set);
    Ok(report)
}

/// What all loads have in common.
struct Shop<'a> {
    set: &'a Set,
    seed: u64,
    parts: &'a [Part],
    thickness: &'a [f64],
}

impl Shop<'_> {
    /// The batch of a load: so many parts and dummies, as tapered as its parts.
    fn batch(&self, load: &[usize], dummies: u32) -> Batch {
        let tapers = load.iter().filter_map(|i| self.parts[*i].taper);
        let file = &self.set.batch.value;
        let taper = tapers.fold(None, |most: Option<f64>, taper| {
            Some(most.map_or(taper, |most| max(most, taper)))
        });
        Batch {
            parts: u32::try_from(load.len()).unwrap_or(u32::MAX),
            dummies,
            taper: taper.unwrap_or(file.taper),
            ..file.clone()
        }
    }

    fn load(&self, way: Way, load: &[usize]) -> Load {
        let pieces = self.set.batch.value.pieces();
        let count = u32::try_from(load.len()).unwrap_or(u32::MAX);
        let batch = self.batch(load, pieces.saturating_sub(count));
        let own: Vec<f64> = load.iter().map(|i| self.thickness[*i]).collect();
        let dummy = own.iter().sum::<f64>() / max(own.len() as f64, 1.0);
        let layout = Layout::of(&self.set.machine.value.geometry, &batch);
        let order = match way {
            Way::AsListed | Way::ByThickness => layout.in_turn(own.len()),
            Way::Balanced => layout.balanced(&own, dummy),
        };
        let chosen = order.iter().map(|part| load.get(*part).copied());
        let pieces: Vec<Option<usize>> = chosen
            .chain(std::iter::repeat(None))
            .take(layout.laid.len())
            .collect();
        let heights: Vec<f64> = pieces
            .iter()
            .map(|part| part.map_or(dummy, |part| self.thickness[part]))
            .collect();
        Load {
            dummy,
            ends: ends(&own),
            lean: layout.lean(&heights),
            ran: run(self.set, batch, heights, self.seed),
            pieces,
        }
    }

    /// A short load without dummies, balanced over the pockets that the machine then fills.
    fn unfilled(&self, load: &Load) -> Result<Ran, String> {
        let parts: Vec<usize> = load.pieces.iter().flatten().copied().collect();
        let batch = self.batch(&parts, 0);
        let own: Vec<f64> = parts.iter().map(|i| self.thickness[*i]).collect();
        let layout = Layout::of(&self.set.machine.value.geometry, &batch);
        let order = layout.balanced(&own, load.dummy);
        let heights = order.iter().map(|part| own[*part]).collect();
        run(self.set, batch, heights, self.seed)
    }
}

/// Least and largest.
fn ends(values: &[f64]) -> [f64; 2] {
    let all = [f64::INFINITY, f64::NEG_INFINITY];
    values
        .iter()
        .fold(all, |[low, high], v| [min(low, *v), max(high, *v)])
}

/// What else is to be known.
fn notes(report: &LayInReport, set: &Set) -> Vec<String> {
    let batch = &set.batch.value;
    let unit = report.unit;
    let mut notes = Vec::new();
    let [mean, _] = report.lot;
    let off = mean - batch.thickness;
    if off > 3.0 * batch.spread || off < -3.0 * batch.spread {
        notes.push(format!(
            "the mean of the list is {:.4} {}, that of the batch file {:.4}: more than three of its standard deviations apart",
            unit.typed(mean),
            unit.symbol,
            unit.typed(batch.thickness)
        ));
    }
    match report
        .parts
        .iter()
        .filter_map(|part| part.taper.map(|taper| (taper, part)))
        .max_by(|a, b| a.0.total_cmp(&b.0))
    {
        None => notes.push(
            "parts were read once: their taper is that of the batch file, drawn for each".to_owned(),
        ),
        Some((taper, part)) => notes.push(format!(
            "largest taper {:.2} {} on part {}; each load is run with tapers up to its own largest, but in directions that are drawn",
            unit.finely(taper),
            unit.fine,
            part.id
        )),
    }
    let unfinished = report.loads().iter().any(|load| {
        load.ran
            .as_ref()
            .is_ok_and(|ran| ran.state != State::Complete)
    });
    if unfinished {
        notes.push("a load was not finished: see how it ended".to_owned());
    }
    notes
}
