//! What is changed and who must see it.

use serde::Deserialize;
use std::path::Path;
use std::process::Command;

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Config {
    /// Newtypes of one number.
    pub quantities: Vec<String>,
    /// Files and folders of the core that are not changed yet.
    pub left_out: Vec<String>,
    pub suite: Vec<Suite>,
}

/// One test binary and how it is run.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Suite {
    pub name: String,
    /// A test target of the package `twinplate-tests`; the core's own tests without.
    pub test: Option<String>,
    /// Cases of each property.
    #[serde(default)]
    pub cases: u32,
    /// Only tests with one of these in their name.
    #[serde(default)]
    pub only: Vec<String>,
    /// No test with one of these in its name.
    #[serde(default)]
    pub skip: Vec<String>,
}

impl Config {
    pub fn read(root: &Path) -> Result<Self, String> {
        let path = root.join("tests/mutants/mutants.toml");
        let text =
            std::fs::read_to_string(&path).map_err(|e| format!("{}: {e}", path.display()))?;
        toml::from_str(&text).map_err(|e| format!("{}: {e}", path.display()))
    }
}

/// Every file of the core that is no test, below its `src`, in order of names.
pub fn sources(root: &Path, left_out: &[String]) -> Result<Vec<(String, String)>, String> {
    let src = root.join("firmware-core/src");
    let mut found = Vec::new();
    let mut folders = vec![src.clone()];
    while let Some(folder) = folders.pop() {
        let entries =
            std::fs::read_dir(&folder).map_err(|e| format!("{}: {e}", folder.display()))?;
        for entry in entries {
            let path = entry.map_err(|e| e.to_string())?.path();
            let name = path
                .file_name()
                .and_then(|n| n.to_str())
                .unwrap_or_default();
            if path.is_dir() {
                if name != "tests" {
                    folders.push(path);
                }
            } else if name.ends_with(".rs") && !name.ends_with("tests.rs") {
                let below = path.strip_prefix(&src).map_err(|e| e.to_string())?;
                if left_out.iter().any(|out| below.starts_with(out)) {
                    continue;
                }
                let source = std::fs::read_to_string(&path)
                    .map_err(|e| format!("{}: {e}", path.display()))?;
                found.push((below.to_string_lossy().into_owned(), source));
            }
        }
    }
    found.sort();
    Ok(found)
}

/// Name of the commit that is checked out.
pub fn commit(root: &Path) -> Result<String, String> {
    let told = Command::new("git")
        .args(["rev-parse", "HEAD"])
        .current_dir(root)
        .output();
    match told {
        Ok(told) if told.status.success() => {
            Ok(String::from_utf8_lossy(&told.stdout).trim().to_owned())
        }
        _ => Err("no commit to draw the sample by: give --seed TEXT".to_owned()),
    }
}

/// `count` of them in order, drawn by a seed: the same everywhere.
pub fn sample(mut of: Vec<usize>, count: usize, seed: &str) -> Vec<usize> {
    // FNV-1a of the seed, then SplitMix64: published constants.
    let mut state = seed.bytes().fold(0xcbf2_9ce4_8422_2325_u64, |hash, byte| {
        (hash ^ u64::from(byte)).wrapping_mul(0x0000_0100_0000_01b3)
    });
    let mut next = || {
        state = state.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut z = state;
        z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        z ^ (z >> 31)
    };
    let mut drawn = Vec::new();
    while drawn.len() < count && !of.is_empty() {
        let index = (next() % of.len() as u64) as usize;
        drawn.push(of.swap_remove(index));
    }
    drawn.sort_unstable();
    drawn
}
