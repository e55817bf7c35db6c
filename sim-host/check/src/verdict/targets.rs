//! What the batch asks of the finished parts, and what of it is judged by what: the one list. Every report and the verdict follow.

use crate::catalogue::Code;

use serde::Serialize;
use twinplate_sim::requirements::Requirement;

/// What judges a target.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum JudgedBy {
    /// A requirement of the closed-loop trials.
    Trials(Requirement),
    /// A static finding, from the prediction.
    Finding(Code),
    /// Nothing: what is not computed, and what to do instead.
    Nothing(&'static str),
}

/// A number of the batch file that finished parts must keep.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Target {
    /// Its key in the batch file.
    pub key: &'static str,
    /// What judges it.
    pub by: JudgedBy,
}

/// Every target, those that nothing judges first.
pub const TARGETS: [Target; 7] = [
    Target {
        key: "target.flatness",
        by: JudgedBy::Trials(Requirement::Flatness),
    },
    Target {
        key: "target.parallelism",
        by: JudgedBy::Trials(Requirement::Parallelism),
    },
    Target {
        key: "target.thickness",
        by: JudgedBy::Trials(Requirement::Size),
    },
    Target {
        key: "target.tolerance",
        by: JudgedBy::Trials(Requirement::Size),
    },
    Target {
        key: "target.finish",
        by: JudgedBy::Trials(Requirement::Finish),
    },
    Target {
        key: "part.strength",
        by: JudgedBy::Trials(Requirement::PartStrength),
    },
    Target {
        key: "part.damage",
        by: JudgedBy::Finding(Code::StockBelowDamage),
    },
];

/// A target that is judged, as reports tell it.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
pub struct JudgedTarget {
    /// Its name: the last part of its key.
    pub name: &'static str,
    /// Its key in the batch file.
    pub key: &'static str,
    /// The requirement or the finding that judges it.
    pub by: &'static str,
}

/// A target that is not judged, as reports tell it.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
pub struct UnjudgedTarget {
    /// Its name: the last part of its key.
    pub name: &'static str,
    /// Its key in the batch file.
    pub key: &'static str,
    /// Why not, and what to do instead.
    pub why: &'static str,
}

/// Of these targets, those that are judged and those that are not.
#[must_use]
pub fn told(targets: &[Target]) -> (Vec<JudgedTarget>, Vec<UnjudgedTarget>) {
    let (mut judged, mut not_judged) = (Vec::new(), Vec::new());
    for Target { key, by } in targets.iter().copied() {
        let name = key.rsplit_once('.').map_or(key, |(_, name)| name);
        let by = match by {
            JudgedBy::Trials(requirement) => requirement.what(),
            JudgedBy::Finding(code) => code.entry().code,
            JudgedBy::Nothing(why) => {
                not_judged.push(UnjudgedTarget { name, key, why });
                continue;
            }
        };
        judged.push(JudgedTarget { name, key, by });
    }
    (judged, not_judged)
}

/// `not judged: …` with the names, as every report says it; empty where all is judged.
#[must_use]
pub fn line(not_judged: &[UnjudgedTarget]) -> String {
    if not_judged.is_empty() {
        return String::new();
    }
    let names: Vec<&str> = not_judged.iter().map(|target| target.name).collect();
    format!("not judged: {}", names.join(", "))
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::collections::BTreeSet;

    /// A target that the batch file comes to know is told as judged or as not judged: none is passed over.
    #[test]
    fn every_target_of_the_batch_file_is_listed_once() {
        let path = concat!(env!("CARGO_MANIFEST_DIR"), "/../../docs/schema/batch.json");
        let text = std::fs::read_to_string(path).expect("the schema, which its own test renews");
        let schema: serde_json::Value = serde_json::from_str(&text).expect("JSON");
        let keys = |table: &str| -> BTreeSet<String> {
            schema["properties"][table]["properties"]
                .as_object()
                .expect("a table of the batch file")
                .keys()
                .map(|key| format!("{table}.{key}"))
                .collect()
        };
        let listed: BTreeSet<String> = TARGETS.iter().map(|t| t.key.to_owned()).collect();
        assert_eq!(listed.len(), TARGETS.len());
        let targets = keys("target");
        assert!(targets.len() >= 5, "{targets:?}");
        assert!(targets.is_subset(&listed), "{targets:?}");
        let known: BTreeSet<String> = targets.union(&keys("part")).cloned().collect();
        assert!(listed.is_subset(&known), "{listed:?}");
    }
}
