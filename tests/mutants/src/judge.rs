//! Builds the woven copy once and turns one mutant on after the other.

use crate::config::{Config, Suite};
use crate::find::Mutant;
use crate::weave::SWITCH;
use serde::{Deserialize, Serialize};
use std::collections::{BTreeMap, BTreeSet};
use std::fs;
use std::io::{BufRead, BufReader, Write};
use std::path::{Path, PathBuf};
use std::process::{Child, Command, Stdio};
use std::sync::atomic::{AtomicBool, AtomicUsize, Ordering};
use std::sync::{Arc, Mutex};
use std::time::{Duration, Instant};

/// A test binary that is built and green without a mutant.
#[derive(Debug)]
pub struct Built {
    suite: Suite,
    binary: PathBuf,
    folder: PathBuf,
    limit: Duration,
}

/// What became of a mutant.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Fate {
    /// This test of this suite went red.
    Caught { suite: String, test: String },
    /// Tests ran ten times as long as without it.
    Timeout { suite: String },
    /// Every suite stayed green.
    Missed,
}

#[derive(Serialize, Deserialize)]
struct Result1 {
    name: String,
    fate: Fate,
}

/// A file whose content changes only when it must, so that nothing is built again for nothing.
fn put(path: &Path, content: &[u8]) -> Result<(), String> {
    if fs::read(path).is_ok_and(|old| old == content) {
        return Ok(());
    }
    let folder = path.parent().ok_or("no folder")?;
    fs::create_dir_all(folder)
        .and_then(|()| fs::write(path, content))
        .map_err(|e| format!("{}: {e}", path.display()))
}

/// The tree as it is, tracked and new files, without what git ignores.
fn files(root: &Path) -> Result<Vec<String>, String> {
    let told = Command::new("git")
        .args([
            "ls-files",
            "--cached",
            "--others",
            "--exclude-standard",
            "-z",
        ])
        .current_dir(root)
        .output()
        .map_err(|e| format!("git: {e}"))?;
    Ok(String::from_utf8_lossy(&told.stdout)
        .split('\0')
        .filter(|f| !f.is_empty())
        .map(str::to_owned)
        .collect())
}

/// What changed sources need beyond the core's own: a product changed into a quotient.
fn quotients(config: &Config) -> String {
    let one = |name: &String| {
        format!(
            "impl core::ops::Div<f32> for crate::units::{name} {{ type Output = Self; \
             fn div(self, by: f32) -> Self {{ Self::new(self.get() / by) }} }}\n"
        )
    };
    config.quantities.iter().map(one).collect()
}

fn copy(
    root: &Path,
    tree: &Path,
    woven: &[(&String, String)],
    config: &Config,
) -> Result<(), String> {
    let listed = files(root)?;
    for file in &listed {
        // A file that was removed and not yet committed is still listed.
        if let Ok(content) = fs::read(root.join(file)) {
            let inside = file.strip_prefix("firmware-core/src/");
            if inside.is_none_or(|inside| woven.iter().all(|(name, _)| *name != inside)) {
                put(&tree.join(file), &content)?;
            }
        }
    }
    for (file, source) in woven {
        let mut source = source.clone();
        if *file == "lib.rs" {
            source = format!(
                "#![feature(core_intrinsics, const_eval_select)]\n#![allow(internal_features, warnings)]\n{source}{SWITCH}{}",
                quotients(config)
            );
        }
        put(
            &tree.join("firmware-core/src").join(file),
            source.as_bytes(),
        )?;
    }
    Ok(())
}

/// Where cargo puts things.
fn target(root: &Path) -> PathBuf {
    std::env::var_os("CARGO_TARGET_DIR").map_or_else(|| root.join("target"), PathBuf::from)
}

