//! Slurry, heat and plates from data made by scipy: how often the 95 % intervals hold the truth.

use std::fmt::Write as _;
use twinplate_calibrate::keys::KeysReport;
use twinplate_calibrate::{heat, plates, slurry};
use twinplate_sim::demo;
use twinplate_sim::files::{FileError, Overrides, Set, load_set};
use twinplate_sim::flatness::{stock, wear};

/// Made by `scipy/shop.py`; format there.
const SLURRY: &str = include_str!("data/slurry.csv");
const HEAT: &str = include_str!("data/heat.csv");
const PLATES: &str = include_str!("data/plates.csv");

/// Truths and rows of each sheet.
fn sheets(all: &str) -> Vec<(Vec<f64>, Vec<&str>)> {
    all.split("\n=")
        .skip(1)
        .map(|text| {
            let (truth, rows) = text.split_once('\n').expect("rows");
            let truth = truth.split(',').map(|n| n.parse().expect("a number"));
            (truth.collect(), rows.lines().collect())
        })
        .collect()
}

fn read(found: Result<KeysReport, Vec<FileError>>, sheet: &str) -> KeysReport {
    match found {
        Ok(report) => report,
        Err(errors) => panic!("{errors:#?}\n{sheet}"),
    }
}

/// Whether the interval of a key, told in its own unit, holds the truth; none where it is not told.
pub fn holds(report: &KeysReport, name: &str, truth: f64) -> Option<bool> {
    let key = report.keys.iter().find(|key| key.name == name).expect(name);
    let told = key.told()?;
    Some(key.typed(told.low) <= truth && truth <= key.typed(told.high))
}

/// Share of the intervals that hold the truth must be that of 95 % intervals, as far as so many of them can tell.
fn covers(what: &str, held: &[Option<bool>], told: usize) {
    let known: Vec<bool> = held.iter().copied().flatten().collect();
    let share = known.iter().filter(|held| **held).count() as f64 / known.len() as f64;
    println!(
        "{what}: {share:.3} of {} told, {} sheets",
        known.len(),
        held.len()
    );
    assert!(
        known.len() >= told,
        "{what}: told in {} sheets",
        known.len()
    );
    assert!(
        (0.90..=0.99).contains(&share),
        "{what}: {share} of {}",
        known.len()
    );
}

#[test]
fn intervals_of_the_slurry_hold_the_truth_as_often_as_they_say() {
    const NAMES: [&str; 8] = [
        "flow-max",
        "line-volume",
        "line-lag",
        "film-life",
        "wet-time",
        "settle-time",
        "stir-time",
        "rinse-flow",
    ];
    let mut held = vec![Vec::new(); NAMES.len()];
    for (truth, rows) in sheets(SLURRY) {
        let mut sheet =
            "what, pump [%], flow [L/min], volume [L], time [s], share [%], speed [%], load [%]\n"
                .to_owned();
        for row in rows {
            let _ = writeln!(sheet, "{row}");
        }
        let report = read(slurry::calibrate("sheet.csv", sheet.as_bytes()), &sheet);
        assert!(report.fits(), "{:?}", report.contradicted);
        for ((held, name), truth) in held.iter_mut().zip(NAMES).zip(&truth) {
            held.push(holds(&report, name, *truth));
        }
        // The cautious end is written of the film alone.
        for key in report.keys.iter().filter(|key| key.told().is_some()) {
            assert_eq!(key.cautious(), key.name == "film-life", "{}", key.name);
        }
    }
    for (name, held) in NAMES.into_iter().zip(&held) {
        covers(name, held, 240);
    }
}

/// A shift's log as a sheet: columns that are empty in the first row are left out.
fn shift(rows: &[&str]) -> String {
    const HEADS: [&str; 5] = [
        "time [min]",
        "lower [°C]",
        "upper [°C]",
        "power [W]",
        "carried [W]",
    ];
    let first: Vec<&str> = rows[0].split(',').collect();
    let there: Vec<usize> = (0..HEADS.len()).filter(|n| !first[*n].is_empty()).collect();
    let line = |cells: &[&str]| {
        there
            .iter()
            .map(|n| cells[*n])
            .collect::<Vec<_>>()
            .join(", ")
    };
    let mut sheet = line(&HEADS);
    for row in rows {
        let cells: Vec<&str> = row.split(',').collect();
        let _ = write!(sheet, "\n{}", line(&cells));
    }
    sheet
}

