//! Trade units beside SI: pounds-force, psi, inches and micro-inches. Nothing is computed in them.

use std::fmt::Write as _;
use twinplate_check::finding::significant;
use twinplate_check::verdict::CheckReport;
use twinplate_sim::files::Set;

/// Newtons in a pound-force, exact (NIST SP 811, B.8: pound 0.453 592 37 kg, standard gravity 9.806 65 m/s²).
const POUND_FORCE: f64 = 4.448_221_615_260_5;
/// Metres in an inch, exact (NIST SP 811, B.8).
const INCH: f64 = 0.0254;
/// Pascals in a psi: pounds-force on a square inch.
const PSI: f64 = POUND_FORCE / (INCH * INCH);

/// Units that make a file a trade file, as they stand at the end of a quoted quantity.
const TRADE_WORDS: [&str; 7] = ["psi", "lbf", "in", "uin", "µin", "μin", "lbf·in"];

/// Whether a file's text has a quantity in a trade unit.
fn used_in(text: &str) -> bool {
    // Comments apart, every odd piece between quotation marks is a quoted text; quantities hold no marks of their own.
    text.lines()
        .map(|line| line.split('#').next().unwrap_or(""))
        .flat_map(|line| line.split('"').skip(1).step_by(2))
        .filter_map(|quoted| quoted.rsplit_once(' '))
        .any(|(number, unit)| TRADE_WORDS.contains(&unit) && number.trim().parse::<f64>().is_ok())
}

/// Whether recipe, machine or batch has one.
#[must_use]
pub fn used_in_any(set: &Set) -> bool {
    [&set.recipe.text, &set.machine.text, &set.batch.text]
        .into_iter()
        .any(|text| used_in(text))
}

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

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_psi_is_what_nist_says() {
        // NIST SP 811 (2008), B.8: psi to pascal, 6.894 757 E+03.
        assert!((PSI - 6894.757).abs() < 5e-4, "{PSI}");
    }

    #[test]
    fn trade_files_are_known_by_their_quantities() {
        assert!(used_in("pressure = \"2 psi\""));
        assert!(used_in("size = { a = \"1 mm\", b = \"0.5 in\" }"));
        assert!(!used_in("pressure = \"14 kPa\" # \"2 psi\""));
        assert!(!used_in("title = \"parts come in\""));
        assert!(!used_in(""));
    }
}
