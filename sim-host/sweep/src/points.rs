//! A sweep: the recipe checked at every point of one or two ranges.

use crate::axis::Axis;
use serde::Serialize;
use toml_edit::DocumentMut;
use twinplate_check::catalogue::find;
use twinplate_check::check::{Request, check};
use twinplate_check::trials::{NOMINAL_RUNS, TrialPlan};
use twinplate_check::verdict::{CheckReport, Verdict, Waiver};
use twinplate_check::{Case, Severity, locate};
use twinplate_sim::bench::PortError;
use twinplate_sim::files::{FileError, Set};
use twinplate_sim::math::max;
use twinplate_sim::model::Shown;
use twinplate_sim::requirements::Requirement;

/// Most points of a sweep.
pub const MAX_POINTS: usize = 225;
/// Draws behind each point where nothing is said.
pub const DRAWS: usize = 8;

/// How the points are checked.
pub struct Plan<'a> {
    /// Draws behind each point, threads and seed.
    pub each: TrialPlan,
    /// So many draws at the edge of the feasible region, where it is to be looked at more closely.
    pub edge: Option<usize>,
    /// Codes that the user waives.
    pub waivers: &'a [Waiver],
    /// Hears how many checks are done, and how many there are so far.
    pub progress: &'a dyn Fn(usize, usize),
}

/// What makes a point infeasible.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize)]
pub struct Binding {
    /// Stable name of the finding.
    pub code: String,
    /// What it is, in a few words.
    pub what: String,
}

/// One point. Numbers are the worst of its runs; without a run, those of the closed form where it has one.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Point {
    /// Its place along each sweep, from 0.
    pub at: Vec<usize>,
    /// Its values, as they stand in the recipe.
    pub values: Vec<String>,
    /// The verdict of its check.
    pub verdict: Verdict,
    /// Runs behind it; 0 where a static error left none to make.
    pub runs: usize,
    /// Runs that broke a requirement.
    pub failed: usize,
    /// Cycle time of the nominal machine, s.
    pub time_s: f64,
    /// Largest size error of a part, µm.
    pub size_um: Option<f64>,
    /// Roughness Ra, µm.
    pub finish_um: Option<f64>,
    /// Worst flatness of a face, µm.
    pub flatness_um: Option<f64>,
    /// Least of a load that is left under its bound, percent of the bound.
    pub load_margin_pct: Option<f64>,
    /// Runs in which something came to harm.
    pub harm: usize,
    /// What makes it infeasible; nothing where it is feasible.
    pub binding: Option<Binding>,
    /// What comes nearest to its bound, in a few words, where runs were made.
    pub nearest: Option<String>,
}

impl Point {
    /// No error was found: the recipe passes, or passes with warnings.
    #[must_use]
    pub fn feasible(&self) -> bool {
        self.binding.is_none()
    }

    fn of(at: &[usize], values: Vec<String>, report: &CheckReport) -> Self {
        let cases = &report.envelope.cases;
        let case = |which: Requirement| cases.iter().find(|case| case.requirement == which);
        let worst = |which| case(which).map(|case| case.value);
        let foretold = &report.prediction;
        let [target, _] = report.subject.size_um;
        let thickness = &foretold.thickness_um;
        let ran = report.envelope.runs > 0;
        let unless_run = |value: f64| (!ran).then_some(value);
        let load = report
            .results
            .as_ref()
            .and_then(|results| results.tightest_load());
        let harmful = [
            Requirement::PartStrength,
            Requirement::CarrierTeeth,
            Requirement::Dry,
            Requirement::Harm,
        ];
        Self {
            at: at.to_vec(),
            values,
            verdict: report.verdict,
            runs: report.envelope.runs,
            failed: report.envelope.failed,
            time_s: foretold.cycle_s,
            size_um: worst(Requirement::Size).or(unless_run(max(
                thickness.max - target,
                target - thickness.min,
            ))),
            finish_um: worst(Requirement::Finish).or(unless_run(foretold.roughness_um)),
            flatness_um: worst(Requirement::Flatness),
            load_margin_pct: load.map(|case| 100.0 * (1.0 - case.value / case.limit)),
            harm: harmful
                .into_iter()
                .filter_map(case)
                .fold(0, |most, case| most.max(case.failed)),
            binding: binding(report),
            nearest: report
                .envelope
                .worst
                .as_ref()
                .map(|case| case.what.to_owned()),
        }
    }
}

