//! Trade units beside SI: pounds-force, psi, inches and micro-inches. Nothing is computed in them.

use std::fmt::Write as _;
use twinplate_check::finding::significant;
use twinplate_check::verdict::CheckReport;
use twinplate_sim::files::{INCH, POUND_FORCE, PSI};

/// The numbers of a report that a shop says in trade units.
#[must_use]
pub fn table(report: &CheckReport) -> String {
    let mut text = String::from("In trade units\n");
    let micro = |um: f64| significant(um * 1e-6 / INCH * 1e6, 3);
    let inches = |um: f64| format!("{:.5}", um * 1e-6 / INCH);
    // Writing to a String cannot fail.
    let _ = writeln!(
        text,
        "{:<16} {:>10} {:>10} {:>24}",
        "step", "load lbf", "psi", "µin low/up removed"
    );
    for step in &report.steps {
        let removed = format!(
            "{} {}",
            micro(step.removal_lower_um),
            micro(step.removal_upper_um)
        );
        let _ = writeln!(
            text,
            "{:<16} {:>10} {:>10} {removed:>24}",
            step.name,
            significant(step.load_n / POUND_FORCE, 4),
            significant(step.pressure_pa / PSI, 3),
        );
    }
    let thickness = &report.prediction.thickness_um;
    let [target, tolerance] = report.subject.size_um;
    let _ = writeln!(
        text,
        "thickness {} in, parts {} to {} in; target {} ± {} in",
        inches(thickness.mean),
        inches(thickness.min),
        inches(thickness.max),
        inches(target),
        inches(tolerance)
    );
    let _ = writeln!(
        text,
        "roughness Ra {} µin, target {} µin",
        micro(report.prediction.roughness_um),
        micro(report.subject.finish_um)
    );
    text
}
