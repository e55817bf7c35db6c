//! The fault matrix as text for a terminal and as tables for the book.

use crate::report::wrap;
use firmware_core::status::Response;
use std::fmt::Write as _;
use twinplate_falsify::faults::counts::Counts;
use twinplate_falsify::faults::fork::{Ending, Seen, Tried};
use twinplate_falsify::faults::harms::Kind;
use twinplate_falsify::faults::moments::Column;
use twinplate_falsify::faults::pairs::Pair;
use twinplate_falsify::faults::unnoticed::unnoticed;
use twinplate_falsify::faults::{Cell, Matrix};
use twinplate_sim::model::{Of, Shown, significant};
use twinplate_sim::plant::fault_table::{SUPPORTED, Supported, mode_name, name};

/// Width of a terminal line.
const WIDTH: usize = 80;

fn seconds(ticks: u32) -> f64 {
    f64::from(ticks) * 1e-3
}

/// The numbers of a matrix, each with what it counts.
#[must_use]
pub fn numbers(matrix: &Matrix) -> Vec<(&'static str, String)> {
    let counts = Counts::of(matrix);
    let mut numbers: Vec<(&str, String)> = [
        ("cells run", counts.ran),
        ("not possible there", counts.refused),
        ("answered by a stop, hold or inhibit", counts.acted),
        ("answered by an alarm alone", counts.alarmed),
        ("no row asked", counts.silent),
        ("declared harm", counts.declared),
        ("undeclared harm", counts.undeclared),
        ("response or time other than declared", counts.differing),
    ]
    .map(|(what, count)| (what, count.to_string()))
    .into();
    let slowest = format!("{:.1}", counts.slowest);
    numbers.push(("slowest to the safe state, seen at once, s", slowest));
    numbers.extend(pair_numbers(matrix).map(|(what, count)| (what, count.to_string())));
    numbers
}

/// The summary for a terminal, without the verdict.
#[must_use]
pub fn summary(matrix: &Matrix) -> String {
    let mut text = String::new();
    // Writing to a String cannot fail.
    let _ = writeln!(
        text,
        "Fault matrix of {} on {}: {} faults x {} phases x 3 moments\n",
        matrix.recipe,
        matrix.machine,
        SUPPORTED.len(),
        matrix.columns.len()
    );
    for (what, number) in numbers(matrix) {
        let _ = writeln!(text, "  {what:<42} {number:>6}");
    }
    let unlisted = matrix.unlisted();
    if !unlisted.is_empty() {
        text.push_str("\nNo row asks for these in any phase, and they are not listed as such:\n");
        for fault in unlisted {
            let _ = writeln!(text, "  {}", pair(fault));
        }
    }
    text
}

/// Where a cell is and what is wrong with it, a line each.
#[must_use]
pub fn wrong(cell: &Cell, shown: &Shown) -> String {
    let mut text = format!(
        "{} in {}, {}\n",
        pair(cell.fault),
        cell.column.word(),
        cell.moment.name()
    );
    for difference in &cell.differences {
        for (index, line) in wrap(&difference.to_string(), WIDTH - 4).iter().enumerate() {
            let indent = if index == 0 { "  " } else { "    " };
            let _ = writeln!(text, "{indent}{line}");
        }
    }
    for harm in cell.harms.iter().filter(|harm| harm.reason.is_none()) {
        let stated = harm.kind.stated();
        let _ = writeln!(
            text,
            "  undeclared harm to {}: {} (worst {})",
            stated.severity.word(),
            stated.name,
            worst(harm.kind, harm.worst, shown)
        );
    }
    text
}

/// What is wrong with a cell, and what to look at.
#[must_use]
pub fn failure(cell: &Cell, shown: &Shown) -> String {
    let mut text = wrong(cell, shown);
    for cure in &cell.cures {
        for (index, line) in wrap(&cure.words, WIDTH - 12).iter().enumerate() {
            let label = if index == 0 { "look at:" } else { "" };
            let _ = writeln!(text, "  {label:<9}{line}");
        }
    }
    text
}

