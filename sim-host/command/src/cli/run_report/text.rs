//! The report of `run` for a terminal: 80 columns, the verdict in the last line.

use super::RunReport;
use crate::report::{Cycle, Paint, Style, counted, heading, plan, ribbon, unit_of, wrap};
use std::fmt::Write as _;
use twinplate_check::finding::significant;
use twinplate_check::inspection::FacesReport;
use twinplate_check::verdict::FormReport;
use twinplate_check::verdict::targets::sizes;
use twinplate_sim::bench::columns;
use twinplate_sim::model::{Of, Shown};

impl RunReport {
    /// Text; `told` are lines about what was written.
    pub fn text(&self, cycle: &Cycle, told: &[String], style: Style) -> String {
        let mut text = String::new();
        self.head(&mut text, style);
        self.phase_table(&mut text, style);
        self.step_table(&mut text, style);
        self.requirement_table(&mut text, style);
        text.push('\n');
        text.push_str(&ribbon::draw(cycle, style));
        text.push('\n');
        let mut line = |content: &str| {
            text.push_str(content);
            text.push('\n');
        };
        line(&format!("control hash {}", self.control_hash));
        if let Some(hash) = &self.trace_hash {
            line(&format!(
                "trace hash   {hash} (columns {})",
                columns::TRACE_VERSION
            ));
        }
        match self.same_as_journal {
            Some(true) => line("the same run as the journal's"),
            Some(false) => {
                line("NOT the run of the journal: ticks, control hash or margin differ");
            }
            None => {}
        }
        if let Some(sought) = &self.sought {
            line(&format!(
                "sought: {}, margin {} {} of {} {}; the journal says {}",
                sought.requirement,
                counted(&self.shown, sought.of, sought.margin, 4),
                unit_of(&self.shown, sought.of, sought.unit),
                counted(&self.shown, sought.of, sought.limit, 4),
                unit_of(&self.shown, sought.of, sought.unit),
                counted(&self.shown, sought.of, sought.journal, 4)
            ));
        }
        if let Some(board) = &self.board {
            line(board.text().trim_end());
        }
        told.iter().for_each(|about| line(about));
        let kind = if self.passes() {
            Paint::Normal
        } else {
            Paint::Danger
        };
        line(&style.paint(kind, &format!("verdict: {}", self.verdict.word())));
        text
    }

    fn head(&self, text: &mut String, style: Style) {
        let shown = &self.shown;
        let mut lines = vec![format!(
            "run {} on {} with {}",
            self.recipe, self.machine, self.batch
        )];
        if let Some(scenario) = &self.scenario {
            lines.push(format!("scenario {scenario}"));
        }
        lines.extend(self.drawn());
        lines.push(String::new());
        lines.push(self.ending());
        if let Some(cause) = &self.cause {
            lines.push(format!(
                "first cause: {} (row {}) at {:.3} s: {} {}",
                cause.name, cause.id, cause.time_s, cause.happened, cause.cure
            ));
        }
        if !self.missing.is_empty() {
            lines.push(format!(
                "start refused; missing: {}",
                self.missing.join(", ")
            ));
        }
        lines.extend(self.refused.iter().map(|what| format!("refused at {what}")));
        lines.extend(
            self.never
                .iter()
                .map(|what| format!("NEVER HAPPENED: {what}")),
        );
        lines.push(format!(
            "peak load {} with runout, rated {}",
            shown.tell(Of::Load, self.peak_load_n, 4),
            shown.tell(Of::Load, self.rated_load_n, 4)
        ));
        if let Some(part) = self.largest_part {
            lines.push(part.words(shown));
            lines.push(self.leaning.words(shown));
        }
        let thickness = &self.thickness_um;
        lines.push(format!(
            "mean size {}, {}, sd {}; Ra {}; {}slurry {}",
            shown.fixed_with(Of::Size, thickness.mean, 1),
            sizes(shown, thickness.min, thickness.max),
            shown.fixed(Of::Size, thickness.sd, 2),
            shown.tell(Of::Finish, self.roughness_um, 2),
            self.damage_told(),
            shown.tell(Of::Volume, self.slurry_l, 2)
        ));
        lines.push(form_line(&self.form, shown));
        lines.extend(self.faces.as_ref().map(FacesReport::words));
        lines.push(plan::worn_words(&self.map, shown));
        lines.push(if self.harm.is_empty() {
            "no harm".to_owned()
        } else {
            let named: Vec<String> = self
                .harm
                .iter()
                .map(|harm| format!("{} (worst {})", harm.what, significant(harm.worst, 3)))
                .collect();
            format!("HARM: {}", named.join(", "))
        });
        for (index, content) in lines.iter().enumerate() {
            if content.is_empty() {
                text.push('\n');
            }
            for part in wrap(content, style.width) {
                let shown = if index == 0 {
                    style.paint(Paint::Strong, &part)
                } else {
                    part
                };
                // Writing to a String cannot fail.
                let _ = writeln!(text, "{shown}");
            }
        }
    }

