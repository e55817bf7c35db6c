//! Time and money of a recipe: what a batch takes, what that costs, and when an order is done.

pub mod day;
pub mod order;
pub mod prices;
pub mod record;
mod work;

pub use work::Taken;

use order::{Odds, Order};
use prices::{ITEMS, Item, Prices};
use record::Record;
use twinplate_sim::bench::Job;
use twinplate_sim::math::{ceil, max};
use twinplate_sim::model::Shown;
use twinplate_sim::plant::abrasion::Mix;

/// What is asked.
#[derive(Clone, Debug, Default)]
pub struct Asked {
    /// Time to load the machine, s.
    pub loading: f64,
    /// Time to unload and clean it, s.
    pub cleaning: f64,
    /// Prices, where there are any.
    pub prices: Option<Prices>,
    /// The record of batches, where there is one.
    pub record: Option<Record>,
    /// An order, where there is one.
    pub order: Option<Order>,
    /// Seed of the run and of the draws.
    pub seed: u64,
}

/// What of something a batch takes, and what it costs.
#[derive(Clone, Debug, PartialEq)]
pub struct Line {
    /// What.
    pub item: Item,
    /// How much, in SI units, or a count.
    pub amount: f64,
    /// What it costs, where the list has a price.
    pub cost: Option<f64>,
}

/// An order, and when it is done.
#[derive(Clone, Debug, PartialEq)]
pub struct Ordered {
    /// What is ordered.
    pub order: Order,
    /// Batches where each is as its run or as the record has it in the mean.
    pub batches: f64,
    /// Working time for them on the machines at hand, s: each makes as many as the others, or one less.
    pub time: f64,
    /// The chance that it is done in time, where there is a record.
    pub odds: Option<Odds>,
}

/// Everything to say about time and money.
#[derive(Clone, Debug, PartialEq)]
pub struct CostReport {
    /// Recipe, machine and batch by id.
    pub names: [String; 3],
    /// Title of the recipe.
    pub title: String,
    /// Parts a batch.
    pub parts: u32,
    /// What the run took.
    pub taken: Taken,
    /// It finished its batch.
    pub complete: bool,
    /// How it ended, in words.
    pub ending: String,
    /// Times to load, and to unload and clean, s.
    pub hands: [f64; 2],
    /// Grains in the slurry that was used, kg, and its vehicle, m³.
    pub mix: [f64; 2],
    /// What a batch takes, item by item.
    pub lines: Vec<Line>,
    /// The list of prices.
    pub prices: Option<Prices>,
    /// Means of the record: time from one loading to the next, s, and good parts; its batches.
    pub recorded: Option<([f64; 2], usize)>,
    /// Standard deviation of its times, s.
    pub deviation: Option<f64>,
    /// The order.
    pub ordered: Option<Ordered>,
    /// Notes.
    pub notes: Vec<String>,
    /// Units of what no price names one for.
    pub shown: Shown,
}

impl CostReport {
    /// Time from one loading to the next by the run, s.
    #[must_use]
    pub fn turn(&self) -> f64 {
        self.taken.time + self.hands[0] + self.hands[1]
    }

    /// Time from one loading to the next, s, and good parts of a batch: of the record, or else of the run.
    #[must_use]
    pub fn pace(&self) -> [f64; 2] {
        self.recorded
            .map_or_else(|| [self.turn(), f64::from(self.parts)], |(means, _)| means)
    }

    /// Good parts an hour.
    #[must_use]
    pub fn rate(&self) -> f64 {
        let [time, good] = self.pace();
        3600.0 * good / time
    }

    /// What a batch costs, of what has a price; none where nothing has.
    #[must_use]
    pub fn batch_cost(&self) -> Option<f64> {
        let costs = self.lines.iter().filter_map(|line| line.cost);
        costs.fold(None, |sum, cost| Some(sum.unwrap_or(0.0) + cost))
    }