/// The worst of a harm, as its monitor counts it, in words.
fn worst(kind: Kind, value: f64, shown: &Shown) -> String {
    let number = |value: f64| significant(value, 3);
    match kind {
        Kind::PartOverload => format!("{} times its strength", number(value)),
        Kind::DryTurning => format!("{} % of the film", number(100.0 * value)),
        Kind::LiftTurning => format!("{} rad/s", number(value)),
        Kind::OutOfRatio => format!("{} % of the fastest drive", number(100.0 * value)),
        Kind::Hot => {
            let [here, over] = [0.0, value].map(|at| shown.again(Of::Temperature, at));
            let unit = match shown.symbol(Of::Temperature) {
                "°C" => "K",
                other => other,
            };
            format!("{} {unit} over", number(over - here))
        }
        Kind::PressingOpen => format!("{} % of full force", number(100.0 * value)),
        Kind::MovingOpen => format!("{} times what is still", number(value)),
        Kind::Fell => format!("{} times fast descent", number(value)),
        Kind::OnCarriers | Kind::AboveRated => shown.say(Of::Load, value, 4),
        Kind::OffSize => shown.say(Of::Size, value, 3),
    }
}

/// Harm of one kind that one fault did and is declared to do.
#[derive(Clone, Debug, PartialEq)]
pub struct DeclaredHarm {
    /// The fault.
    pub fault: String,
    /// Kind of harm.
    pub kind: Kind,
    /// Phases in which the fault began.
    pub phases: Vec<&'static str>,
    /// Cells in which it was seen.
    pub cells: usize,
    /// Worst of them, in the monitor's unit.
    pub worst: f64,
    /// Why no controller prevents it.
    pub reason: &'static str,
}

/// All declared harm of a matrix: one entry a fault, kind and reason, in the order of the cells.
#[must_use]
pub(crate) fn declared_harm(matrix: &Matrix) -> Vec<DeclaredHarm> {
    let mut found: Vec<DeclaredHarm> = Vec::new();
    for cell in &matrix.cells {
        for harm in &cell.harms {
            let Some(reason) = harm.reason else { continue };
            let fault = pair(cell.fault);
            let phase = cell.column.name();
            let known = found
                .iter_mut()
                .find(|one| one.fault == fault && one.kind == harm.kind && one.reason == reason);
            if let Some(one) = known {
                one.cells += 1;
                one.worst = twinplate_sim::math::max(one.worst, harm.worst);
                if !one.phases.contains(&phase) {
                    one.phases.push(phase);
                }
            } else {
                found.push(DeclaredHarm {
                    fault,
                    kind: harm.kind,
                    phases: vec![phase],
                    cells: 1,
                    worst: harm.worst,
                    reason,
                });
            }
        }
    }
    found
}

/// Declared harm for a terminal: what was done, by which fault, begun where, and why no controller prevents it.
#[must_use]
pub fn declared_text(matrix: &Matrix, shown: &Shown) -> String {
    let found = declared_harm(matrix);
    let mut text = String::new();
    if found.is_empty() {
        return text;
    }
    text.push_str("\nDeclared harm: no controller prevents it\n");
    let mut line = |indent: &str, content: &str| {
        for part in wrap(content, WIDTH - indent.len()) {
            let _ = writeln!(text, "{indent}{part}");
        }
    };
    for (index, one) in found.iter().enumerate() {
        let stated = one.kind.stated();
        line(
            "  ",
            &format!(
                "{}: {} (to {}), worst {}, in {} cell{}, begun in {}",
                one.fault,
                stated.name,
                stated.severity.word(),
                worst(one.kind, one.worst, shown),
                one.cells,
                if one.cells == 1 { "" } else { "s" },
                one.phases.join(", ")
            ),
        );
        // The same reason covers what follows.
        if found
            .get(index + 1)
            .is_none_or(|next| next.reason != one.reason)
        {
            line("    ", one.reason);
        }
    }
    text
}

