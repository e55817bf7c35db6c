//! A load cell's calibration for a terminal.

use super::{chance, interval, number, standing_out};
use crate::report::{Paint, Style};
use crate::report::{close, heading, paragraph};
use std::fmt::Write as _;
use twinplate_calibrate::cell::{By, CellReport, DEVIATIONS, LowerLimit, lowest_share};

/// What everybody is told who hangs weights on a cell.
pub(super) const CAUTION: &str = "dead weights are lifted loads: rated gear, nobody under or beside them, and the local code; the machine is \
     isolated and its plate held mechanically while anybody works at the cell. A calibration that others rely on is the business of an \
     accredited laboratory.";

/// Draws the report; the last line is the verdict.
pub(crate) fn draw(report: &CellReport, style: Style) -> String {
    let mut text = String::new();
    let _ = writeln!(text, "{}", style.paint(Paint::Strong, "calibrate cell"));
    paragraph(&mut text, "", &subject(report));
    for note in &report.notes {
        paragraph(&mut text, "note: ", note);
    }
    degrees(&mut text, report, style);
    coefficients(&mut text, report, style);
    heading(
        &mut text,
        "Lower limit, as ASTM E74 has it (from memory)",
        style,
    );
    for line in lower_limit(report) {
        paragraph(&mut text, "", &line);
    }
    class(&mut text, report, style);
    heading(&mut text, "Diagnostics", style);
    for line in diagnostics(report) {
        paragraph(&mut text, "- ", &line);
    }
    if let Some(lines) = keys(report) {
        heading(&mut text, "For the machine file", style);
        for line in lines {
            paragraph(&mut text, "", &line);
        }
    }
    text.push('\n');
    let kind = if report.fits {
        Paint::Normal
    } else {
        Paint::Abnormal
    };
    close(&mut text, CAUTION, kind, &verdict(report), style);
    text
}

/// File, readings, loads.
pub(super) fn subject(report: &CellReport) -> String {
    let [readings, loads] = report.lower_limit.counted;
    let top = report.points.iter().fold(
        0.0,
        |most, [load, _]| if *load > most { *load } else { most },
    );
    format!(
        "{}: {readings} readings of {loads} loads to {} {}{}",
        report.file,
        number(top, 6),
        report.load_unit,
        report
            .reading_unit
            .as_ref()
            .map_or_else(String::new, |unit| format!(", reading in {unit}"))
    )
}

/// The unit of the readings with a blank before it, where there is one.
pub(super) fn unit(report: &CellReport) -> String {
    report
        .reading_unit
        .as_ref()
        .map_or_else(String::new, |unit| format!(" {unit}"))
}

pub(super) const fn by(by: By) -> &'static str {
    match by {
        By::LackOfFit => "Degree, by lack of fit against the scatter of repeats",
        By::NextDegree => "Degree, by what the next two take off the residuals (no repeats)",
    }
}

fn degrees(text: &mut String, report: &CellReport, style: Style) {
    heading(text, by(report.by), style);
    let _ = writeln!(
        text,
        "{:>6}{:>13}{:>10}{:>10}{:>10}",
        "degree", "residual", "F", "freedom", "chance"
    );
    for tried in &report.tried {
        let cells = tried.test.map_or_else(
            || ["-".to_owned(), "-".to_owned(), "-".to_owned()],
            |test| {
                let [upper, lower] = test.freedom;
                [
                    number(test.f, 4),
                    format!("{upper}, {lower}"),
                    chance(test.chance),
                ]
            },
        );
        let word = if tried.degree == report.degree {
            if tried.fits { "chosen" } else { "nearest" }
        } else if tried.fits {
            ""
        } else {
            "no"
        };
        let line = format!(
            "{:>6}{:>13}{:>10}{:>10}{:>10}  {word}",
            tried.degree,
            number(tried.deviation, 4),
            cells[0],
            cells[1],
            cells[2]
        );
        let _ = writeln!(text, "{}", line.trim_end());
    }
}

fn coefficients(text: &mut String, report: &CellReport, style: Style) {
    heading(text, "Reading over load, coefficients of its powers", style);
    let _ = writeln!(
        text,
        "{:>5}{:>20}{:>14}{:>19}",
        "power", "coefficient", "deviation", "95 % within"
    );
    for (power, found) in report.coefficients.iter().enumerate() {
        let _ = writeln!(
            text,
            "{power:>5}{:>20}{:>14}{:>19}",
            format!("{:.11e}", found.value),
            format!("{:.4e}", found.deviation),
            format!("± {:.4e}", 0.5 * (found.high - found.low))
        );
    }
    paragraph(
        text,
        "",
        &format!(
            "residual deviation {}{}, {} degrees of freedom; the load in {}",
            number(report.deviation, 5),
            unit(report),
            report.freedom,
            report.load_unit
        ),
    );
}

