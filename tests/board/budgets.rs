//! What the image takes of its board: instructions a tick, flash, RAM, stack. Held against the budgets, and with a margin against the
//! committed figures of docs/on-target.md, so that nothing grows unseen.

use crate::elf::Image;
use crate::line::cycle_by_the_page;
use crate::page;
use crate::twin::image;
use crate::{SEED, short};
use firmware_core::plate_form::{FormControl, MAX_SETTINGS, RingSetting};
use firmware_core::process_image::Inputs;
use firmware_core::recipe::RecipeWire;
use firmware_core::sequence::Request;
use firmware_core::units::{Micrometres, Ratio};
use twinplate_board::{OnBoard, PhaseLoad};
use twinplate_sim::bench::{ControllerPort, Job, NoRecorder, run};
use twinplate_sim::demo;

const KIB: f64 = 1024.0;

/// Instructions of a period, on the board as it is emulated.
const PERIOD: f64 = 62_500.0;

/// How much a figure may grow over the committed one: another compiler makes other code of the same sources.
const MARGIN: f64 = 1.05;

/// The largest recipe that this job's machine takes: all steps, all ring settings.
fn largest(job: &Job) -> RecipeWire {
    let mut recipe = job.compiled.clone();
    let last = *recipe.steps.last().expect("a step");
    while recipe.steps.push(last).is_ok() {}
    let setting = |reversed| RingSetting {
        reversed,
        trim: Ratio::new(0.0),
        change: [Micrometres::new(1.0); 2],
    };
    recipe.flatness = Some(FormControl {
        settings: (0..MAX_SETTINGS).map(|n| setting(n % 2 == 1)).collect(),
        deadband: Micrometres::new(1.0),
        limit: Micrometres::new(5.0),
        longest: 5,
    });
    recipe
}

/// The largest recipe taken and refused, then whole cycles: one of all steps, one of the last step of each other recipe.
fn ticked() -> (Vec<PhaseLoad>, u32, u32) {
    let job = demo::job("zirconia-fixed");
    let mut board = OnBoard::new(&image(), job.params.clone()).expect("a board");
    let mut good = largest(&job);
    for _ in 0..3 {
        let request = Request::LoadRecipe(good.clone());
        let answer = board.exchange(&Inputs::default(), None, Some(&request));
        assert_eq!(answer.expect("an answer").refusal, None);
    }
    good.pieces = 0;
    let request = Request::LoadRecipe(good);
    let answer = board.exchange(&Inputs::default(), None, Some(&request));
    assert!(answer.expect("an answer").refusal.is_some(), "no pieces");
    board.restart().expect("a board");
    run(&mut board, &job.nominal(SEED), None, NoRecorder).expect("a cycle");
    let (mut table, check, mut stack) = (
        board.load().table(),
        board.load().check(),
        board.stack().expect("a board"),
    );
    for name in demo::recipes() {
        let job = short(&name);
        let mut board = OnBoard::new(&image(), job.params.clone()).expect("a board");
        run(&mut board, &job.nominal(SEED), None, NoRecorder).expect("a cycle");
        stack = stack.max(board.stack().expect("a board"));
        for row in board.load().table() {
            if let Some(all) = table.iter_mut().find(|all| all.phase == row.phase) {
                all.most = all.most.max(row.most);
                all.least = all.least.min(row.least);
            }
        }
    }
    (table, check, stack)
}

/// A line of the page: what, how much, its budget.
struct Figure {
    what: String,
    measured: f64,
    /// None for what only the bench brings along.
    budget: Option<f64>,
}

fn figure(what: &str, measured: f64, budget: impl Into<Option<f64>>) -> Figure {
    Figure {
        what: what.into(),
        measured,
        budget: budget.into(),
    }
}

fn held(name: &str, figures: &[Figure]) {
    let rows: Vec<String> = figures
        .iter()
        .map(|f| {
            let budget = f
                .budget
                .map_or("–".to_owned(), |budget| format!("{budget:.0}"));
            format!("| {} | {:.0} | {budget} |", f.what, f.measured)
        })
        .collect();
    for row in &rows {
        println!("{row}");
    }
    let stands = page::rows(name, "| what | measured | budget |\n|---|---:|---:|", &rows);
    for figure in figures {
        let Figure {
            what,
            measured,
            budget,
        } = figure;
        if let Some(budget) = budget {
            assert!(measured <= budget, "{what}: {measured:.0} of {budget:.0}");
        }
        let row = stands
            .iter()
            .find(|row| row.contains(&format!("| {what} |")));
        let committed = row.and_then(|row| row.split('|').nth(2)?.trim().parse::<f64>().ok());
        let committed = committed.unwrap_or_else(|| panic!("{what} is not on the page: UPDATE=1"));
        assert!(
            *measured <= committed * MARGIN,
            "{what}: {measured:.0}, and {committed:.0} on the page. UPDATE=1 renews it: say why it grew"
        );
    }
}