/// The first error of a static rule; of the trials, the requirement that is passed by most.
fn binding(report: &CheckReport) -> Option<Binding> {
    let mut errors = report
        .counting()
        .filter(|finding| finding.severity == Severity::Error);
    let first = errors.next()?;
    let worst = report
        .envelope
        .worst
        .as_ref()
        .filter(|case| case.failed > 0);
    let of_worst = worst.and_then(|case| {
        let named = |finding: &&_| told_of(finding, case.value, case.limit);
        let code = std::iter::once(first).chain(errors).find(named)?.code;
        Some(Binding {
            code: code.to_owned(),
            what: case.what.to_owned(),
        })
    });
    Some(of_worst.unwrap_or_else(|| Binding {
        code: first.code.to_owned(),
        what: find(first.code).map_or_else(
            |_| first.message.clone(),
            |code| code.entry().title.to_owned(),
        ),
    }))
}

/// Whether a finding is told with these numbers.
fn told_of(finding: &twinplate_check::verdict::ReportedFinding, measured: f64, limit: f64) -> bool {
    finding.measured == Some(measured) && finding.limit == Some(limit)
}

/// A sweep.
#[derive(Clone, Debug, PartialEq)]
pub struct Sweep {
    /// What was swept, one or two.
    pub axes: Vec<Axis>,
    /// Points, the first sweep's values running fastest.
    pub points: Vec<Point>,
    /// Recipe, machine and batch by id.
    pub names: [String; 3],
    /// Title of the recipe.
    pub title: String,
    /// Draws behind each point.
    pub draws: usize,
    /// Draws at the edge of the feasible region, where it was looked at more closely.
    pub edge: Option<usize>,
    /// Seed of the trials.
    pub seed: u64,
    /// Units that texts and pictures tell it in.
    pub shown: Shown,
}

impl Sweep {
    /// The point at a place.
    #[must_use]
    pub fn point(&self, at: &[usize]) -> Option<&Point> {
        self.points.get(index(&self.axes, at)?)
    }

    /// Feasible points.
    pub fn feasible(&self) -> impl Iterator<Item = &Point> {
        self.points.iter().filter(|point| point.feasible())
    }

    /// The feasible point with the shortest cycle; of equals the first.
    #[must_use]
    pub fn fastest(&self) -> Option<&Point> {
        self.feasible().min_by(|a, b| a.time_s.total_cmp(&b.time_s))
    }

    /// What binds, each once, in the order of the points, and at how many.
    #[must_use]
    pub fn bindings(&self) -> Vec<(&Binding, usize)> {
        let mut found: Vec<(&Binding, usize)> = Vec::new();
        for binding in self
            .points
            .iter()
            .filter_map(|point| point.binding.as_ref())
        {
            match found.iter_mut().find(|(other, _)| *other == binding) {
                Some((_, count)) => *count += 1,
                None => found.push((binding, 1)),
            }
        }
        found
    }

    /// Places of the points beside one.
    #[must_use]
    pub fn beside(&self, at: &[usize]) -> Vec<Vec<usize>> {
        beside(&self.axes, at)
    }
}

fn index(axes: &[Axis], at: &[usize]) -> Option<usize> {
    let mut index = 0;
    for (axis, place) in axes.iter().zip(at).rev() {
        if *place >= axis.values.len() {
            return None;
        }
        index = index * axis.values.len() + place;
    }
    Some(index)
}

fn beside(axes: &[Axis], at: &[usize]) -> Vec<Vec<usize>> {
    let mut places = Vec::new();
    for (axis, values) in axes.iter().enumerate() {
        for next in [at[axis].checked_sub(1), Some(at[axis] + 1)] {
            if let Some(next) = next.filter(|next| *next < values.values.len()) {
                let mut place = at.to_vec();
                place[axis] = next;
                places.push(place);
            }
        }
    }
    places
}

/// All places, the first sweep's running fastest.
fn places(axes: &[Axis]) -> Vec<Vec<usize>> {
    let count = axes.iter().map(|axis| axis.values.len()).product();
    (0..count)
        .map(|mut index: usize| {
            let one = |axis: &Axis| {
                let place = index % axis.values.len();
                index /= axis.values.len();
                place
            };
            axes.iter().map(one).collect()
        })
        .collect()
}

