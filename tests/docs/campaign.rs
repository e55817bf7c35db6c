//! A campaign from the drawing to the tenth batch, as the engineer types it: `recipes/campaign`, told in `docs/campaign.md`.
//!
//! The shop is the simulator with an abrasive that the engineer's files do not know: it takes off less than published results have it,
//! and less from batch to batch. What the engineer sees of it is what a gauge would show.

use crate::pages::{check, check_file, read};
use crate::sessions::{Desk, cut, session};
use rand_distr::{Distribution, StandardNormal};
use std::f64::consts::PI;
use std::fmt::Write as _;
use std::path::Path;
use twinplate_sim::bench::{Drawn, Ended, Job, NoRecorder, run_cycle};
use twinplate_sim::files::{Overrides, load_set, render_errors};
use twinplate_sim::math::round;
use twinplate_sim::model::{End, Recipe};
use twinplate_sim::plant::seed::stream;

const PAGE: &str = "docs/campaign.md";
const MACHINE: &str = "recipes/campaign/machines/seal-machine.toml";
const BATCH: &str = "recipes/campaign/batches/seal-discs.toml";
const TRIAL: &str = "recipes/campaign/recipes/seal-trial.toml";
const RECIPE: &str = "recipes/campaign/recipes/seal-discs.toml";
const TRIALS: &str = "recipes/campaign/trials.csv";
const RECORD: &str = "recipes/campaign/record.csv";
/// Machines drawn, so that the page is quick to repeat.
const RUNS: &str = "--runs 20";

/// What the page leaves out of a draft and of a check: from the line that begins so to the one before the other.
const REASONS: [&str; 2] = ["Each number", "caution:"];
const STEPS: [&str; 2] = ["Steps", "verdict"];

/// What the abrasive of the shop truly takes off, 1/Pa. Published results have 2.9e-12.
const TRUTH: f64 = 2.1e-12;
/// By how much less with each batch, share.
const FALLS: f64 = 0.026;
/// Batches are off by this beside, share; and the gauge by this, µm: one standard deviation each.
const SCATTER: f64 = 0.01;
const GAUGE: f64 = 0.1;
const BATCHES: usize = 10;
/// Batches from which the next is corrected.
const FEWEST: usize = 6;
/// Allowed to either side, µm.
const TOLERANCE: f64 = 6.0;

/// Noise by name.
fn noise(name: &str) -> impl FnMut() -> f64 {
    let mut source = stream(1, "campaign", name, 0);
    move || StandardNormal.sample(&mut source)
}

/// Runs a recipe on the shop's machine with parts of this thickness, m; gives mean and standard deviation after it, m.
fn lapped(desk: &Desk, recipe: &str, change: impl Fn(&mut Recipe), before: f64) -> [f64; 2] {
    let mut set = load_set(&desk.0.join(recipe), &Overrides::default())
        .unwrap_or_else(|errors| panic!("{}", render_errors(&errors, false)));
    set.recipe.value.consumables.removal = Some(TRUTH);
    set.batch.value.thickness = before;
    change(&mut set.recipe.value);
    let job = Job::new(set.machine.value, set.batch.value, set.recipe.value).expect("compiles");
    let ran = run_cycle(&job.drawn(Drawn { seed: 1, index: 0 }), None, NoRecorder).expect("runs");
    assert_eq!(ran.ended, Ended::Complete, "{recipe}");
    [ran.summary.parts.mean, ran.summary.parts.sd]
}