/// Copies, weaves, builds, and runs every suite once without a mutant.
pub fn build(
    root: &Path,
    woven: &[(&String, String)],
    config: &Config,
) -> Result<Vec<Built>, String> {
    let tree = target(root).join("mutants/tree");
    copy(root, &tree, woven, config)?;
    let mut built = Vec::new();
    for suite in &config.suite {
        let began = Instant::now();
        let binary = compile(root, &tree, suite)?;
        let folder = tree.join(suite.test.as_ref().map_or("firmware-core", |_| "tests"));
        let mut one = Built {
            suite: suite.clone(),
            binary,
            folder,
            limit: Duration::from_secs(1200),
        };
        let compiled = began.elapsed();
        let began = Instant::now();
        if let Some(fate) = run(&one, 0)? {
            return Err(format!("{} is red without a mutant: {fate:?}", suite.name));
        }
        let took = began.elapsed();
        one.limit = took * 10 + Duration::from_secs(5);
        println!(
            "{}: built in {:.0} s, green in {:.1} s",
            suite.name,
            compiled.as_secs_f64(),
            took.as_secs_f64()
        );
        built.push(one);
    }
    Ok(built)
}

fn compile(root: &Path, tree: &Path, suite: &Suite) -> Result<PathBuf, String> {
    let mut cargo = Command::new("cargo");
    cargo.args(["test", "--locked", "--no-run", "--message-format=json"]);
    // The whole workspace's features: what comes from elsewhere is built once for all suites.
    match &suite.test {
        Some(test) => cargo.args(["--workspace", "--test", test]),
        None => cargo.args(["-p", "firmware-core", "--lib"]),
    };
    let out = cargo
        .current_dir(tree)
        // The switch asks whether it is worked out in a constant: the compiler's own means for that, in this copy alone.
        .env("RUSTC_BOOTSTRAP", "firmware_core")
        // Apart from the tree's own builds: with another environment than theirs it would make them begin anew.
        .env("CARGO_TARGET_DIR", target(root).join("mutants/target"))
        .stderr(Stdio::inherit())
        .output()
        .map_err(|e| format!("cargo: {e}"))?;
    let mut binary = None;
    let wanted = suite.test.as_deref().unwrap_or("firmware_core");
    for line in String::from_utf8_lossy(&out.stdout).lines() {
        let Ok(said) = serde_json::from_str::<serde_json::Value>(line) else {
            continue;
        };
        if let Some(text) = said["message"]["rendered"].as_str()
            && said["message"]["level"] == "error"
        {
            eprintln!("{text}");
        }
        if said["target"]["name"] == wanted
            && let Some(path) = said["executable"].as_str()
        {
            binary = Some(PathBuf::from(path));
        }
    }
    match binary {
        Some(binary) if out.status.success() => Ok(binary),
        _ => Err(format!("{} does not build with its mutants", suite.name)),
    }
}

