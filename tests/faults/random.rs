//! The fault matrix on jobs that nobody made for it ([`drawn`]): a cell may differ from what is declared only where the report names a
//! cause in the machine's own values and a cure, and with the cure that cell is as declared.
//!
//! The normal run does a few cells of [`FEW`] jobs; `cargo test --release --test faults -- --ignored random` does all jobs, and with
//! `UPDATE=1` rewrites the page and its table. `JOBS=7,30` does these alone and prints what differs.

mod drawn;

use crate::pages::{check, check_file, csv, table};
use crate::threads;
use drawn::{Random, job};
use std::collections::BTreeMap;
use twinplate::report::faults as draw;
use twinplate_check::Case;
use twinplate_check::check::static_errors;
use twinplate_falsify::faults::cures::Setting;
use twinplate_falsify::faults::{Bed, Cell, MatrixError, whole};
use twinplate_sim::bench::Job;
use twinplate_sim::model::Shown;

const PAGE: &str = "docs/random-jobs.md";
const TABLE: &str = "docs/fault-matrix/random-jobs.csv";
/// Jobs of the page.
const JOBS: u64 = 200;
/// One cell in so many is tried of each; other ones from job to job, so that every cell of the ladder comes up in about seven jobs.
const ONE_IN: usize = 29;
/// Jobs of the normal run: one with nothing that differs, one whose air is cured, one whose initial load is.
const FEW: [u64; 3] = [5, 24, 30];
/// One cell of theirs in so many.
const FEW_IN: usize = 61;
/// Seed of the matrices' noise.
const SEED: u64 = 1;

/// Cells of a job that differ in one way.
struct Differing {
    /// The fault, what differs in the first of the cells, and what is said to help.
    fault: String,
    what: String,
    cure: String,
    cells: usize,
    /// Cells that are as declared with the cure.
    cured: usize,
}

/// What came of a job.
struct Tried {
    number: u64,
    random: Random,
    cells: usize,
    differing: Vec<Differing>,
    text: String,
}

fn bed(job: &Job) -> Result<Bed, MatrixError> {
    Bed::new(job, SEED, &whole)
}

/// The job with these values, if it is still without an error.
fn with(job: &Job, settings: &[Setting]) -> Option<Job> {
    let mut machine = job.machine.clone();
    settings
        .iter()
        .for_each(|setting| setting.give(&mut machine));
    let case = Case {
        machine: &machine,
        batch: &job.batch,
        recipe: &job.recipe,
    };
    let sound = static_errors(&case).is_empty();
    let job = Job::new(machine.clone(), job.batch.clone(), job.recipe.clone()).ok();
    job.filter(|_| sound)
}

/// Whether a cell is as declared once its cure is taken; `beds` has those that were made already.
pub fn cured(
    job: &Job,
    number: usize,
    cell: &Cell,
    beds: &mut Vec<(Vec<Setting>, Option<Bed>)>,
) -> bool {
    let settings: Vec<Setting> = cell.cures.iter().filter_map(|cure| cure.setting).collect();
    if settings.is_empty() {
        return false;
    }
    let known = beds.iter().position(|(of, _)| *of == settings);
    let place = known.unwrap_or_else(|| {
        let made = with(job, &settings).and_then(|job| bed(&job).ok());
        beds.push((settings, made));
        beds.len() - 1
    });
    let Some(bed) = &beds[place].1 else {
        return false;
    };
    bed.cells(&[number], 1, &|_| ())
        .expect("in process")
        .iter()
        .all(Cell::passes)
}

