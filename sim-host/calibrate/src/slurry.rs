//! The slurry system from stopwatch and bucket: pump, line, film, wetting, settling and stirring.
//!
//! A row for each reading; `what` says which. All but `fill`, `keeps` and `dries` are times or flows whose errors are taken for a share
//! of the value: the geometric mean, and Student's t of the logarithms.

use crate::keys::{Chart, Found, Group, Key, KeysReport, Kind, known};
use crate::least_squares::{Estimate, Fit, fit};
use crate::sheet::{Heading, Holds, Quantities, Sheet};
use twinplate_sim::files::FileError;
use twinplate_sim::files::quantity::{Dimension as D, Unit, find};
use twinplate_sim::math::{abs, exp, log, max, min, sqrt};
use twinplate_sim::plant::{FILM_FULL, drying};

/// What every row has been told.
const TABLE: &str = "slurry";
/// Exponent by which the flow may differ from proportion to the pump's setting. Judgement: 3 % of flow over a third of the range.
const PROPORTION: f64 = 0.1;
/// Least ratio of largest to smallest flow from which a line's filling tells volume and lateness apart.
const VARIED: f64 = 1.1;

const FLOW: Holds = Holds::Quantity(&[(D::Flow, ["0.1 mL/min", "600 L/min"])]);
const SHARE: Holds = Holds::Quantity(&[(D::Ratio, ["0.1 %", "1000 %"])]);

const HEADINGS: &[Heading] = &[
    Heading {
        name: "what",
        holds: Holds::Word,
    },
    Heading {
        name: "pump",
        holds: Holds::Quantity(&[(D::Ratio, ["0.1 %", "100 %"])]),
    },
    Heading {
        name: "flow",
        holds: FLOW,
    },
    Heading {
        name: "volume",
        holds: Holds::Quantity(&[(D::Volume, ["0.1 mL", "10 m³"])]),
    },
    Heading {
        name: "time",
        holds: Holds::Quantity(&[(D::Time, ["10 ms", "100 h"])]),
    },
    Heading {
        name: "share",
        holds: Holds::Quantity(&[(D::Ratio, ["0.1 %", "99.9 %"])]),
    },
    Heading {
        name: "speed",
        holds: SHARE,
    },
    Heading {
        name: "load",
        holds: SHARE,
    },
    Heading {
        name: "run",
        holds: Holds::Word,
    },
    Heading {
        name: "note",
        holds: Holds::Word,
    },
];

/// What a row measures.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum What {
    Flow,
    Rinse,
    Keeps,
    Dries,
    Fill,
    Rise,
    Film,
    Wet,
    Settle,
    Stir,
}

/// Word, cells that a row of it needs, what it measures.
const WORDS: &[(&str, &[&str], What)] = &[
    ("flow", &["pump", "volume", "time"], What::Flow),
    ("rinse", &["volume", "time"], What::Rinse),
    ("keeps", &["flow"], What::Keeps),
    ("dries", &["flow"], What::Dries),
    ("fill", &["flow", "time"], What::Fill),
    ("rise", &["time"], What::Rise),
    ("film", &["time"], What::Film),
    ("wet", &["pump", "time"], What::Wet),
    ("settle", &["share", "time"], What::Settle),
    ("stir", &["share", "time"], What::Stir),
];

/// A row in SI units; NaN where a cell is empty.
#[derive(Clone, Copy, Debug)]
struct Reading {
    line: usize,
    what: What,
    pump: f64,
    flow: f64,
    volume: f64,
    time: f64,
    share: f64,
    /// Sliding speed over the machine's full speed, load over the resting load.
    used: [f64; 2],
}

/// Units in which answers are given.
struct Units {
    flow: &'static Unit,
    volume: &'static Unit,
    time: &'static Unit,
}

