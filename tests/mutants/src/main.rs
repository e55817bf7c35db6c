//! Mutation testing of the core: every mutant woven into one copy, built once, and one after the other turned on under the suites
//! that state rules. How to run it and what it found: docs/mutants.md.

mod config;
mod find;
mod judge;
mod known;
mod table;
mod weave;

use config::Config;
use find::Mutant;
use std::path::{Path, PathBuf};
use std::process::ExitCode;

fn main() -> ExitCode {
    match told(std::env::args().skip(1).collect()) {
        Ok(true) => ExitCode::SUCCESS,
        Ok(false) => ExitCode::FAILURE,
        Err(error) => {
            eprintln!("mutants: {error}");
            ExitCode::from(2)
        }
    }
}

const USAGE: &str = "tests/mutants/run [list] [--only TEXT] [--sample N] [--seed TEXT] [--again FILE] [--suite NAME] [--write]
  list          name the mutants, run nothing
  --only TEXT   those whose name has TEXT in it; more than one may be given
  --sample N    N of them, drawn by the seed (default: the commit's own)
  --again FILE  those that FILE (results of another run, target/mutants/results.jsonl) says were missed
  --suite NAME  this suite alone (tests/mutants/mutants.toml); more than one may be given
  --write       after a whole run: write docs/mutants.md";

#[derive(Default)]
struct Asked {
    list: bool,
    only: Vec<String>,
    sample: Option<usize>,
    seed: Option<String>,
    again: Option<PathBuf>,
    suites: Vec<String>,
    write: bool,
}

fn asked(arguments: Vec<String>) -> Result<Asked, String> {
    let mut asked = Asked::default();
    let mut arguments = arguments.into_iter();
    while let Some(argument) = arguments.next() {
        let mut value = || {
            arguments
                .next()
                .ok_or(format!("{argument} wants a value\n{USAGE}"))
        };
        match argument.as_str() {
            "list" => asked.list = true,
            "--only" => asked.only.push(value()?),
            "--sample" => {
                asked.sample = Some(
                    value()?
                        .parse()
                        .map_err(|_| "--sample wants a number".to_owned())?,
                )
            }
            "--seed" => asked.seed = Some(value()?),
            "--again" => asked.again = Some(value()?.into()),
            "--suite" => asked.suites.push(value()?),
            "--write" => asked.write = true,
            _ => return Err(format!("unknown: {argument}\n{USAGE}")),
        }
    }
    Ok(asked)
}

fn told(arguments: Vec<String>) -> Result<bool, String> {
    let asked = asked(arguments)?;
    let root = Path::new(env!("CARGO_MANIFEST_DIR"))
        .ancestors()
        .nth(2)
        .ok_or("no root")?
        .to_owned();
    let mut config = Config::read(&root)?;
    if !asked.suites.is_empty() {
        config
            .suite
            .retain(|suite| asked.suites.contains(&suite.name));
    }
    let sources = config::sources(&root, &config.left_out)?;
    let mut all: Vec<Mutant> = Vec::new();
    let mut woven = Vec::new();
    for (file, source) in &sources {
        let found =
            find::mutants(file, source, &config.quantities).map_err(|e| format!("{file}: {e}"))?;
        // Numbers begin at one: nought is no mutant.
        woven.push((file, weave::weave(source, &found, all.len() + 1)));
        all.extend(found);
    }
    let chosen = choose(&all, &asked, &root)?;
    if asked.list {
        for index in chosen {
            println!("{}", all[index].name());
        }
        return Ok(true);
    }
    let known = known::Known::read(&root, &all)?;
    let suites = judge::build(&root, &woven, &config)?;
    let judged = judge::all(&suites, &all, &chosen, &root)?;
    let whole = chosen.len() == all.len() && asked.suites.is_empty();
    table::tell(&all, &judged, &known);
    if asked.write {
        if !whole {
            return Err(
                "the page tells of a whole run: without --only, --sample, --again and --suite"
                    .to_owned(),
            );
        }
        table::write(&root, &all, &judged, &known)?;
    }
    Ok(table::passes(&all, &judged, &known, whole))
}

/// Which mutants to try, as indices.
fn choose(all: &[Mutant], asked: &Asked, root: &Path) -> Result<Vec<usize>, String> {
    let missed = match &asked.again {
        Some(file) => Some(judge::missed(file)?),
        None => None,
    };
    let mut chosen: Vec<usize> = (0..all.len())
        .filter(|&index| {
            let name = all[index].name();
            (asked.only.is_empty() || asked.only.iter().any(|text| name.contains(text.as_str())))
                && missed.as_ref().is_none_or(|missed| missed.contains(&name))
        })
        .collect();
    if let Some(count) = asked.sample {
        let seed = match &asked.seed {
            Some(seed) => seed.clone(),
            None => config::commit(root)?,
        };
        println!("sample of {count} by seed {seed}");
        chosen = config::sample(chosen, count, &seed);
    }
    Ok(chosen)
}
