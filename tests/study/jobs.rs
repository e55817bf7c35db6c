//! Four jobs as a shop gets them, `tests/jobs`: a drawing, and what is typed of it and of the machine's plate.

use std::path::{Path, PathBuf};
use twinplate_sim::files::{load_batch, load_machine, render_errors};

const JOBS: [&str; 4] = [
    "sapphire-windows",
    "steel-seal-rings",
    "silicon-wafers",
    "ferrite-tiles",
];
/// Most values that a person is to type for a machine and a batch.
const TYPED: usize = 40;

fn folder(job: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("jobs").join(job)
}

/// Values in a file that are no names: numbers, and quantities, whose text begins with one.
fn values(text: &str) -> usize {
    let code = text.lines().filter(|line| !line.starts_with('#'));
    code.flat_map(|line| line.split(" = ").skip(1))
        .filter(|value| {
            value
                .trim_start_matches(['"', '-'])
                .starts_with(|first: char| first.is_ascii_digit())
        })
        .count()
}

/// Machine and batch of each job are whole files, and no more is typed in both than a person will bear.
#[test]
fn machine_and_batch_of_a_job_are_forty_values() {
    for job in JOBS {
        let files = ["machine.toml", "batch.toml"].map(|name| folder(job).join(name));
        load_machine(&files[0])
            .unwrap_or_else(|errors| panic!("{}", render_errors(&errors, false)));
        load_batch(&files[1]).unwrap_or_else(|errors| panic!("{}", render_errors(&errors, false)));
        let typed: usize = files
            .iter()
            .map(|file| values(&std::fs::read_to_string(file).expect("just read")))
            .sum();
        assert!(typed <= TYPED, "{job}: {typed} values");
        assert!(folder(job).join("drawing.txt").is_file());
    }
}