/// Calibrates a slurry system from the bytes of a sheet.
///
/// # Errors
/// All that is wrong with the sheet, each with its place.
pub fn calibrate(file: &str, bytes: &[u8]) -> Result<KeysReport, Vec<FileError>> {
    let (readings, units) = read(file, bytes)?;
    let of = |what: What| -> Vec<Reading> {
        let all = readings.iter().copied();
        all.filter(|reading| reading.what == what).collect()
    };
    let mut report = KeysReport {
        kind: Kind::Slurry,
        file: file.to_owned(),
        subject: format!("{} readings with stopwatch and bucket", readings.len()),
        keys: Vec::new(),
        findings: Vec::new(),
        contradicted: Vec::new(),
        groups: Vec::new(),
        charts: Vec::new(),
        notes: Vec::new(),
    };
    pump(&mut report, &of(What::Flow), &units);
    least(&mut report, &of(What::Keeps), &of(What::Dries), &units);
    line(&mut report, &of(What::Fill), &units);
    let plain: [(What, &'static str, &'static str, Value); 6] = [
        (What::Rise, "line-lag", "lag of the line", |r| r.time),
        (What::Film, "film-life", "life of the film", |r| {
            let [speed, load] = drying(r.used[0], r.used[1]);
            r.time * speed * load
        }),
        (What::Wet, "wet-time", "wetting", |r| {
            r.time * r.pump / -log(1.0 - FILM_FULL)
        }),
        (What::Settle, "settle-time", "settling", |r| {
            r.time / -log(r.share)
        }),
        (What::Stir, "stir-time", "stirring", |r| {
            r.time / -log(1.0 - r.share)
        }),
        (What::Rinse, "rinse-flow", "rinse water", |r| {
            r.volume / r.time
        }),
    ];
    for (what, name, words, value) in plain {
        let unit = if what == What::Rinse {
            units.flow
        } else {
            units.time
        };
        mean(&mut report, &of(what), name, words, unit, value);
    }
    film(&mut report, &of(What::Film));
    if !of(What::Wet).is_empty() {
        report.notes.push(format!(
            "wetting: from the first slurry on a dry gap until it runs smoothly, which the model has at {} of full wetness",
            FILM_FULL
        ));
    }
    Ok(report)
}

/// A number that a row gives.
type Value = fn(&Reading) -> f64;

/// Volume over time against the pump's setting.
fn pump(report: &mut KeysReport, rows: &[Reading], units: &Units) {
    let of: Value = |r| r.volume / r.time / r.pump;
    mean(report, rows, "flow-max", "pump", units.flow, of);
    if rows.is_empty() {
        return;
    }
    let show = |si: f64| si * units.flow.denominator / units.flow.numerator;
    let points = rows
        .iter()
        .map(|r| [100.0 * r.pump, show(r.volume / r.time)])
        .collect();
    let most = report.keys.last().and_then(Key::told);
    let line = most.map(|found| vec![[0.0, 0.0], [100.0, show(found.value)]]);
    report.charts.push(Chart {
        title: "Flow over the pump's setting".to_owned(),
        axes: [units.flow.symbol.to_owned(), "pump, %".to_owned()],
        points,
        lines: line.into_iter().collect(),
    });
    if ratio(rows, |r| r.pump) < VARIED {
        let note = "the pump was tried at one setting: that its flow is in proportion is taken for granted";
        report.notes.push(note.to_owned());
        return;
    }
    let logs: Vec<Vec<f64>> = rows.iter().map(|r| vec![1.0, log(r.pump)]).collect();
    let flows: Vec<f64> = rows.iter().map(|r| log(r.volume / r.time)).collect();
    let Some(law) = fit(&logs, &flows).filter(|law| law.freedom > 0) else {
        return;
    };
    let exponent = law.coefficient(1);
    report.findings.push(format!(
        "flow goes as the pump's setting to the power {:.3} ({:.3} to {:.3}); in proportion is 1",
        exponent.value, exponent.low, exponent.high
    ));
    if (exponent.low > 1.0 || exponent.high < 1.0) && abs(exponent.value - 1.0) > PROPORTION {
        report.contradicted.push(
            "the flow is not in proportion to the pump's setting, as the machine file has it"
                .to_owned(),
        );
    }
}

/// The least flow that keeps the gap wet: between the highest that let it dry and the lowest that did not.
fn least(report: &mut KeysReport, keeps: &[Reading], dries: &[Reading], units: &Units) {
    let lowest = keeps.iter().map(|r| r.flow).fold(f64::INFINITY, min);
    let highest = dries.iter().map(|r| r.flow).fold(0.0, max);
    let found = match (keeps.is_empty(), dries.is_empty()) {
        (true, true) => Found::untold("no rows `keeps` and `dries`"),
        (false, true) => Found::untold("no flow was tried that let the gap dry"),
        (true, false) => Found::untold("no flow was tried that kept the gap wet"),
        (false, false) => {
            let (low, high) = (min(lowest, highest), max(lowest, highest));
            if lowest <= highest {
                report.findings.push(
                    "a flow that let the gap dry is no less than one that kept it: the least flow is somewhere between both"
                        .to_owned(),
                );
            }
            let estimate = Estimate {
                value: 0.5 * (low + high),
                // Anywhere between.
                deviation: (high - low) / sqrt(12.0),
                low,
                high,
            };
            Found::Told {
                estimate,
                written: high,
            }
        }
    };
    report.keys.push(Key {
        table: TABLE,
        name: "flow-min",
        unit: units.flow,
        readings: keeps.len() + dries.len(),
        found,
    });
}

