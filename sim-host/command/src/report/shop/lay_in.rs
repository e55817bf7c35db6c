//! Loads and pockets for a terminal, and the list of pockets.

use super::{bare, fine, minutes, number, thickness};
use crate::report::{Paint, Style, close, heading, paragraph};
use std::fmt::Write as _;
use twinplate_shop::lay_in::{Faces, LayInReport, Layout, Load, Ran, WAYS, Way};
use twinplate_sim::model::Of;

/// What everybody is told who loads a machine.
pub(super) const CAUTION: &str = "the plate is raised, pinned and held, the machine stands still and cannot start while hands are in it; carriers and broken \
     parts are sharp";

/// Draws the report; the last line is the verdict. `layout` gives the pockets of a load.
pub(crate) fn draw(
    report: &LayInReport,
    subject: &str,
    layout: &dyn Fn(&Load) -> Layout,
    style: Style,
) -> String {
    let mut text = String::new();
    let _ = writeln!(
        text,
        "{}",
        style.paint(Paint::Strong, &format!("lay-in {subject}"))
    );
    paragraph(&mut text, "", &lot(report));
    ways(&mut text, report, style);
    loads(&mut text, report, style);
    pockets(&mut text, report, layout, style);
    heading(&mut text, "What is left to decide", style);
    for line in advice(report) {
        paragraph(&mut text, "- ", &line);
    }
    text.push('\n');
    for note in &report.notes {
        paragraph(&mut text, "note: ", note);
    }
    let (kind, word) = if report.holds() {
        (Paint::Normal, "pass")
    } else {
        (Paint::Abnormal, "fail")
    };
    close(&mut text, CAUTION, kind, word, style);
    text
}

/// The list in a sentence.
pub(super) fn lot(report: &LayInReport) -> String {
    let [mean, deviation] = report.lot;
    let mut told = format!(
        "{}: {} parts, mean {}, standard deviation {}",
        report.file,
        report.parts.len(),
        thickness(&report.unit, mean),
        fine(&report.unit, deviation)
    );
    if !report.aside.is_empty() {
        let ids: Vec<&str> = report
            .aside
            .iter()
            .map(|part| report.parts[*part].id.as_str())
            .collect();
        let _ = write!(
            told,
            "; set aside, thinner than the target allows already: {}",
            ids.join(", ")
        );
    }
    told
}

/// Heads of the table of ways, and its rows.
pub(super) fn table_of_ways(report: &LayInReport) -> Vec<[String; 8]> {
    let (unit, load) = (&report.unit, report.shown.symbol(Of::Load));
    let mut rows = vec![
        [
            "", "contact", "pressed", "lean", "range", "range", "all", "loads",
        ]
        .map(str::to_owned),
        [
            "laid in",
            load,
            load,
            unit.fine,
            &format!("in {}", unit.fine),
            &format!("out {}", unit.fine),
            "min",
            "failed",
        ]
        .map(str::to_owned),
    ];
    rows.extend(WAYS.map(|way| {
        let total = report.total(way);
        [
            way.word().to_owned(),
            report.shown.bare(Of::Load, total.first_contact, 3),
            report.shown.bare(Of::Load, total.largest, 3),
            number(unit.finely(total.lean), 2),
            number(unit.finely(total.range_in), 3),
            number(unit.finely(total.range_out), 2),
            minutes(total.time),
            format!("{} of {}", total.failed, report.ways[way as usize].len()),
        ]
    }));
    rows
}

/// What the columns of the ways say.
pub(super) fn ways_told(report: &LayInReport) -> String {
    format!(
        "contact: largest first contact on one part, by the layout's worst share whatever the thicknesses; pressed: largest load on one part after it (a part may crack at {}); lean: of the \
         plate, across; range: thickest less thinnest part of a load, as it comes in and as it goes out; all: time of all cycles. Worst of \
         all loads, each run on the machine as its file says with those very thicknesses.",
        report.shown.say(Of::Load, report.strength, 3)
    )
}

