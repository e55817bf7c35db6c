//! A sweep as text: the map with the feasible region, what binds outside, the table.

use super::told;
use crate::report::{Style, duration, heading, paragraph};
use std::fmt::Write as _;
use twinplate_check::trials::NOMINAL_RUNS;
use twinplate_check::verdict::Verdict;
use twinplate_sim::math::{floor, max, min};
use twinplate_sim::model::Of;
use twinplate_sweep::points::{Point, Sweep};

/// Letters for what binds.
const LETTERS: [char; 26] = [
    'A', 'B', 'C', 'D', 'E', 'F', 'G', 'H', 'I', 'J', 'K', 'L', 'M', 'N', 'O', 'P', 'Q', 'R', 'S',
    'T', 'U', 'V', 'W', 'X', 'Y', 'Z',
];

/// What a point tells of its parts: size error, roughness, flatness.
pub(super) const OF: [Of; 3] = [Of::Size, Of::Finish, Of::Flatness];

/// Draws it.
pub(crate) fn draw(sweep: &Sweep, style: Style) -> String {
    let mut text = String::new();
    let [recipe, machine, batch] = &sweep.names;
    let _ = writeln!(
        text,
        "sweep of {recipe} on {machine} with {batch}\n{}\n",
        sweep.title
    );
    for axis in &sweep.axes {
        let (first, last) = (&axis.values[0], &axis.values[axis.values.len() - 1]);
        let told = format!(
            "{} from {first} to {last}, {} points",
            axis.label,
            axis.values.len()
        );
        paragraph(&mut text, "Swept    ", &told);
    }
    paragraph(&mut text, "Runs     ", &behind(sweep));
    for line in region(sweep) {
        paragraph(&mut text, "Feasible ", &line);
    }
    map(&mut text, sweep, style);
    table(&mut text, sweep, style);
    notes(&mut text, sweep, style);
    let verdict = Verdict::of(sweep.feasible().next().is_some());
    let _ = writeln!(text, "\nverdict: {}", verdict.word());
    text
}

/// How many runs stand behind each point.
pub(super) fn behind(sweep: &Sweep) -> String {
    let edge = sweep.edge.map_or_else(
        || "; look again with more, or check the point that you choose".to_owned(),
        |edge| {
            format!(
                "; {} where the feasible region ends",
                edge.max(sweep.draws) + NOMINAL_RUNS
            )
        },
    );
    format!(
        "{} behind each point: the nominal machine, plates cold and warm, and {} drawn from its envelope, seed {}{edge}",
        sweep.draws + NOMINAL_RUNS,
        sweep.draws,
        sweep.seed
    )
}

/// The feasible region in words.
pub(super) fn region(sweep: &Sweep) -> Vec<String> {
    let (good, all) = (sweep.feasible().count(), sweep.points.len());
    let mut lines = vec![format!("{good} of {all} points")];
    if let [axis] = &sweep.axes[..] {
        let mut from = None;
        for (index, point) in sweep.points.iter().enumerate() {
            let next = sweep.points.get(index + 1);
            if point.feasible() && from.is_none() {
                from = Some(index);
            }
            if let Some(first) = from.filter(|_| !next.is_some_and(Point::feasible)) {
                lines.push(format!(
                    "{} from {} to {}",
                    axis.label, axis.values[first], axis.values[index]
                ));
                from = None;
            }
        }
    }
    if let Some(fastest) = sweep.fastest() {
        lines.push(format!(
            "the shortest cycle, {}, is at {}",
            duration(fastest.time_s),
            place(sweep, fastest)
        ));
    }
    lines
}

/// Where a point is, in words.
pub(super) fn place(sweep: &Sweep, point: &Point) -> String {
    let values = sweep.axes.iter().zip(&point.values);
    let told: Vec<String> = values
        .map(|(axis, value)| format!("{} {value}", axis.key))
        .collect();
    told.join(", ")
}

/// The letter of what binds a point.
pub(super) fn letter(sweep: &Sweep, point: &Point) -> Option<char> {
    let binding = point.binding.as_ref()?;
    let place = sweep
        .bindings()
        .iter()
        .position(|(other, _)| *other == binding)?;
    Some(LETTERS.get(place).copied().unwrap_or('*'))
}

/// What each letter stands for.
pub(super) fn legend(sweep: &Sweep) -> Vec<(char, String)> {
    let bindings = sweep.bindings();
    bindings
        .iter()
        .enumerate()
        .map(|(place, (binding, count))| {
            let letter = LETTERS.get(place).copied().unwrap_or('*');
            let points = if *count == 1 {
                "1 point"
            } else {
                &format!("{count} points")
            };
            (
                letter,
                format!("{} ({}), {points}", binding.what, binding.code),
            )
        })
        .collect()
}