#[test]
fn intervals_of_the_heat_hold_the_truth_as_often_as_they_say() {
    const NAMES: [&str; 4] = ["capacity", "cooling", "slurry-share", "ambient"];
    let mut machine = demo::machine("machine-a");
    let mut held = vec![Vec::new(); NAMES.len()];
    let mut known = vec![Vec::new(); 2];
    for (number, (truth, rows)) in sheets(HEAT).into_iter().enumerate() {
        let sheet = shift(&rows);
        let (heated, carried) = (number % 3 != 2, number % 4 != 0);
        let alone = read(heat::calibrate("sheet.csv", sheet.as_bytes(), None), &sheet);
        for (n, name) in NAMES.into_iter().enumerate() {
            // What is not in a sheet is not told of it.
            let due = match name {
                "ambient" => true,
                "slurry-share" => heated && carried,
                _ => carried,
            };
            let truth = if name == "slurry-share" {
                100.0 * truth[n]
            } else {
                truth[n]
            };
            let found = holds(&alone, name, truth);
            assert!(due || found.is_none(), "{name} told of sheet {number}");
            if due {
                held[n].push(found);
            }
        }
        // With the capacity known the other two follow.
        if !carried {
            machine.thermal.capacity = truth[0] * 1e3;
            let with = read(
                heat::calibrate("sheet.csv", sheet.as_bytes(), Some(&machine)),
                &sheet,
            );
            known[0].push(holds(&with, "cooling", truth[1]));
            if heated {
                known[1].push(holds(&with, "slurry-share", 100.0 * truth[2]));
            }
            assert!(
                with.keys
                    .iter()
                    .any(|key| key.name == "capacity" && key.told().is_none())
            );
        }
    }
    for (name, held) in NAMES.into_iter().zip(&held) {
        covers(name, held, held.len() * 9 / 10);
    }
    for (name, held) in ["cooling, capacity known", "share, capacity known"]
        .iter()
        .zip(&known)
    {
        let told: Vec<bool> = held.iter().copied().flatten().collect();
        let kept = told.iter().filter(|held| **held).count();
        println!(
            "{name}: {kept} of {} told, {} sheets",
            told.len(),
            held.len()
        );
        // 60 and 40 sheets: at 95 % one in a thousand keeps fewer than 51 and 33.
        assert!(
            kept * 100 >= told.len() * 84,
            "{name}: {kept} of {}",
            told.len()
        );
        assert!(told.len() * 10 >= held.len() * 9, "{name}: {}", told.len());
    }
}

/// The flat glass windows with the rings as programmed.
pub fn windows() -> Set {
    let recipe = demo::folder().join("variants/glass-flat.toml");
    load_set(&recipe, &Overrides::default()).expect("the demonstration set")
}

#[test]
fn intervals_of_the_plates_hold_the_truth_as_often_as_they_say() {
    let set = windows();
    // What a batch does to one plate more than to the other, over the stock, by points that are followed (scipy/shop.py).
    let (_, rest) = PLATES.split_once('~').expect("a line");
    let outside: f64 = rest
        .lines()
        .next()
        .and_then(|n| n.parse().ok())
        .expect("a number");
    let mut machine = set.machine.value.clone();
    machine.plates.wear = 1.0;
    let (batch, recipe) = (&set.batch.value, &set.recipe.value);
    let stock = stock(&machine, batch, recipe);
    let [(_, change), ..] = wear(&machine, batch, recipe)[..] else {
        panic!("the rings as programmed");
    };
    let ours = (change[0] - change[1]) / stock;
    println!(
        "apart {ours:.5}, outside {outside:.5}; stock {:.2} µm",
        stock * 1e6
    );
    assert!((ours / outside - 1.0).abs() < 0.015, "{ours} {outside}");
    const NAMES: [&str; 3] = ["wear", "form-lower", "form-upper"];
    let mut held = vec![Vec::new(); NAMES.len()];
    for (truth, rows) in sheets(PLATES) {
        let mut sheet = "batch, removed [µm], lower [µm], upper [µm]".to_owned();
        for row in rows {
            let _ = write!(sheet, "\n{row}");
        }
        let report = read(
            plates::calibrate(
                "sheet.csv",
                sheet.as_bytes(),
                &set.machine.value,
                Some(&set),
            ),
            &sheet,
        );
        for (n, name) in NAMES.into_iter().enumerate() {
            // The outside number is off by what points of a ring scatter; it is no part of the interval.
            let truth = if n == 0 {
                truth[0] * outside / ours
            } else {
                truth[n]
            };
            held[n].push(holds(&report, name, truth));
        }
    }
    for (name, held) in NAMES.into_iter().zip(&held) {
        covers(name, held, 200);
    }
}