fn ways(text: &mut String, report: &LayInReport, style: Style) {
    heading(text, "Three ways to lay them in", style);
    for row in table_of_ways(report) {
        let [way, cells @ ..] = row;
        let mut line = format!("{way:<13}");
        for (cell, wide) in cells.iter().zip([8, 8, 7, 9, 9, 7, 9]) {
            let _ = write!(line, "{cell:>wide$}");
        }
        let _ = writeln!(text, "{}", line.trim_end());
    }
    paragraph(text, "", &ways_told(report));
}

/// Rows of the table of loads.
pub(super) fn table_of_loads(report: &LayInReport) -> Vec<[String; 8]> {
    let unit = &report.unit;
    let mut rows = vec![
        [
            "load",
            "parts",
            "dummies",
            "thinnest",
            "thickest",
            &format!("pressed {}", report.shown.symbol(Of::Load)),
            &format!("range {}", unit.fine),
            "min",
        ]
        .map(str::to_owned),
    ];
    rows.extend(report.loads().iter().enumerate().map(|(at, load)| {
        let ran = load.ran.as_ref().ok();
        let of = |value: &dyn Fn(&Ran) -> String| ran.map_or_else(|| "-".to_owned(), value);
        [
            (at + 1).to_string(),
            load.parts().to_string(),
            load.dummies().to_string(),
            bare(unit, load.ends[0]),
            bare(unit, load.ends[1]),
            of(&|ran| report.shown.bare(Of::Load, ran.largest, 3)),
            of(&|ran| number(unit.finely(ran.thickness.max - ran.thickness.min), 2)),
            of(&|ran| ran.time.map_or_else(|| "-".to_owned(), minutes)),
        ]
    }));
    rows
}

fn loads(text: &mut String, report: &LayInReport, style: Style) {
    heading(
        text,
        &format!("Loads, balanced ({})", report.unit.symbol),
        style,
    );
    for row in table_of_loads(report) {
        let mut line = String::new();
        for (cell, wide) in row.iter().zip([4, 7, 9, 10, 10, 11, 10, 6]) {
            let _ = write!(line, "{cell:>wide$}");
        }
        let _ = writeln!(text, "{}", line.trim_end());
    }
    for line in ended(report) {
        paragraph(text, "- ", &line);
    }
}

/// Loads that do not hold, and how they ended.
pub(super) fn ended(report: &LayInReport) -> Vec<String> {
    let all = report.loads().iter().enumerate();
    all.filter_map(|(at, load)| match &load.ran {
        Ok(ran) if ran.holds => None,
        Ok(ran) => Some(format!("load {}: {}", at + 1, ran.ending)),
        Err(why) => Some(format!("load {}: not run: {why}", at + 1)),
    })
    .collect()
}

fn pockets(
    text: &mut String,
    report: &LayInReport,
    layout: &dyn Fn(&Load) -> Layout,
    style: Style,
) {
    heading(text, "Pockets, from the first of each carrier on", style);
    for (at, load) in report.loads().iter().enumerate() {
        let layout = layout(load);
        let mut rows: Vec<(u32, u32, &str)> = load
            .pieces
            .iter()
            .zip(&layout.laid)
            .map(|(part, lies)| {
                let id = part.map_or("dummy", |part| report.parts[part].id.as_str());
                (lies.pocket.carrier, lies.pocket.pocket, id)
            })
            .collect();
        rows.sort_unstable();
        let mut carriers: Vec<u32> = rows.iter().map(|row| row.0).collect();
        carriers.dedup();
        for carrier in carriers {
            let here = rows.iter().filter(|row| row.0 == carrier);
            let ids: Vec<&str> = here.map(|row| row.2).collect();
            let first = format!("load {}, carrier {}: ", at + 1, carrier + 1);
            paragraph(text, &first, &ids.join(", "));
        }
    }
}