/// Numbers of the pairs.
fn pair_numbers(matrix: &Matrix) -> [(&'static str, usize); 3] {
    let ran = || {
        matrix
            .pairs
            .iter()
            .filter(|p| matches!(p.tried, Tried::Ran(_)))
    };
    let harmed = ran().filter(|p| !p.harms.is_empty() && p.passes()).count();
    let failing = ran().filter(|p| !p.passes()).count();
    [
        ("pairs of faults run", ran().count()),
        ("pairs with harm that follows from the two", harmed),
        ("pairs with other harm, or another end", failing),
    ]
}

/// What is wrong with a pair, a line each.
#[must_use]
pub fn pair_failure(tried: &Pair, shown: &Shown) -> String {
    let mut text = format!(
        "{} in {}, {}\n",
        both(tried),
        tried.column.word(),
        tried.moment.name()
    );
    for wrong in &tried.wrong {
        let _ = writeln!(text, "  {wrong}");
    }
    for harm in tried.harms.iter().filter(|harm| harm.reason.is_none()) {
        let _ = writeln!(
            text,
            "  {} (worst {}) follows from neither, and no mask declares it",
            harm.kind.stated().name,
            worst(harm.kind, harm.worst, shown)
        );
    }
    text
}

fn both(tried: &Pair) -> String {
    let [a, b] = tried.faults.map(pair);
    let after = seconds(tried.later);
    format!("{a}, and after {after:.3} s {b}")
}

/// Table of the pairs of a matrix that did harm.
#[must_use]
pub fn pair_rows(matrix: &Matrix) -> Vec<Vec<String>> {
    matrix
        .pairs
        .iter()
        .filter(|tried| !tried.harms.is_empty())
        .map(|tried| {
            let kinds: Vec<&str> = tried
                .harms
                .iter()
                .map(|harm| harm.kind.stated().name)
                .collect();
            let Tried::Ran(seen) = &tried.tried else {
                return Vec::new();
            };
            vec![
                tried.number.to_string(),
                both(tried),
                format!("{}, {}", tried.column.word(), tried.moment.name()),
                answers(&[seen]),
                kinds.join(", "),
            ]
        })
        .collect()
}

/// Component and mode of a fault, a cell of a table each.
fn fault_cells(fault: &Supported) -> [String; 2] {
    [
        name(fault.component).to_owned(),
        mode_name(fault.mode).to_owned(),
    ]
}

/// Component and mode of a fault in one piece.
#[must_use]
pub fn pair(fault: &Supported) -> String {
    format!("{} {}", name(fault.component), mode_name(fault.mode))
}

/// Letters of a harm in the matrix.
pub(super) const fn mark(kind: Kind) -> &'static str {
    match kind {
        Kind::PartOverload => "P",
        Kind::DryTurning => "D",
        Kind::LiftTurning => "L",
        Kind::OutOfRatio => "C",
        Kind::Hot => "H",
        Kind::PressingOpen => "G",
        Kind::MovingOpen => "M",
        Kind::Fell => "F",
        Kind::OnCarriers => "K",
        Kind::AboveRated => "R",
        Kind::OffSize => "S",
    }
}

/// Column heads of the matrix's table.
#[must_use]
pub fn heads(matrix: &Matrix) -> Vec<&'static str> {
    let mut heads = vec!["component", "mode"];
    heads.extend(matrix.columns.iter().map(|column| column.word()));
    heads
}

/// Rows of the matrix's table: one a fault, the three moments of a phase in one cell.
#[must_use]
pub fn rows(matrix: &Matrix) -> Vec<Vec<String>> {
    SUPPORTED
        .iter()
        .map(|fault| {
            let mut row = fault_cells(fault).to_vec();
            row.extend(
                matrix
                    .columns
                    .iter()
                    .map(|column| merged(matrix, fault, *column)),
            );
            row
        })
        .collect()
}