/// Time to fill the line against what flows: a volume, and by how much the watch is late.
fn line(report: &mut KeysReport, rows: &[Reading], units: &Units) {
    const NAME: &str = "line-volume";
    if rows.len() < 3 || ratio(rows, |r| r.flow) < VARIED {
        mean(report, rows, NAME, "filling", units.volume, |r| {
            r.time * r.flow
        });
        if !rows.is_empty() {
            report.notes.push(
                "the line was filled at one flow: by how much the watch was late cannot be told from its volume"
                    .to_owned(),
            );
        }
        return;
    }
    let regressors: Vec<Vec<f64>> = rows.iter().map(|r| vec![1.0, 1.0 / r.flow]).collect();
    let times: Vec<f64> = rows.iter().map(|r| r.time).collect();
    let law = fit(&regressors, &times).filter(|law| law.freedom > 0);
    let found = law.as_ref().map_or_else(
        || Found::untold("too few readings"),
        |law| positive(law.coefficient(1)),
    );
    if let Some(law) = &law {
        let late = law.coefficient(0);
        report.findings.push(format!(
            "the line fills in its volume over the flow and {:.2} s ({:.2} to {:.2}): the watch's lateness and the last of the flow's rise",
            late.value, late.low, late.high
        ));
        let show = |si: f64| si * units.flow.denominator / units.flow.numerator;
        let time = |si: f64| si * units.time.denominator / units.time.numerator;
        let ends = [
            rows.iter().map(|r| r.flow).fold(f64::INFINITY, min),
            rows.iter().map(|r| r.flow).fold(0.0, max),
        ];
        report.charts.push(Chart {
            title: "Time to fill the line over the flow".to_owned(),
            axes: [
                units.time.symbol.to_owned(),
                format!("flow, {}", units.flow.symbol),
            ],
            points: rows.iter().map(|r| [show(r.flow), time(r.time)]).collect(),
            lines: vec![
                (0..=40)
                    .map(|n| {
                        let flow = ends[0] + (ends[1] - ends[0]) * f64::from(n) / 40.0;
                        let fitted = law.coefficients[0] + law.coefficients[1] / flow;
                        [show(flow), time(fitted)]
                    })
                    .collect(),
            ],
        });
        report.groups.push(group(
            "filling",
            rows,
            law,
            &times,
            |x| time(x),
            units.time.symbol,
            (
                units.time.symbol,
                units.time.numerator / units.time.denominator,
            ),
        ));
    }
    report.keys.push(Key {
        table: TABLE,
        name: NAME,
        unit: units.volume,
        readings: rows.len(),
        found,
    });
}

/// A key that the rows give each by themselves.
fn mean(
    report: &mut KeysReport,
    rows: &[Reading],
    name: &'static str,
    words: &'static str,
    unit: &'static Unit,
    value: Value,
) {
    let logs: Vec<f64> = rows.iter().map(|row| log(value(row))).collect();
    let law = fit(&vec![vec![1.0]; rows.len()], &logs);
    let found = match &law {
        None => Found::untold("no reading"),
        Some(law) if law.freedom == 0 => {
            Found::untold("one reading has no interval: measure again")
        }
        Some(law) => Found::plain(law.coefficient(0).mapped(exp)),
    };
    report.keys.push(Key {
        table: TABLE,
        name,
        unit,
        readings: rows.len(),
        found,
    });
    if let Some(law) = law.filter(|law| law.freedom > 0) {
        if law.squares <= 0.0 {
            report.findings.push(format!(
                "{words}: all readings are alike; the interval is no narrower than the watch and the bucket read"
            ));
        }
        let show = |x: f64| exp(x) * unit.denominator / unit.numerator;
        report.groups.push(group(
            words,
            rows,
            &law,
            &logs,
            show,
            unit.symbol,
            ("%", 1.0),
        ));
    }
}

/// The film's life is written with its cautious end, and what the next one may be is told.
fn film(report: &mut KeysReport, rows: &[Reading]) {
    let Some(key) = report.keys.iter_mut().find(|key| key.name == "film-life") else {
        return;
    };
    let Found::Told { estimate, written } = &mut key.found else {
        return;
    };
    *written = estimate.low;
    let logs: Vec<f64> = rows
        .iter()
        .map(|r| {
            let [speed, load] = drying(r.used[0], r.used[1]);
            log(r.time * speed * load)
        })
        .collect();
    // A single one scatters by root n more than the mean of n.
    let wide = log(estimate.value / estimate.low) * sqrt(1.0 + logs.len() as f64);
    let next = exp(log(estimate.value) - wide) * key.unit.denominator / key.unit.numerator;
    let shown = format!("{next:.1} {}", key.unit.symbol);
    report.findings.push(format!(
        "of 40 films one may last no longer than {shown}; the lower end of the interval is written, because the first dry sign comes late"
    ));
    report.notes.push(
        "film life: from the last drop to the first dry sign, carried over to full speed and resting load where `speed` and `load` say how it was measured"
            .to_owned(),
    );
}