/// Runs a suite with a mutant on until its first red test.
fn run(built: &Built, number: usize) -> Result<Option<Fate>, String> {
    let mut command = Command::new(&built.binary);
    for skip in &built.suite.skip {
        command.args(["--skip", skip]);
    }
    command
        .args(&built.suite.only)
        .arg("--test-threads=1")
        .current_dir(&built.folder)
        .env("CARGO_MANIFEST_DIR", &built.folder)
        .env("MUTANT", number.to_string())
        .env("PROPTEST_RNG_SEED", "1")
        .env("PROPTEST_MAX_SHRINK_ITERS", "0")
        .stdout(Stdio::piped())
        .stderr(Stdio::null());
    if built.suite.cases > 0 {
        command.env("PROPTEST_CASES", built.suite.cases.to_string());
    }
    let mut child = command
        .spawn()
        .map_err(|e| format!("{}: {e}", built.binary.display()))?;
    let out = child.stdout.take().ok_or("no output")?;
    let child = Arc::new(Mutex::new(child));
    let (late, over) = (
        Arc::new(AtomicBool::new(false)),
        Arc::new(AtomicBool::new(false)),
    );
    let watch = std::thread::spawn({
        let (child, late, over, limit) = (child.clone(), late.clone(), over.clone(), built.limit);
        move || {
            let began = Instant::now();
            while !over.load(Ordering::Relaxed) {
                if began.elapsed() > limit {
                    late.store(true, Ordering::Relaxed);
                    end(&child);
                    return;
                }
                std::thread::sleep(Duration::from_millis(20));
            }
        }
    });
    let suite = built.suite.name.clone();
    let mut red = None;
    for line in BufReader::new(out)
        .lines()
        .map_while(std::result::Result::ok)
    {
        if let Some(test) = line
            .strip_prefix("test ")
            .and_then(|rest| rest.strip_suffix(" ... FAILED"))
        {
            red = Some(test.to_owned());
            end(&child);
            break;
        }
    }
    over.store(true, Ordering::Relaxed);
    let status = child
        .lock()
        .map_err(|e| e.to_string())?
        .wait()
        .map_err(|e| e.to_string())?;
    watch.join().map_err(|_| "the watch panicked")?;
    Ok(match red {
        Some(test) => Some(Fate::Caught { suite, test }),
        None if late.load(Ordering::Relaxed) => Some(Fate::Timeout { suite }),
        None if status.success() => None,
        None => Some(Fate::Caught {
            suite,
            test: "the process ended".to_owned(),
        }),
    })
}

fn end(child: &Mutex<Child>) {
    if let Ok(mut child) = child.lock() {
        // It may have ended by itself.
        let _ = child.kill();
    }
}

/// Every chosen mutant's fate, by its index.
pub fn all(
    suites: &[Built],
    all: &[Mutant],
    chosen: &[usize],
    root: &Path,
) -> Result<BTreeMap<usize, Fate>, String> {
    let path = target(root).join("mutants/results.jsonl");
    let log = Mutex::new(fs::File::create(&path).map_err(|e| format!("{}: {e}", path.display()))?);
    let judged = Mutex::new(BTreeMap::new());
    let next = AtomicUsize::new(0);
    let workers = std::thread::available_parallelism().map_or(1, usize::from);
    let began = Instant::now();
    let one = || -> Result<(), String> {
        while let Some(&index) = chosen.get(next.fetch_add(1, Ordering::Relaxed)) {
            let mut fate = Fate::Missed;
            for suite in suites {
                if let Some(end) = run(suite, index + 1)? {
                    fate = end;
                    break;
                }
            }
            let name = all[index].name();
            if fate == Fate::Missed {
                println!("missed: {name}");
            }
            let line = serde_json::to_string(&Result1 {
                name,
                fate: fate.clone(),
            })
            .map_err(|e| e.to_string())?;
            writeln!(log.lock().map_err(|e| e.to_string())?, "{line}")
                .map_err(|e| e.to_string())?;
            let mut judged = judged.lock().map_err(|e| e.to_string())?;
            judged.insert(index, fate);
            if judged.len() % 100 == 0 {
                println!(
                    "{} of {} in {:.0} s",
                    judged.len(),
                    chosen.len(),
                    began.elapsed().as_secs_f64()
                );
            }
        }
        Ok(())
    };
    std::thread::scope(|scope| {
        let running: Vec<_> = (0..workers).map(|_| scope.spawn(one)).collect();
        running
            .into_iter()
            .try_for_each(|worker| worker.join().map_err(|_| "a worker panicked".to_owned())?)
    })?;
    judged.into_inner().map_err(|e| e.to_string())
}

/// Names that a log of results says were missed.
pub fn missed(path: &Path) -> Result<BTreeSet<String>, String> {
    let text = fs::read_to_string(path).map_err(|e| format!("{}: {e}", path.display()))?;
    let mut names = BTreeSet::new();
    for line in text.lines() {
        let result: Result1 =
            serde_json::from_str(line).map_err(|e| format!("{}: {e}", path.display()))?;
        if result.fate == Fate::Missed {
            names.insert(result.name);
        }
    }
    Ok(names)
}
