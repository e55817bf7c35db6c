//! Time and money.

use crate::{rows, set, sheet};
use twinplate_shop::cost::order::{Odds, Order};
use twinplate_shop::cost::prices::{self, Item};
use twinplate_shop::cost::record::{self, Batch, Record};
use twinplate_shop::cost::{Asked, cost};
use twinplate_sim::bench::{Drawn, Job, run_cycle};

/// Chances that were worked out exactly: `reference/make.py`.
const ODDS: &str = include_str!("data/odds.csv");

fn recorded() -> Record {
    record::read("record.csv", sheet("record.csv").as_bytes()).expect("a good record")
}

fn order(parts: u32, minutes: f64, machines: u32) -> Order {
    Order {
        parts,
        within: 60.0 * minutes,
        machines,
    }
}

#[test]
fn the_chance_is_the_exact_one_but_for_the_draws() {
    let record = recorded();
    for row in rows(ODDS) {
        let [parts, minutes, exact] = [row[0], row[1], row[2]];
        let odds = Odds::of(&order(parts as u32, minutes, 1), &record, 1);
        // Four standard deviations of a share of so many draws.
        let off = 4.0 * (exact * (1.0 - exact) / odds.draws as f64).sqrt();
        assert!(
            (odds.chance - exact).abs() < off,
            "{parts} in {minutes} min: {} for {exact}, {off}",
            odds.chance
        );
        assert!(odds.between[0] <= odds.chance && odds.chance <= odds.between[1]);
    }
}

/// By hand: batches of 20 min with 10 parts each. Two machines make 30 parts in the second round: at 40 min, as three batches.
#[test]
fn machines_work_side_by_side() {
    let record = Record {
        file: "by hand".to_owned(),
        batches: vec![
            Batch {
                time: 1200.0,
                good: 10
            };
            3
        ],
    };
    for (parts, machines, minutes, batches) in [
        (30, 1, 60.0, 3),
        (30, 2, 40.0, 3),
        (30, 3, 20.0, 3),
        (31, 3, 40.0, 4),
    ] {
        let odds = Odds::of(&order(parts, minutes, machines), &record, 5);
        assert_eq!(odds.time, [60.0 * minutes; 3], "{parts} on {machines}");
        assert_eq!((odds.batches, odds.chance), ([batches; 3], 1.0));
        let early = Odds::of(&order(parts, minutes - 1.0, machines), &record, 5);
        assert_eq!(early.chance, 0.0);
    }
}

#[test]
fn one_seed_one_answer_and_time_never_hurts() {
    let record = recorded();
    let chance = |minutes, seed| Odds::of(&order(300, minutes, 1), &record, seed);
    assert_eq!(chance(555.0, 1), chance(555.0, 1));
    assert_ne!(chance(555.0, 1), chance(555.0, 2));
    let mut before = 0.0;
    for minutes in [500.0, 540.0, 555.0, 570.0, 700.0] {
        let now = chance(minutes, 1).chance;
        assert!(now >= before);
        before = now;
    }
    assert_eq!(before, 1.0);
}

/// A time that follows the one before it is no independent one.
#[test]
fn a_drift_of_the_record_is_told() {
    assert_eq!(recorded().follows(), None);
    let batches = (0..24)
        .map(|i| Batch {
            time: 1200.0 + 20.0 * f64::from(i),
            good: 15,
        })
        .collect();
    let drifting = Record {
        file: "by hand".to_owned(),
        batches,
    };
    assert!(drifting.follows().is_some_and(|r| r > 0.5));
}

/// Torque times speed of the recorded trace, as somebody with a spreadsheet would add it up.
#[test]
fn the_energy_is_that_of_the_trace() {
    let set = set("glass-f800");
    let job = Job::of(&set, None).expect("a job");
    let report = cost(
        &job,
        &Asked {
            seed: 1,
            ..Asked::default()
        },
    )
    .expect("a run");
    let setup = job.drawn(Drawn { seed: 1, index: 0 });
    let outcome = run_cycle(&setup, None, setup.recorder(None)).expect("a run");
    let mut csv = Vec::new();
    outcome
        .trace
        .expect("a trace")
        .write_csv(&mut csv)
        .expect("written");
    let text = String::from_utf8(csv).expect("text");
    let mut lines = text.lines().filter(|line| !line.starts_with('#'));
    let heads: Vec<&str> = lines.next().expect("headings").split(',').collect();
    let columns = |word: &str, drive: &str| -> Vec<usize> {
        let name = format!("{word}_{drive}");
        let all: Vec<usize> = (0..heads.len())
            .filter(|i| heads[*i].contains(&name) && heads[*i].contains("true"))
            .collect();
        assert_eq!(all.len(), 2, "least and most of {name}: {heads:?}");
        all
    };
    let rows: Vec<Vec<&str>> = lines.map(|line| line.split(',').collect()).collect();
    for (drive, found) in ["inner", "outer", "lower", "upper"]
        .iter()
        .zip(report.taken.energy)
    {
        let (speeds, torques) = (columns("speed", drive), columns("torque", drive));
        let mean = |row: &[&str], of: &[usize]| {
            of.iter()
                .map(|i| row[*i].parse::<f64>().expect("a number"))
                .sum::<f64>()
                / 2.0
        };
        let joule: f64 = rows
            .iter()
            .map(|row| {
                let power = mean(row, &torques) * mean(row, &speeds) * std::f64::consts::TAU / 60.0;
                power.max(0.0) * 0.05
            })
            .sum();
        assert!(
            (found / joule - 1.0).abs() < 0.02,
            "{drive}: {found:.1} J, trace {joule:.1} J"
        );
    }
}

/// By hand, from the run's own slurry and the list's prices.
#[test]
fn what_a_batch_costs_adds_up() {
    let set = set("glass-f800");
    let job = Job::of(&set, None).expect("a job");
    let list = "what,price [EUR],per\nabrasive,12,kg\nlabour,30,h\nblank,2,part\nvehicle,1,gal\n";
    let asked = Asked {
        loading: 300.0,
        cleaning: 600.0,
        prices: Some(prices::read("p.csv", list.as_bytes()).expect("a list")),
        seed: 1,
        ..Asked::default()
    };
    let report = cost(&job, &asked).expect("a run");
    let litres = report.taken.slurry * 1e3;
    // 20 % by mass, 3.95 kg/L in water: a litre of slurry has 0.25/(1 + 0.25/3.95) kg of grains.
    let grains = litres * 0.25 / (1.0 + 0.25 / 3.95);
    let vehicle = litres / (1.0 + 0.25 / 3.95);
    let turn = (report.taken.time + 900.0) / 3600.0;
    let due = 12.0 * grains + 30.0 * turn + 2.0 * 15.0 + vehicle / 3.785_411_784;
    let found = report.batch_cost().expect("prices");
    assert!((found - due).abs() < 1e-9, "{found} {due}");
    assert_eq!(report.part_cost(), Some(found / 15.0));
    assert!((report.rate() - 15.0 / turn).abs() < 1e-9);
    let without: Vec<Item> = report.unpriced().collect();
    assert_eq!(without, [Item::Energy, Item::Machine, Item::Batch]);
}