/// The cell of a point: its load margin in tens of percent, or the letter of what binds it.
fn cell(sweep: &Sweep, point: &Point) -> char {
    letter(sweep, point).unwrap_or_else(|| {
        let tens = floor(point.load_margin_pct.unwrap_or(0.0) / 10.0);
        // 0 to 9.
        #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)]
        let digit = max(min(tens, 9.0), 0.0) as u32;
        char::from_digit(digit, 10).unwrap_or('0')
    })
}

fn map(text: &mut String, sweep: &Sweep, style: Style) {
    let [across, along @ ..] = &sweep.axes[..] else {
        return;
    };
    heading(text, "Feasible region", style);
    let rows = along.first().map_or(1, |axis| axis.values.len());
    let lead = 10;
    if let Some(axis) = along.first() {
        let _ = writeln!(text, "{}", axis.label);
    }
    let at = |column: usize, row: usize| {
        let place: Vec<usize> = [column, row].into_iter().take(sweep.axes.len()).collect();
        sweep.point(&place)
    };
    let good = |column: usize, row: usize| at(column, row).is_some_and(Point::feasible);
    for row in (0..rows).rev() {
        let label = along.first().map_or("", |axis| &axis.values[row]);
        let _ = write!(text, "{label:>lead$} ");
        for column in 0..across.values.len() {
            let point = at(column, row);
            let found = point.map_or(' ', |point| cell(sweep, point));
            // The border of the feasible region.
            let before = column.checked_sub(1).is_some_and(|left| good(left, row));
            let border = if good(column, row) != before {
                '|'
            } else {
                ' '
            };
            let _ = write!(text, "{border}{found}");
        }
        let end = if good(across.values.len() - 1, row) {
            "|"
        } else {
            ""
        };
        let _ = writeln!(text, "{end}");
    }
    let (first, last) = (&across.values[0], &across.values[across.values.len() - 1]);
    let _ = writeln!(text, "{:>lead$}  {}: {first} to {last}", "", across.label);
    paragraph(
        text,
        "0-9  ",
        "feasible, between the bars: tens of percent that are left of the tightest load",
    );
    for (letter, told) in legend(sweep) {
        paragraph(text, &format!("{letter}    "), &told);
    }
}

fn table(text: &mut String, sweep: &Sweep, style: Style) {
    heading(text, "Points", style);
    let heads: Vec<String> = sweep
        .axes
        .iter()
        .map(|axis| axis.key.chars().take(8).collect())
        .collect();
    let units: Vec<&str> = sweep.axes.iter().map(|axis| axis.unit.as_str()).collect();
    let first =
        |words: &[String]| -> String { words.iter().map(|word| format!("{word:>8} ")).collect() };
    let units: Vec<String> = units.iter().map(|unit| (*unit).to_owned()).collect();
    let _ = writeln!(
        text,
        "{}  time   size     Ra   flat  load harm  runs",
        first(&heads)
    );
    let shown = &sweep.shown;
    let [size, finish, flat] = OF.map(|of| shown.symbol(of));
    let _ = writeln!(
        text,
        "{}     s {size:>6} {finish:>6} {flat:>6}  left",
        first(&units)
    );
    for point in &sweep.points {
        let numbers: Vec<String> = point
            .at
            .iter()
            .zip(&sweep.axes)
            .map(|(place, axis)| twinplate_check::finding::significant(axis.numbers[*place], 4))
            .collect();
        let load = point
            .load_margin_pct
            .map_or_else(|| "–".to_owned(), |p| format!("{p:.0} %"));
        let mark =
            letter(sweep, point).map_or_else(|| "ok".to_owned(), |letter| letter.to_string());
        let _ = writeln!(
            text,
            "{}{:>6.0} {:>6} {:>6} {:>6} {load:>5} {:>4} {:>5} {mark}",
            first(&numbers),
            point.time_s,
            told(shown, Some(OF[0]), point.size_um, 3),
            told(shown, Some(OF[1]), point.finish_um, 3),
            told(shown, Some(OF[2]), point.flatness_um, 3),
            point.harm,
            point.runs,
        );
    }
    paragraph(
        text,
        "",
        "Worst of the runs; time of the nominal machine. Without runs, what the closed form foretells. Size: error of the worst part. Load: what \
         is left under the tightest bound. Harm: runs with any.",
    );
}

/// What to know of how values went into the recipe.
pub(super) fn remarks(sweep: &Sweep) -> Vec<String> {
    sweep
        .axes
        .iter()
        .filter_map(|axis| Some(format!("{}: {}", axis.key, axis.note()?)))
        .collect()
}

fn notes(text: &mut String, sweep: &Sweep, style: Style) {
    let notes = remarks(sweep);
    if !notes.is_empty() {
        heading(text, "Notes", style);
    }
    for note in notes {
        paragraph(text, "", &format!("{note}."));
    }
}