fn merged(matrix: &Matrix, fault: &Supported, column: Column) -> String {
    let cells: Vec<&Cell> = matrix
        .cells
        .iter()
        .filter(|cell| cell.is_of(fault) && cell.column == column)
        .collect();
    let seen: Vec<&Seen> = cells.iter().filter_map(|cell| cell.seen()).collect();
    if seen.is_empty() {
        return "n/a".into();
    }
    let mut text = answers(&seen);
    if let Some(after) = seen
        .iter()
        .filter_map(|s| s.first.map(|trip| trip.after))
        .max()
    {
        let _ = write!(text, " {}", time(after));
    }
    if seen.iter().any(|s| s.acted.is_some()) {
        text.push('/');
        text.push_str(&safe(&seen));
    }
    let mut marks: Vec<(&str, bool)> = cells
        .iter()
        .flat_map(|cell| &cell.harms)
        .map(|harm| (mark(harm.kind), harm.reason.is_some()))
        .collect();
    marks.sort_unstable();
    marks.dedup();
    if !marks.is_empty() {
        text.push_str(" †");
        for (letter, declared) in marks {
            text.push_str(letter);
            if !declared {
                text.push('!');
            }
        }
    }
    text
}

/// Numbers of the rows that asked first, in order of the moments, each once; a dash where nothing did in some moment.
fn answers(seen: &[&Seen]) -> String {
    let mut words: Vec<String> = Vec::new();
    for one in seen {
        let word = match (one.acted, one.first) {
            (Some(trip), _) => trip.row().id.to_string(),
            (None, Some(trip)) => format!("a{}", trip.row().id),
            (None, None) => "–".to_owned(),
        };
        if !words.contains(&word) {
            words.push(word);
        }
    }
    words.join(",")
}

/// The longest time to the safe state; `never` where one was not reached, `on` where the cycle rightly went on.
fn safe(seen: &[&Seen]) -> String {
    let acted = || seen.iter().filter(|s| s.acted.is_some());
    if acted().any(|s| s.ending == Ending::Unsettled) {
        return "never".into();
    }
    if acted().any(|s| {
        s.safe_after().is_none()
            && !matches!(s.ending, Ending::Complete)
            && s.acted.is_some_and(|t| t.response >= Response::Hold)
    }) {
        return "weight".into();
    }
    acted()
        .filter_map(|s| s.safe_after())
        .max()
        .map_or_else(|| "on".to_owned(), time)
}

fn time(ticks: u32) -> String {
    let seconds = seconds(ticks);
    if seconds < 10.0 {
        format!("{seconds:.2}")
    } else {
        format!("{seconds:.0}")
    }
}

/// Table of the faults that nothing noticed in a matrix.
#[must_use]
pub fn unnoticed_rows(matrix: &Matrix) -> Vec<Vec<String>> {
    matrix
        .unnoticed()
        .into_iter()
        .map(|fault| {
            let (notice, cost) = unnoticed(fault.component, fault.mode)
                .map_or(("not listed", "not listed"), |entry| {
                    (entry.notice, entry.cost)
                });
            let [component, mode] = fault_cells(fault);
            vec![
                component,
                mode,
                fault.meaning.to_owned(),
                notice.to_owned(),
                cost.to_owned(),
                seen_cost(matrix, fault),
            ]
        })
        .collect()
}

/// What an unnoticed fault cost in the run: harm, and the largest change of size.
fn seen_cost(matrix: &Matrix, fault: &Supported) -> String {
    let cells = || matrix.cells.iter().filter(|cell| cell.is_of(fault));
    let mut kinds: Vec<&str> = cells()
        .flat_map(|cell| &cell.harms)
        .map(|harm| harm.kind.stated().name)
        .collect();
    kinds.sort_unstable();
    kinds.dedup();
    let off = cells()
        .filter_map(Cell::seen)
        .filter_map(|seen| seen.off_size)
        .fold(0.0, |most, off| {
            twinplate_sim::math::max(most, twinplate_sim::math::abs(off))
        });
    let harm = if kinds.is_empty() {
        "no harm".to_owned()
    } else {
        kinds.join(", ")
    };
    format!("{harm}; size {:.2} µm", off * 1e6)
}
