//! Readers of sheets and logs, and what is worked out from them.

use super::files::told;
use super::machine::{DEMO, job};
use std::sync::OnceLock;
use twinplate_calibrate as calibrate;
use twinplate_production::record as production_record;
use twinplate_shop::cost::{prices as shop_prices, record as shop_record};
use twinplate_shop::lay_in::list;
use twinplate_sim::demo;
use twinplate_sim::files::{FileError, Overrides, Set, load_set};
use twinplate_tune::import::{ImportOptions, import};

const NAME: &str = "sheet.csv";
/// A heat sheet and a plate sheet are judged by this machine.
const MACHINE: &str = "machine-b";

fn refused<T>(bytes: &[u8], read: Result<T, Vec<FileError>>) {
    if let Err(errors) = read {
        told(bytes, &errors);
    }
}

/// The first of the demonstration recipes, with its files.
pub fn set() -> &'static Set {
    static SET: OnceLock<Set> = OnceLock::new();
    SET.get_or_init(|| {
        let path = demo::folder().join("recipes").join(DEMO[0]);
        load_set(&path.with_extension("toml"), &Overrides::default())
            .expect("the demonstration set")
    })
}

pub fn cell(bytes: &[u8]) {
    refused(bytes, calibrate::cell::calibrate(NAME, bytes, None));
    let machine = &job(DEMO[0]).machine;
    refused(
        bytes,
        calibrate::cell::calibrate(NAME, bytes, Some(machine)),
    );
}

pub fn removal(bytes: &[u8]) {
    refused(bytes, calibrate::removal::calibrate(NAME, bytes, None));
    refused(
        bytes,
        calibrate::removal::calibrate(NAME, bytes, Some(set())),
    );
}

pub fn slurry(bytes: &[u8]) {
    refused(bytes, calibrate::slurry::calibrate(NAME, bytes));
}

pub fn heat(bytes: &[u8]) {
    refused(bytes, calibrate::heat::calibrate(NAME, bytes, None));
    let machine = &job(DEMO[1]).machine;
    refused(
        bytes,
        calibrate::heat::calibrate(NAME, bytes, Some(machine)),
    );
}

pub fn plates(bytes: &[u8]) {
    let machine = demo::machine(MACHINE);
    refused(
        bytes,
        calibrate::plates::calibrate(NAME, bytes, &machine, None),
    );
    refused(
        bytes,
        calibrate::plates::calibrate(NAME, bytes, &set().machine.value, Some(set())),
    );
}

pub fn drives(bytes: &[u8]) {
    refused(bytes, calibrate::drives::calibrate(NAME, bytes));
}

pub fn actuator(bytes: &[u8]) {
    let machine = &job(DEMO[0]).machine;
    refused(bytes, calibrate::actuator::calibrate(NAME, bytes, machine));
}

/// The list of parts to lay in; not the cycles that its loads are then run for.
pub fn parts(bytes: &[u8]) {
    refused(bytes, list::read(NAME, bytes, &job(DEMO[0]).batch));
}

pub fn prices(bytes: &[u8]) {
    refused(bytes, shop_prices::read(NAME, bytes));
}

/// What a shop noted of its batches, for `cost`.
pub fn shifts(bytes: &[u8]) {
    refused(bytes, shop_record::read(NAME, bytes));
}

/// What a shop noted of its batches, for `correct`.
pub fn production(bytes: &[u8]) {
    refused(bytes, production_record::read(NAME, bytes));
}

/// What a recorder wrote, with the columns found out and with the columns told.
pub fn log(bytes: &[u8]) {
    let mut told = ImportOptions::default();
    for (role, number) in [("time", 1), ("command", 2), ("output", 3)] {
        told.column(&format!("{role}={number}")).expect("a role");
    }
    for options in [ImportOptions::default(), told] {
        match import(bytes, &options) {
            Ok(log) => {
                let rows = log.time_s.len();
                assert!(log.command.len() == rows && log.output.len() == rows);
                assert!(
                    log.time_s.windows(2).all(|two| two[0] < two[1]),
                    "time goes back"
                );
                let all = log.time_s.iter().chain(&log.command).chain(&log.output);
                assert!(all.into_iter().all(|value| value.is_finite()), "no number");
                assert!(log.usable().len() == rows);
            }
            Err(error) => {
                assert!(!error.to_string().is_empty() && !error.cure().is_empty());
                assert!(error.place().is_none_or(|(line, _)| line >= 1), "{error}");
            }
        }
    }
}