    /// What a good part costs.
    #[must_use]
    pub fn part_cost(&self) -> Option<f64> {
        let [_, good] = self.pace();
        self.batch_cost().map(|cost| cost / good)
    }

    /// What has no price.
    pub fn unpriced(&self) -> impl Iterator<Item = Item> + '_ {
        let without = self.lines.iter().filter(|line| line.cost.is_none());
        without.map(|line| line.item)
    }
}

/// Works it out: one run of the job on the machine as its file says, and the order by the record.
///
/// # Errors
/// Why there is no run.
pub fn cost(job: &Job, asked: &Asked) -> Result<CostReport, String> {
    let (taken, complete, ending) = work::of_run(job, asked.seed)?;
    let consumables = &job.recipe.consumables;
    let mix = Mix::of(consumables);
    let mut report = CostReport {
        names: [&job.recipe.id, &job.machine.id, &job.batch.id].map(Clone::clone),
        title: job.recipe.title.clone(),
        parts: job.batch.parts,
        mix: [taken.slurry * mix.grains, taken.slurry * mix.vehicle],
        taken,
        complete,
        ending,
        hands: [asked.loading, asked.cleaning],
        lines: Vec::new(),
        prices: asked.prices.clone(),
        recorded: asked
            .record
            .as_ref()
            .map(|record| (record.means(), record.batches.len())),
        deviation: asked.record.as_ref().map(Record::deviation),
        ordered: None,
        notes: Vec::new(),
        shown: job.recipe.shown,
    };
    report.lines = ITEMS.map(|item| line(item, &report)).to_vec();
    report.ordered = asked.order.map(|order| ordered(&order, &report, asked));
    report.notes = notes(&report, asked);
    Ok(report)
}

/// What a batch takes of an item.
fn line(item: Item, report: &CostReport) -> Line {
    let [time, _] = report.pace();
    let [grains, vehicle] = report.mix;
    let amount = match item {
        Item::Abrasive => grains,
        Item::Vehicle => vehicle,
        Item::Energy => report.taken.energy.iter().sum(),
        Item::Labour | Item::Machine => time,
        Item::Blank => f64::from(report.parts),
        Item::Batch => 1.0,
    };
    let price = report.prices.as_ref().and_then(|list| list.of(item));
    Line {
        item,
        amount,
        cost: price.map(|price| price.price * amount / price.size),
    }
}

fn ordered(order: &Order, report: &CostReport, asked: &Asked) -> Ordered {
    let [time, good] = report.pace();
    let batches = ceil(f64::from(order.parts) / good);
    Ordered {
        order: *order,
        batches,
        time: ceil(batches / f64::from(order.machines.max(1))) * time,
        odds: asked
            .record
            .as_ref()
            .map(|record| Odds::of(order, record, asked.seed)),
    }
}

/// What else is to be known.
fn notes(report: &CostReport, asked: &Asked) -> Vec<String> {
    let mut notes = Vec::new();
    if let Some(record) = &asked.record {
        if let Some(follows) = record.follows() {
            notes.push(format!(
                "batch times of the record follow each other (correlation of each with the next {follows:.2}): the odds take them for \
                 independent, and are too sure; look for what drifts"
            ));
        }
        let [mean, good] = record.means();
        let off = mean - report.turn();
        if max(off, -off) > 2.0 * record.deviation() {
            notes.push(format!(
                "a batch of the record takes {:.1} min in the mean, the run with loading and cleaning {:.1} min: they are not of one job, \
                 or time is lost that is not in --loading and --cleaning",
                mean / 60.0,
                report.turn() / 60.0
            ));
        }
        if good > f64::from(report.parts) {
            notes.push(format!(
                "the record has {good:.1} good parts a batch in the mean, and the batch file loads {}",
                report.parts
            ));
        }
    } else if report.ordered.is_some() {
        notes.push(
            "without a record of batches nobody knows their spread: no chance is given".to_owned(),
        );
    }
    notes
}
