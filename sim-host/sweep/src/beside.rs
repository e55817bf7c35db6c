//! Two recipes side by side: what each is asked and leaves, and the keys in which their files differ.

use serde::Serialize;
use std::collections::BTreeMap;
use toml_edit::{DocumentMut, Item, Value};
use twinplate_check::verdict::{CheckReport, Verdict};
use twinplate_sim::files::Set;
use twinplate_sim::model::{Of, Shown};

/// A key whose value is not the same in both files.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct OtherKey {
    /// Kind of file: recipe, machine, batch.
    pub file: &'static str,
    /// The key, lists counted from 1 as people count.
    pub key: String,
    /// In the first file, as written; nothing where it is not there.
    pub first: Option<String>,
    /// In the second.
    pub second: Option<String>,
}

/// One number of both recipes.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Row {
    /// What it is.
    pub what: String,
    /// Its unit.
    pub unit: &'static str,
    /// What it is of, where that is typed in units.
    #[serde(skip)]
    pub of: Option<Of>,
    /// Of the first recipe.
    pub first: Option<f64>,
    /// Of the second.
    pub second: Option<f64>,
}

impl Row {
    /// Second less first, where both are there.
    #[must_use]
    pub fn difference(&self) -> Option<f64> {
        Some(self.second? - self.first?)
    }
}

/// Two recipes side by side.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Beside {
    /// Recipe, machine and batch of each.
    pub names: [[String; 3]; 2],
    /// Their verdicts.
    pub verdicts: [Verdict; 2],
    /// Runs behind each.
    pub runs: [usize; 2],
    /// Runs that broke a requirement.
    pub failed: [usize; 2],
    /// Time, slurry and the like of the nominal machine.
    pub cycle: Vec<Row>,
    /// Worst value of every target and of every other requirement, over all runs.
    pub worst: Vec<Row>,
    /// What is left of each under its bound, in the same order.
    pub left: Vec<Row>,
    /// Errors and warnings of each by code, where they are not in both.
    pub findings: [Vec<String>; 2],
    /// Keys in which the files differ.
    pub keys: Vec<OtherKey>,
    /// Units that people are told it in: the first recipe's.
    #[serde(skip)]
    pub shown: Shown,
}

impl Beside {
    /// Of two recipes' files and what their checks say.
    #[must_use]
    pub fn of(sets: [&Set; 2], reports: [&CheckReport; 2]) -> Self {
        let row = |what: &str, unit, of, number: fn(&CheckReport) -> Option<f64>| Row {
            what: what.to_owned(),
            unit,
            of,
            first: number(reports[0]),
            second: number(reports[1]),
        };
        let kind = |what: &str, of: Of, number| row(what, of.unit(), Some(of), number);
        let (worst, left) = requirements(reports);
        Self {
            names: reports.map(|report| report.subject.names.clone()),
            verdicts: reports.map(|report| report.verdict),
            runs: reports.map(|report| report.envelope.runs),
            failed: reports.map(|report| report.envelope.failed),
            cycle: vec![
                row("cycle time", "s", None, |r| Some(r.prediction.cycle_s)),
                row("parts an hour", "", None, |r| {
                    Some(r.prediction.parts_per_hour)
                }),
                kind("slurry", Of::Volume, |r| Some(r.prediction.slurry_l)),
                kind("mean thickness", Of::Size, |r| {
                    Some(r.prediction.thickness_um.mean)
                }),
                kind("peak load", Of::Load, |r| r.prediction.peak_load_n),
            ],
            worst,
            left,
            findings: only_one_has(reports),
            keys: keys(sets),
            shown: sets[0].recipe.value.shown,
        }
    }

    /// Whether both pass, warnings let pass.
    #[must_use]
    pub fn both_pass(&self) -> bool {
        self.verdicts
            .iter()
            .all(|verdict| *verdict != Verdict::Fail)
    }
}

/// Worst value of every requirement that either has, and what is left of it under its bound.
fn requirements(reports: [&CheckReport; 2]) -> (Vec<Row>, Vec<Row>) {
    let cases = reports.map(|report| &report.envelope.cases);
    let mut all: Vec<_> = cases
        .into_iter()
        .flatten()
        .map(|case| case.requirement)
        .collect();
    all.sort_unstable();
    all.dedup();
    let row = |requirement: &twinplate_sim::requirements::Requirement, left: bool| {
        let [first, second] = cases.map(|cases| {
            let case = cases.iter().find(|case| case.requirement == *requirement)?;
            Some(if left {
                case.limit - case.value
            } else {
                case.value
            })
        });
        Row {
            what: requirement.what().to_owned(),
            unit: requirement.unit(),
            of: requirement.kind(),
            first,
            second,
        }
    };
    let rows = |left: bool| {
        all.iter()
            .map(|requirement| row(requirement, left))
            .collect()
    };
    (rows(false), rows(true))
}

/// Codes of the findings that count and that only one of both has.
fn only_one_has(reports: [&CheckReport; 2]) -> [Vec<String>; 2] {
    let codes = reports.map(|report| {
        let mut codes: Vec<&str> = report.counting().map(|finding| finding.code).collect();
        codes.sort_unstable();
        codes.dedup();
        codes
    });
    let without = |own: usize, other: usize| {
        let own = codes[own]
            .iter()
            .filter(|code| !codes[other].contains(*code));
        own.map(|code| (*code).to_owned()).collect()
    };
    [without(0, 1), without(1, 0)]
}

/// Keys in which recipe, machine and batch differ.
fn keys(sets: [&Set; 2]) -> Vec<OtherKey> {
    let files: [(&'static str, [&str; 2]); 3] = [
        ("recipe", sets.map(|set| set.recipe.text.as_str())),
        ("machine", sets.map(|set| set.machine.text.as_str())),
        ("batch", sets.map(|set| set.batch.text.as_str())),
    ];
    let mut found = Vec::new();
    for (file, texts) in files {
        let [first, second] = texts.map(flat);
        let mut all: Vec<&String> = first.keys().chain(second.keys()).collect();
        all.sort_unstable();
        all.dedup();
        for key in all {
            let (one, other) = (first.get(key), second.get(key));
            if one != other && !matches!(key.as_str(), "id" | "title") {
                found.push(OtherKey {
                    file,
                    key: key.clone(),
                    first: one.cloned(),
                    second: other.cloned(),
                });
            }
        }
    }
    found
}

/// All values of a text by their path.
fn flat(text: &str) -> BTreeMap<String, String> {
    let mut found = BTreeMap::new();
    // It was read before.
    if let Ok(document) = text.parse::<DocumentMut>() {
        for (key, item) in document.iter() {
            walk(key, item, &mut found);
        }
    }
    found
}

fn walk(path: &str, item: &Item, found: &mut BTreeMap<String, String>) {
    if let Some(table) = item.as_table_like() {
        for (key, item) in table.iter() {
            walk(&format!("{path}.{key}"), item, found);
        }
    } else if let Some(tables) = item.as_array_of_tables() {
        for (index, table) in tables.iter().enumerate() {
            for (key, item) in table.iter() {
                walk(&format!("{path}[{}].{key}", index + 1), item, found);
            }
        }
    } else if let Some(Value::Array(list)) = item.as_value() {
        for (index, value) in list.iter().enumerate() {
            let item = Item::Value(value.clone());
            walk(&format!("{path}[{}]", index + 1), &item, found);
        }
    } else if let Some(value) = item.as_value() {
        let bare = value.clone().decorated("", "").to_string();
        found.insert(path.to_owned(), bare.trim_matches('"').to_owned());
    }
}