    fn phase_table(&self, text: &mut String, style: Style) {
        heading(text, "Phases", style);
        let _ = writeln!(
            text,
            "{:<12} {:<18} {:>4} {:>10} {:>10} {:>10}",
            "state", "phase", "step", "start s", "end s", "lasted s"
        );
        for row in &self.phases {
            let step = if row.step == 0 {
                String::new()
            } else {
                row.step.to_string()
            };
            let _ = writeln!(
                text,
                "{:<12} {:<18} {step:>4} {:>10.3} {:>10.3} {:>10.3}",
                row.state.word(),
                row.phase.word(),
                row.start_s,
                row.end_s,
                row.end_s - row.start_s
            );
        }
    }

    fn step_table(&self, text: &mut String, style: Style) {
        let load = |load: f64| self.shown.fixed(Of::Load, load, 1);
        heading(
            text,
            &format!(
                "Load by step, {} (true load, runout taken out)",
                self.shown.symbol(Of::Load)
            ),
            style,
        );
        let _ = writeln!(
            text,
            "{:<16} {:>8} {:>8} {:>8} {:>8} {:>9} {:>8} {:>7}",
            "step", "setpoint", "peak", "limit", "margin", "overshoot", "dwell s", "in band"
        );
        let number = |value: Option<f64>| value.map_or_else(|| "-".to_owned(), load);
        for step in &self.steps {
            let _ = writeln!(
                text,
                "{:<16} {:>8} {:>8} {:>8} {:>8} {:>9} {:>8.1} {:>5.1} %",
                step.name,
                load(step.setpoint_n),
                number(step.peak_n),
                load(step.limit_n),
                number(step.margin_n),
                number(step.overshoot_n),
                step.dwell_s,
                step.in_band * 100.0
            );
        }
    }

    fn requirement_table(&self, text: &mut String, style: Style) {
        heading(text, "What the run must hold", style);
        for held in &self.requirements {
            let row = format!(
                "{:<28} {:>12} {:>12} {:>4}  {}",
                held.what,
                counted(&self.shown, held.of, held.value, 4),
                counted(&self.shown, held.of, held.limit, 4),
                unit_of(&self.shown, held.of, held.unit),
                if held.holds { "holds" } else { "BROKEN" }
            );
            let shown = if held.holds {
                row
            } else {
                style.paint(Paint::Danger, &row)
            };
            let _ = writeln!(text, "{shown}");
        }
    }
}

/// Form of parts and plates in one line.
fn form_line(form: &FormReport, shown: &Shown) -> String {
    let [least, most] = form.pressure_pct;
    let [lower, upper] = form.plates_um.map(|plate| shown.signed(Of::Form, plate, 2));
    format!(
        "flat to {} ({:.1} light bands), parallel to {}; pressure along the path {least} to {most} % of the mean; \
         plates {lower} and {} convex",
        shown.fixed_with(Of::Flatness, form.flatness_um, 2),
        form.flatness_bands,
        shown.fixed_with(Of::Parallelism, form.parallelism_um, 2),
        shown.with(Of::Form, &upper)
    )
}