fn tried(number: u64, one_in: usize) -> Tried {
    let random = job(number);
    let place = usize::try_from(number).expect("a small number");
    let nominal = bed(&random.job).unwrap_or_else(|e| panic!("job {number}: {e}"));
    let numbers: Vec<usize> = (place * 7 % one_in..nominal.count())
        .step_by(one_in)
        .collect();
    let cells = nominal
        .cells(&numbers, threads(), &|_| ())
        .expect("in process");
    let mut ways: BTreeMap<(String, String), Differing> = BTreeMap::new();
    let mut beds = Vec::new();
    let mut text = String::new();
    for (number, cell) in numbers.iter().zip(&cells) {
        if cell.passes() {
            continue;
        }
        let told = draw::failure(cell, &Shown::default());
        let cures: Vec<&str> = cell.cures.iter().map(|cure| cure.words.as_str()).collect();
        let cure = cures.join("; ");
        let fault = draw::pair(cell.fault);
        let way = ways
            .entry((fault.clone(), cure.clone()))
            .or_insert_with(|| Differing {
                what: draw::wrong(cell, &Shown::default())
                    .lines()
                    .map(str::trim)
                    .collect::<Vec<_>>()
                    .join(" "),
                fault,
                cure,
                cells: 0,
                cured: 0,
            });
        way.cells += 1;
        let cured = cured(&random.job, *number, cell, &mut beds);
        way.cured += usize::from(cured);
        text.push_str(&told);
        text.push_str(if cured { "  cured\n" } else { "  NOT CURED\n" });
    }
    Tried {
        number,
        random,
        cells: cells.len(),
        differing: ways.into_values().collect(),
        text,
    }
}

/// What no cure helps, for people.
fn left(all: &[Tried]) -> String {
    all.iter()
        .filter(|one| one.differing.iter().any(|way| way.cured < way.cells))
        .map(|one| {
            format!(
                "job {} ({}):\n{}",
                one.number, one.random.job.recipe.id, one.text
            )
        })
        .collect()
}

#[test]
fn what_differs_on_random_jobs_has_its_cause_and_a_cure_that_helps() {
    let all: Vec<Tried> = FEW.iter().map(|number| tried(*number, FEW_IN)).collect();
    assert!(left(&all).is_empty(), "{}", left(&all));
    let differing = |one: &Tried| !one.differing.is_empty();
    assert_eq!(
        all.iter().map(differing).collect::<Vec<_>>(),
        [false, true, true]
    );
}

#[test]
#[ignore = "minutes: all jobs of the page"]
fn random_jobs_have_the_page_that_the_run_gives() {
    if let Ok(numbers) = std::env::var("JOBS") {
        for number in numbers.split(',') {
            let one = tried(number.trim().parse().expect("a job's number"), ONE_IN);
            println!(
                "job {} ({}), {} draws: {:.2?}\n{}",
                one.number,
                one.random.job.recipe.id,
                one.random.tries,
                one.random.changed,
                one.text
            );
        }
        return;
    }
    let all: Vec<Tried> = (0..JOBS).map(|number| tried(number, ONE_IN)).collect();
    print!("{}", left(&all));
    let rows = all.iter().flat_map(|one| {
        one.differing.iter().map(|way| {
            vec![
                one.number.to_string(),
                one.random.job.recipe.id.clone(),
                way.fault.clone(),
                way.cells.to_string(),
                way.what.clone(),
                way.cure.clone(),
                way.cured.to_string(),
            ]
        })
    });
    let heads = [
        "job",
        "like",
        "fault",
        "cells",
        "what differs in the first",
        "what is said to help",
        "cells as declared with it",
    ];
    check_file(TABLE, &csv(&heads, rows.collect::<Vec<_>>()));
    check(PAGE, "random", &summary(&all));
    assert!(left(&all).is_empty(), "{}", left(&all));
}

fn summary(all: &[Tried]) -> String {
    let sum = |of: &dyn Fn(&Tried) -> usize| all.iter().map(of).sum::<usize>().to_string();
    let rows = [
        ("jobs", all.len().to_string()),
        (
            "draws until they were without an error",
            sum(&|one| one.random.tries as usize),
        ),
        (
            "numbers other than in the demonstration job, a job",
            (all.iter()
                .map(|one| one.random.changed.len())
                .sum::<usize>()
                / all.len())
            .to_string(),
        ),
        ("cells tried", sum(&|one| one.cells)),
        (
            "jobs in which a cell differs",
            sum(&|one| usize::from(!one.differing.is_empty())),
        ),
        (
            "cells that differ",
            sum(&|one| one.differing.iter().map(|way| way.cells).sum()),
        ),
        (
            "of them as declared with what the report says",
            sum(&|one| one.differing.iter().map(|way| way.cured).sum()),
        ),
    ];
    table(
        &["what", "number"],
        rows.map(|(what, number)| vec![what.to_owned(), number]),
    )
}
