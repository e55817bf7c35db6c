//! What each figure is in the time of the reference loop, and by how much it may be worse.

use std::process::ExitCode;

/// So much of its committed ratio a figure may be: machines differ a little in what they are good at, and no measurement is exact.
const WORST: f64 = 1.2;

/// The larger of the ratios on two machines: an Intel Xeon (2 threads, 2026-11-30), and the AMD EPYC of `docs/speed.md`, whose whole loops
/// are reckoned: 0.88 of its table, which is from before the cuts that its page tells.
const COMMITTED: [(&str, f64); 10] = [
    ("  with recorder, summary and hashes", 6.8),
    ("  without recorder", 6.5),
    ("controller, recorded inputs", 2.46),
    ("plant, 100 parts, recorded outputs", 3.42),
    ("hash", 0.53),
    ("summary", 0.35),
    ("recorder", 0.44),
    ("hash, summary and recorder", 1.05),
    ("loop, 3 parts", 6.2),
    ("loop, 1000 parts", 9.61),
];

/// Says which figures are worse than they may be, and which nobody measured.
pub fn judge(measured: &[(&str, f64)]) -> ExitCode {
    let mut code = ExitCode::SUCCESS;
    for (name, committed) in COMMITTED {
        let trimmed = name.trim();
        match measured.iter().find(|(measured, _)| *measured == name) {
            Some((_, ratio)) if *ratio <= committed * WORST => {}
            Some((_, ratio)) => {
                println!(
                    "WORSE: {trimmed}: {ratio:.2} x reference where {committed:.2} is committed"
                );
                code = ExitCode::FAILURE;
            }
            None => {
                println!("NOT MEASURED: {trimmed}");
                code = ExitCode::FAILURE;
            }
        }
    }
    code
}