/// An estimate that means something only above zero.
fn positive(estimate: Estimate) -> Found {
    if estimate.low > 0.0 {
        Found::plain(estimate)
    } else {
        Found::untold("the readings scatter so much that nothing is left of it")
    }
}

fn ratio(rows: &[Reading], value: Value) -> f64 {
    let low = rows.iter().map(value).fold(f64::INFINITY, min);
    rows.iter().map(value).fold(0.0, max) / low
}

#[allow(clippy::too_many_arguments)] // what a group is made of
fn group(
    name: &'static str,
    rows: &[Reading],
    law: &Fit,
    values: &[f64],
    show: impl Fn(f64) -> f64,
    value: &str,
    (unit, size): (&'static str, f64),
) -> Group {
    let lines: Vec<usize> = rows.iter().map(|row| row.line).collect();
    Group {
        name,
        rows: law.rows(&lines),
        values: values
            .iter()
            .zip(&law.residuals)
            .map(|(value, left)| [show(*value), show(value - left)])
            .collect(),
        value: value.to_owned(),
        unit,
        size,
        coefficients: law.coefficients.len(),
    }
}

/// Reads a sheet.
fn read(file: &str, bytes: &[u8]) -> Result<(Vec<Reading>, Units), Vec<FileError>> {
    let mut sheet = Sheet::read(file, bytes, HEADINGS)?;
    if !sheet.has("what") {
        sheet.missing("what", &format!("a column `what` with {}", words()));
    }
    let columns =
        ["pump", "flow", "volume", "time", "share", "speed", "load"].map(|n| sheet.sparse(n));
    let Some(all) = sheet.words("what") else {
        return sheet.finish(None);
    };
    let cell = |at: usize, row: usize| -> f64 {
        let column = columns[at].as_ref();
        column
            .and_then(|column: &Quantities| column.si.get(row).copied())
            .unwrap_or(f64::NAN)
    };
    let mut readings = Vec::with_capacity(all.len());
    for (row, word) in all.iter().enumerate() {
        let known = WORDS
            .iter()
            .find(|(own, ..)| own.eq_ignore_ascii_case(word));
        let Some((own, needs, what)) = known else {
            let message = format!("`{word}` is no reading");
            sheet.wrong("unknown-word", row, "what", message, &words());
            continue;
        };
        for need in *needs {
            lacks(&mut sheet, row, own, need);
        }
        let or_one = |x: f64| if x.is_nan() { 1.0 } else { x };
        readings.push(Reading {
            line: sheet.line(row),
            what: *what,
            pump: cell(0, row),
            flow: cell(1, row),
            volume: cell(2, row),
            time: cell(3, row),
            share: cell(4, row),
            used: [or_one(cell(5, row)), or_one(cell(6, row))],
        });
    }
    if all.is_empty() {
        sheet.wrong_whole(
            "too-few-items",
            "no reading".to_owned(),
            "a row for each reading",
        );
    }
    let of = |at: usize| columns[at].as_ref().map(|column| column.unit);
    let volume = of(2).unwrap_or_else(|| known("L"));
    let by_volume = if volume.symbol == "gal" || volume.symbol == "qt" {
        "gal/min"
    } else {
        "L/min"
    };
    let units = Units {
        flow: of(1)
            .or_else(|| find(by_volume))
            .unwrap_or_else(|| known("L/min")),
        volume,
        time: of(3).unwrap_or_else(|| known("s")),
    };
    sheet.finish(Some((readings, units)))
}

/// A cell that a row of its kind needs is empty, or its column is not there.
fn lacks(sheet: &mut Sheet, row: usize, what: &str, need: &str) {
    let empty = sheet
        .words(need)
        .and_then(|cells| cells.get(row).cloned())
        .is_none_or(|cell| cell.is_empty());
    if empty {
        let message = format!("a row `{what}` has no `{need}`");
        let needs = WORDS.iter().find(|(own, ..)| *own == what);
        let needs: Vec<String> = needs
            .map_or(&[][..], |(_, needs, _)| needs)
            .iter()
            .map(|need| format!("`{need}`"))
            .collect();
        let expected = format!("a value under {}", needs.join(" and "));
        sheet.wrong("missing-key", row, need, message, &expected);
    }
}

fn words() -> String {
    let all: Vec<String> = WORDS.iter().map(|(own, ..)| format!("`{own}`")).collect();
    format!("one of {}", all.join(", "))
}