/// Twelve trial runs with the trial's lapping step: three loads, three speeds, three times, some of them twice.
fn trials(desk: &Desk) -> String {
    // Share of the pressure, share of the speeds, minutes.
    const RUNS: [[f64; 3]; 12] = [
        [0.5, 1.0, 8.0],
        [0.75, 1.0, 8.0],
        [1.0, 1.0, 8.0],
        [0.75, 0.6, 8.0],
        [0.75, 1.3, 8.0],
        [0.5, 0.6, 14.0],
        [1.0, 1.3, 6.0],
        [0.75, 1.0, 14.0],
        [0.75, 1.0, 8.0],
        [0.5, 1.3, 12.0],
        [1.0, 0.6, 12.0],
        [0.75, 1.0, 14.0],
    ];
    let mut normal = noise("trials");
    let mut text = "# Invented for the demonstration set: made by tests/docs/campaign.rs.\n\
        trial, before [mm], after [mm], pressure [kPa], inner [rpm], outer [rpm], lower [rpm], upper [rpm], time [min]\n"
        .to_owned();
    for (number, [load, speed, minutes]) in RUNS.into_iter().enumerate() {
        let before = 3.040 + 0.0005 * normal();
        let (mut pressure, mut speeds) = (0.0, [0.0; 4]);
        let set = load_set(&desk.0.join(TRIAL), &Overrides::default()).expect("the trial's files");
        if let Some(step) = set.recipe.value.steps.last() {
            // Typed to three digits and to a tenth of a turn, as a panel takes them.
            pressure = round(step.pressure * load / 100.0) * 100.0;
            speeds = step
                .speeds
                .map(|one| round(one * speed * 300.0 / PI) * PI / 300.0);
        }
        let [after, _] = lapped(
            desk,
            TRIAL,
            |recipe| {
                let mut step = recipe.steps.pop().expect("the lapping");
                step.pressure = pressure;
                step.speeds = speeds;
                step.end = End::Time {
                    seconds: 60.0 * minutes,
                };
                step.longest = 120.0 * minutes;
                recipe.steps = vec![step];
            },
            before * 1e-3,
        );
        let after = after * 1e3 + GAUGE * 1e-3 * normal();
        let rpm = speeds.map(|speed| speed * 30.0 / PI);
        let _ = writeln!(
            text,
            "{}, {before:.4}, {after:.4}, {:.1}, {:.1}, {:.1}, {:.1}, {:.1}, {minutes}",
            number + 1,
            pressure / 1e3,
            rpm[0],
            rpm[1],
            rpm[2],
            rpm[3]
        );
    }
    text
}

/// The lapping step's time as the recipe has it, s.
fn time_of(desk: &Desk) -> f64 {
    let set = load_set(&desk.0.join(RECIPE), &Overrides::default()).expect("the recipe's files");
    match set.recipe.value.steps.last().map(|step| step.end) {
        Some(End::Time { seconds }) => seconds,
        other => panic!("{other:?}"),
    }
}

/// A batch of the shop: the row of its record but for the name, and how far its mean is off, µm.
fn batch(desk: &Desk, number: usize, time: f64, normal: &mut impl FnMut() -> f64) -> (String, f64) {
    let before = 3.040 + 0.0004 * normal();
    // A share of what still cuts is lost with each.
    let fallen = (0..number).fold(1.0, |left, _| left * (1.0 - FALLS));
    let removal = TRUTH * fallen * (1.0 + SCATTER * normal());
    let [after, sd] = lapped(
        desk,
        RECIPE,
        |recipe| {
            recipe.consumables.removal = Some(removal);
            if let Some(step) = recipe.steps.last_mut() {
                step.end = End::Time { seconds: time };
                step.longest = 3.0 * time;
            }
        },
        before * 1e-3,
    );
    let off = after * 1e6 - 3000.0;
    let read = after * 1e3 + GAUGE * 1e-3 * normal();
    let row = format!(
        "{before:.5},2.00,{read:.5},{:.2},25,{time},{GAUGE}\n",
        sd * 1e6
    );
    (row, off)
}

const HEAD: &str = "# Invented for the demonstration set: made by tests/docs/campaign.rs.\n\
    batch,before [mm],before-sd [um],after [mm],after-sd [um],parts,time [s],gauge [um]\n";

/// What was typed and shown; options in lines of their own, as a shell takes them too.
fn shows(name: &str, command: &str, shown: &str) {
    let command = command
        .replacen(" --", " \\\n    --", 1)
        .replace(" --write recipes", " \\\n    --write recipes");
    check(PAGE, name, &session(&command, shown));
}

/// Types a command, and shows it without what lies between two lines.
fn types(desk: &Desk, name: &str, command: &str, code: i32, [from, to]: [&str; 2]) -> String {
    let shown = desk.types(command, code);
    shows(name, command, &cut(&shown, from, to));
    shown
}

/// The drawing, what is typed of it, a draft that is refused, and the recipe for trials.
fn as_drawn(desk: &Desk) {
    for (name, file, kind) in [
        ("drawing", "recipes/campaign/drawing.txt", "text"),
        ("machine", MACHINE, "toml"),
        ("batch", BATCH, "toml"),
    ] {
        check(
            PAGE,
            name,
            &format!("```{kind}\n{}\n```\n", read(file).trim_end()),
        );
    }

    let blind = format!("draft {MACHINE} {BATCH} --no-gauge --no-compare {RUNS} --write {RECIPE}");
    shows("session-blind", &blind, &desk.types(&blind, 1));

    let trial = format!(
        "draft {MACHINE} recipes/campaign/batches/seal-discs-trial.toml --no-gauge --no-compare {RUNS} --write {TRIAL}"
    );
    types(desk, "session-trial", &trial, 0, REASONS);
    check_file(TRIAL, &written(desk, TRIAL));
}