/// Budgets of the processor's time: 1,500 instructions a tick in the mean, 6,000 at most, in every phase.
#[test]
fn no_phase_takes_more_instructions_than_its_budget() {
    let (table, check, stack) = ticked();
    let mut figures = Vec::new();
    for row in &table {
        let phase = row.phase.map_or("all phases", |phase| phase.word());
        figures.push(figure(&format!("{phase}, mean"), row.mean, 1_500.0));
        figures.push(figure(
            &format!("{phase}, 99.9 %"),
            f64::from(row.nearly_all),
            6_000.0,
        ));
        figures.push(figure(
            &format!("{phase}, most"),
            f64::from(row.most),
            6_000.0,
        ));
    }
    figures.push(figure(
        "check of the largest recipe, before its tick",
        f64::from(check),
        6_000.0,
    ));
    // Requests of all kinds, a cycle's telemetry, its progress in the flash.
    let ended = cycle_by_the_page(false);
    let link = ended.link;
    println!(
        "link and store: {link:?}, {} periods overrun",
        ended.overruns
    );
    figures.push(figure(
        "link and store after a tick, mean",
        link.mean,
        1_500.0,
    ));
    figures.push(figure(
        "link and store after a tick, 99.9 %",
        f64::from(link.nearly_all),
        None,
    ));
    figures.push(figure(
        "link and store after a tick, most",
        f64::from(link.most),
        PERIOD - 2.0 * 6_000.0,
    ));
    held("instructions", &figures);
    memory(stack.max(ended.stack));
}

/// What runs on a controller that has no bench, by parts of names as the compiler makes them: all that these call.
const CONTROLLER: &[&str] = &[
    "14lockstep_image6before",
    "14lockstep_image4tick",
    "14lockstep_image5after",
    "14lockstep_image4seat",
    "14lockstep_image4uart",
    "14lockstep_image4safe",
    "14lockstep_image8watchdog",
    "SysTick",
];
/// The store; nothing else reaches its flash.
const STORE: &[&str] = &["13firmware_core5store"];

fn memory(stack: u32) {
    let image = Image::read(&std::fs::read(image()).expect("the image"));
    let taken = |stored: bool| -> f64 {
        let sections = image.sections.iter().filter(|s| s.allocated);
        let sizes = sections.filter(|section| section.stored == stored);
        sizes.map(|section| f64::from(section.size)).sum()
    };
    let mut figures = Vec::new();
    let constants = image.section(".rodata").size + image.section(".vector_table").size;
    let (deepest, path, through) = image.deepest("cortex_m_rt_main");
    println!("deepest chain of calls: {path:#?}");
    println!("functions that call through a pointer: {through:?}");
    // One interrupt at a time comes on top, and what the processor keeps for it (Armv7-M: 26 words with those of the arithmetic).
    let interrupt = |name| image.deepest(name).0 + 26 * 4;
    let deepest = deepest + interrupt("SysTick").max(interrupt("4uart8received"));
    let core = f64::from(image.reached(CONTROLLER, STORE) + constants);
    let stored = f64::from(image.reached(CONTROLLER, &[]) + constants);
    figures.push(figure("flash: core and link", core, 48.0 * KIB));
    figures.push(figure("flash: core, link and store", stored, 64.0 * KIB));
    figures.push(figure(
        "flash: beside it, for the bench",
        taken(true) - stored,
        None,
    ));
    let stacks = f64::from(stack.max(deepest));
    figures.push(figure(
        "stack: as found painted over",
        f64::from(stack),
        4.0 * KIB,
    ));
    figures.push(figure(
        "stack: deepest chain of calls and an interrupt, by the compiler's list",
        f64::from(deepest),
        4.0 * KIB,
    ));
    figures.push(figure(
        "RAM: variables and stack",
        taken(false) + stacks,
        16.0 * KIB,
    ));
    held("memory", &figures);
}