/// Dummies, turning over, changing places: what follows from the runs, and what no run can say.
pub(super) fn advice(report: &LayInReport) -> Vec<String> {
    let unit = &report.unit;
    let mut told = Vec::new();
    if let Some((at, load)) = report
        .loads()
        .iter()
        .enumerate()
        .find(|(_, load)| load.dummies() > 0)
    {
        told.push(format!(
            "load {}: {} dummies of {}, the mean of its parts; none thicker than {}, which would meet the plate before the parts, none \
             thinner than {}, which would bear nothing until the parts are down to it",
            at + 1,
            load.dummies(),
            thickness(unit, load.dummy),
            thickness(unit, load.ends[1]),
            thickness(unit, load.ends[0])
        ));
    }
    match &report.unfilled {
        None => {}
        Some(Err(why)) => {
            told.push(format!("with those pockets empty, at the same pressure: {why}"));
        }
        Some(Ok(ran)) => told.push(format!(
            "with those pockets empty, at the same pressure: {}, at most {} on a part, range {} at the end, {}",
            if ran.holds { "it holds too" } else { &ran.ending },
            report.shown.say(Of::Load, ran.largest, 3),
            fine(unit, ran.thickness.max - ran.thickness.min),
            ran.time.map_or_else(
                || "not finished".to_owned(),
                |time| format!("{} min", minutes(time))
            )
        )),
    }
    told.extend(report.faces.iter().map(|faces| turning(report, faces)));
    told.push(places(report));
    told
}

fn turning(report: &LayInReport, faces: &Faces) -> String {
    let unit = &report.unit;
    let [lower, upper] = faces.removed.map(|removed| fine(unit, removed));
    let why = if faces.turn_over() {
        "turn every part over at half of its stock"
    } else if faces.left > faces.allowed {
        "turning over would not bring it under: more stock must come off, or a finer grain"
    } else {
        "no need to turn parts over"
    };
    format!(
        "faces: the lower loses {lower}, the upper {upper}; damage left {} at most, allowed {}; turned over at half of its stock the mean \
         part would keep {} (arithmetic, no run: the model laps a batch without a stop, and knows nothing of a second seating): {why}",
        fine(unit, faces.left),
        fine(unit, faces.allowed),
        fine(unit, faces.turned)
    )
}

fn places(report: &LayInReport) -> String {
    let unit = &report.unit;
    let [as_listed, _, balanced] = WAYS.map(|way| report.total(way).lean);
    format!(
        "changing places between steps would even out what a leaning plate leaves; balanced, it leans by {} at most, as listed by {}. The \
         model cannot stop between steps and try it, nor does a turned carrier or part take out taper by itself",
        fine(unit, balanced),
        fine(unit, as_listed)
    )
}

/// The list of pockets as CSV.
pub(crate) fn csv(report: &LayInReport, layout: &dyn Fn(&Load) -> Layout) -> String {
    let mut text = format!(
        "load,carrier,pocket,part,thickness [{}]\n",
        report.unit.symbol
    );
    for (at, load) in report.loads().iter().enumerate() {
        let layout = layout(load);
        let mut rows: Vec<(u32, u32, Option<usize>)> = load
            .pieces
            .iter()
            .zip(&layout.laid)
            .map(|(part, lies)| (lies.pocket.carrier + 1, lies.pocket.pocket + 1, *part))
            .collect();
        rows.sort_unstable();
        for (carrier, pocket, part) in rows {
            let (id, metres) = part.map_or(("dummy", load.dummy), |part| {
                let part = &report.parts[part];
                (part.id.as_str(), part.thickness)
            });
            let _ = writeln!(
                text,
                "{},{carrier},{pocket},{},{}",
                at + 1,
                quoted(id),
                bare(&report.unit, metres)
            );
        }
    }
    text
}

/// A cell as CSV has it (RFC 4180).
fn quoted(cell: &str) -> String {
    if cell.contains([',', '"', ';', '\t']) {
        format!("\"{}\"", cell.replace('"', "\"\""))
    } else {
        cell.to_owned()
    }
}

/// The way that is recommended, and the one that the list has.
pub(super) const ENDS: [Way; 2] = [WAYS[0], WAYS[WAYS.len() - 1]];