/// Why there is no sweep.
#[derive(Clone, Debug, PartialEq)]
pub enum NoSweep {
    /// Words or values that are not right.
    Files(Vec<FileError>),
    /// The controller could not be reached.
    Port(PortError),
}

/// The recipe's text with the values of a place.
///
/// # Errors
/// Values that the recipe's reader does not take.
pub fn with_values(set: &Set, axes: &[Axis], at: &[usize]) -> Result<Set, Vec<FileError>> {
    let mut document: DocumentMut = set.recipe.text.parse().map_err(|error| {
        let file = set.recipe.path.display().to_string();
        vec![FileError::whole("syntax", &file, format!("{error}"), "")]
    })?;
    for (axis, place) in axes.iter().zip(at) {
        axis.put(&mut document, *place);
    }
    set.with_recipe(&document.to_string())
        .map_err(|mut errors| {
            let told: Vec<String> = axes
                .iter()
                .zip(at)
                .map(|(axis, place)| format!("{}={}", axis.key, axis.values[*place]))
                .collect();
            for error in &mut errors {
                error.file = format!("{} with {}", error.file, told.join(", "));
            }
            errors
        })
}

/// Checks every point.
///
/// # Errors
/// Too many points; values that the recipe's reader does not take; a controller that is not there.
pub fn sweep(set: &Set, axes: Vec<Axis>, plan: &Plan) -> Result<Sweep, NoSweep> {
    let places = places(&axes);
    if places.len() > MAX_POINTS {
        let message = format!("{} points are more than {MAX_POINTS}", places.len());
        let expected = format!("at most {MAX_POINTS} points, such as speed=0.5..1.5:5");
        return Err(NoSweep::Files(vec![FileError::whole(
            "too-many-items",
            "--sweep",
            message,
            &expected,
        )]));
    }
    let sets: Result<Vec<Set>, _> = places
        .iter()
        .map(|at| with_values(set, &axes, at))
        .collect();
    let sets = sets.map_err(NoSweep::Files)?;
    let values = |at: &[usize]| -> Vec<String> {
        let both = axes.iter().zip(at);
        both.map(|(axis, place)| axis.values[*place].clone())
            .collect()
    };
    let mut done = 0;
    let mut judge = |index: usize, draws: usize, all: usize| {
        let request = Request {
            trials: TrialPlan { draws, ..plan.each },
            locate: &|place| locate(&sets[index], place),
            waivers: plan.waivers,
            replay: &|run| format!("run {run}"),
            progress: &|_| (),
            judged: &|_| (),
        };
        let report = check(&Case::of(&sets[index]), &request)
            .map_err(NoSweep::Port)?
            .report;
        done += 1;
        (plan.progress)(done, all);
        Ok(Point::of(&places[index], values(&places[index]), &report))
    };
    let all = places.len();
    let mut points = Vec::with_capacity(all);
    for index in 0..all {
        points.push(judge(index, plan.each.draws, all)?);
    }
    if let Some(draws) = plan.edge.filter(|draws| *draws > plan.each.draws) {
        // A point that fails when it is looked at more closely makes an edge of its neighbours.
        let mut more = 0;
        while let Some(index) = (0..all).find(|index| on_edge(&axes, &points, *index, draws)) {
            more += 1;
            points[index] = judge(index, draws, all + more)?;
        }
    }
    let case = Case::of(set);
    Ok(Sweep {
        names: [&case.recipe.id, &case.machine.id, &case.batch.id].map(Clone::clone),
        title: case.recipe.title.clone(),
        draws: plan.each.draws,
        edge: plan.edge,
        seed: plan.each.seed,
        shown: case.recipe.shown,
        axes,
        points,
    })
}

/// Whether a point is feasible, has a neighbour that is not, and was not yet looked at with so many draws.
fn on_edge(axes: &[Axis], points: &[Point], index_of: usize, draws: usize) -> bool {
    let point = &points[index_of];
    let feasible = |at: Vec<usize>| index(axes, &at).is_some_and(|i| points[i].feasible());
    point.feasible()
        && point.runs < draws + NOMINAL_RUNS
        && beside(axes, &point.at).into_iter().any(|at| !feasible(at))
}