/// The factor and what follows from it.
pub(super) fn lower_limit(report: &CellReport) -> Vec<String> {
    let LowerLimit {
        factor,
        lacks,
        ranges,
        ..
    } = &report.lower_limit;
    let load = report.load_unit;
    let mut told = vec![format!(
        "factor {} {load}: {DEVIATIONS} residual deviations, by the mean of load over deflection",
        number(*factor, 5)
    )];
    for (class, from, range) in ranges {
        let share = number(100.0 * lowest_share(class), 2);
        told.push(match range {
            Some([low, high]) => format!(
                "class {class}: {} to {} {load} ({share} % at the lower end)",
                number(*low, 5),
                number(*high, 5)
            ),
            None if lacks.is_empty() => format!(
                "class {class}: not reached; it would begin at {} {load}",
                number(*from, 5)
            ),
            None => format!(
                "class {class}: not claimed; it would begin at {} {load}",
                number(*from, 5)
            ),
        });
    }
    if !lacks.is_empty() {
        told.push(format!("no class can be claimed: {}", lacks.join("; ")));
    }
    told
}

fn class(text: &mut String, report: &CellReport, style: Style) {
    let class = &report.class;
    heading(
        text,
        "Class of a force-proving instrument, as ISO 376 has it (from memory)",
        style,
    );
    if class
        .criteria
        .iter()
        .any(|criterion| !criterion.found.is_empty())
    {
        let _ = writeln!(
            text,
            "{:<26}{:>12}{:>14}{:>8}",
            "worst from half load up", "share", "at", "allows"
        );
        for criterion in &class.criteria {
            let Some(worst) = criterion.worst(class.from) else {
                continue;
            };
            let _ = writeln!(
                text,
                "{:<26}{:>12}{:>14}{:>8}",
                criterion.name,
                format!("{} %", number(100.0 * worst.share, 3)),
                worst.load.map_or_else(
                    || "-".to_owned(),
                    |load| format!("{} {}", number(load, 4), report.load_unit)
                ),
                criterion.allows(class.from).unwrap_or("none")
            );
        }
    }
    paragraph(text, "", &class_told(report));
    for lack in &class.lacks {
        paragraph(text, "- ", lack);
    }
}

/// The class in a sentence.
pub(super) fn class_told(report: &CellReport) -> String {
    let class = &report.class;
    match class.class {
        Some((name, [low, high])) => {
            format!(
                "class {name} from {} to {} {}",
                number(low, 5),
                number(high, 5),
                report.load_unit
            )
        }
        None if class.lacks.is_empty() => "no class: a quantity is beyond all of them".to_owned(),
        None => "no class is claimed; the sheet lacks".to_owned(),
    }
}

/// What the rows say of themselves.
pub(super) fn diagnostics(report: &CellReport) -> Vec<String> {
    let unit = unit(report);
    let mut told = standing_out(&report.rows, report.coefficients.len(), |row| {
        format!("{}{unit}", number(row.residual, 3))
    });
    let [share, load] = report.nonlinearity;
    told.push(format!(
        "off the straight line through the largest load by {} % of the span, at {} {}",
        number(100.0 * share, 3),
        number(load, 5),
        report.load_unit
    ));
    if let Some(spread) = report.spread {
        told.push(format!(
            "repeats of one load differ by up to {} % of the span",
            number(100.0 * spread, 3)
        ));
    }
    if let Some(hysteresis) = report.hysteresis {
        told.push(format!(
            "falling loads differ from rising ones by up to {} % of the span",
            number(100.0 * hysteresis, 3)
        ));
    }
    told
}

/// The keys of the machine file, where there is one.
pub(super) fn keys(report: &CellReport) -> Option<Vec<String>> {
    let keys = report.keys.as_ref()?;
    let mut told = vec![format!(
        "nonlinearity {} % of the range",
        interval(&keys.nonlinearity.mapped(|share| 100.0 * share), 4)
    )];
    if let Some(counts) = &keys.counts_at_range {
        told.push(format!("counts at the range {}", interval(counts, 7)));
    }
    told.push(format!(
        "the loads reach {} % of the cell's range",
        number(100.0 * keys.reach, 3)
    ));
    Some(told)
}

/// The verdict in a line.
pub(super) fn verdict(report: &CellReport) -> String {
    format!(
        "degree {} {}, lower limit factor {} {}, {}",
        report.degree,
        if report.fits {
            "fits"
        } else {
            "is nearest, none fits"
        },
        number(report.lower_limit.factor, 4),
        report.load_unit,
        match report.class.class {
            Some((name, _)) => format!("class {name}"),
            None => "no class".to_owned(),
        }
    )
}
