//! Mutants that no suite sees, each with its reason.

use crate::find::Mutant;
use serde::Deserialize;
use std::collections::{BTreeMap, BTreeSet};
use std::path::Path;

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct File {
    #[serde(default)]
    mutant: Vec<Entry>,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Entry {
    pub names: Vec<String>,
    pub kind: Kind,
    pub reason: String,
}

/// Why nobody sees it.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Kind {
    /// Nothing that the core does differs.
    Equivalent,
    /// A difference that no rule forbids, or that is not tested yet.
    Missed,
}

/// The committed list, by name.
#[derive(Debug)]
pub struct Known {
    by_name: BTreeMap<String, (Kind, String)>,
}

impl Known {
    pub fn read(root: &Path, all: &[Mutant]) -> Result<Self, String> {
        let folder = root.join("tests/mutants/known");
        let names: BTreeSet<String> = all.iter().map(Mutant::name).collect();
        let mut by_name = BTreeMap::new();
        for file in std::fs::read_dir(&folder).map_err(|e| format!("{}: {e}", folder.display()))? {
            let path = file.map_err(|e| e.to_string())?.path();
            let text =
                std::fs::read_to_string(&path).map_err(|e| format!("{}: {e}", path.display()))?;
            let file: File =
                toml::from_str(&text).map_err(|e| format!("{}: {e}", path.display()))?;
            for entry in file.mutant {
                for name in entry.names {
                    if !names.contains(&name) {
                        return Err(format!(
                            "{}: there is no such mutant any more: {name}",
                            path.display()
                        ));
                    }
                    by_name.insert(name, (entry.kind, entry.reason.clone()));
                }
            }
        }
        Ok(Self { by_name })
    }

    pub fn get(&self, mutant: &Mutant) -> Option<&(Kind, String)> {
        self.by_name.get(&mutant.name())
    }
}