/// Twelve trials, and what they make of the abrasive.
fn trials_measured(desk: &Desk) {
    let sheet = trials(desk);
    check_file(TRIALS, &sheet);
    std::fs::write(desk.0.join(TRIALS), sheet).expect("written");
    let removal = format!("calibrate removal {TRIALS} --recipe {TRIAL} --write");
    let shown = desk.types(&removal, 0);
    shows("session-removal", &removal, &shown);
    let known = load_set(&desk.0.join(TRIAL), &Overrides::default()).expect("written back");
    let found = known.recipe.value.consumables.removal.expect("measured");
    // Run-up and load ramp of the trials are in their times, so that the coefficient comes out a little low.
    assert!((found / TRUTH - 1.0).abs() < 0.04, "{found:e}");
}

/// From the drawing to the tenth batch. What is typed into a file is edited here; all else the commands write.
#[test]
#[ignore = "minutes: tests/run has it done by the release"]
fn from_the_drawing_to_the_tenth_batch() {
    let desk = Desk::new("campaign");
    // A desk on which nothing has been drafted yet.
    std::fs::remove_dir_all(desk.0.join("recipes/campaign/recipes")).expect("there");
    std::fs::create_dir_all(desk.0.join("recipes/campaign/recipes")).expect("made");
    as_drawn(&desk);
    trials_measured(&desk);

    let file = std::fs::read_to_string(desk.0.join(MACHINE)).expect("the machine");
    std::fs::write(
        desk.0.join(MACHINE),
        format!("{file}\n[envelope]\nremoval = \"10 %\"\n"),
    )
    .expect("typed");
    let again = format!(
        "draft {MACHINE} {BATCH} --no-gauge --no-compare {RUNS} --abrasive-of {TRIAL} --write {RECIPE}"
    );
    types(&desk, "session-draft", &again, 0, REASONS);
    let checked = format!("check {RECIPE} {RUNS}");
    types(&desk, "session-check", &checked, 0, STEPS);

    check_file(RECIPE, &written(&desk, RECIPE));

    let offs = ten_batches(&desk);
    // With fresh slurry the time that follows the worn one is too long, and the check says so.
    let shown = types(&desk, "session-check-after", &checked, 1, STEPS);
    assert!(shown.contains("size-missed"), "{shown}");
    let rows = offs.iter().enumerate().map(|(number, [alone, corrected])| {
        vec![
            format!("S-{:02}", number + 1),
            format!("{alone:+.1}"),
            format!("{corrected:+.1}"),
        ]
    });
    let head = ["batch", "the first time kept, µm", "corrected, µm"];
    check(PAGE, "ten-batches", &crate::pages::table(&head, rows));
}

/// Ten batches, from the seventh on each corrected by those before; beside it what the first batch's time would have made of the same. How far the means are
/// off, µm: with the first time kept, and corrected.
fn ten_batches(desk: &Desk) -> Vec<[f64; 2]> {
    let first = time_of(desk);
    let correct = format!("correct {RECIPE} --record {RECORD} --write");
    let mut record = HEAD.to_owned();
    let (mut alone, mut normal) = (noise("batches"), noise("batches"));
    let mut offs = Vec::new();
    for number in 0..BATCHES {
        let (_, kept) = batch(desk, number, first, &mut alone);
        let (row, off) = batch(desk, number, time_of(desk), &mut normal);
        let _ = write!(record, "S-{:02},{row}", number + 1);
        std::fs::write(desk.0.join(RECORD), &record).expect("written down");
        offs.push([kept, off]);
        // Fewer do not tell drift from noise.
        if number + 1 >= FEWEST {
            let shown = desk.types(&correct, 0);
            let name = format!("session-correct-{}", number + 1);
            if [FEWEST, BATCHES].contains(&(number + 1)) {
                check(PAGE, &name, &session(&correct, &shown));
            }
        }
    }
    check_file(RECORD, &record);
    let lost = |column: usize| {
        offs.iter()
            .filter(|row| row[column].abs() > TOLERANCE)
            .count()
    };
    assert!(
        lost(0) > 0,
        "the first time keeps its size to the end: {offs:?}"
    );
    assert_eq!(lost(1), 0, "{offs:?}");
    offs
}

fn written(desk: &Desk, file: &str) -> String {
    std::fs::read_to_string(desk.0.join(Path::new(file))).expect("written by a command")
}
