//! What a correction says, in sentences that text and page share, in the units of the record.

use super::{interval, number};
use crate::report::calibration::chance;
use twinplate_calibrate::least_squares::Estimate;
use twinplate_calibrate::removal::Shown;
use twinplate_production::capability::{Capability, GAUGE_SHARE, Indices, Refused};
use twinplate_production::correct::{By, Report, Slurry};
use twinplate_production::drift::LEVEL;
use twinplate_production::trend::{AHEAD, Due, Trend};
use twinplate_sim::files::{INCH, is_of_inches};
use twinplate_sim::math::{abs, max};
use twinplate_sim::model::Of;

/// Units of the record and what goes with them.
pub(super) struct Units {
    pub length: Shown,
    pub time: Shown,
    /// The small length that goes with the thickness: its symbol and size.
    pub small: Shown,
    /// Symbol of a rate, and its size.
    pub per_time: &'static str,
    pub rate: f64,
}

impl Units {
    pub(super) fn of(report: &Report) -> Self {
        let record = &report.record;
        let inches = is_of_inches(record.length.symbol);
        let small = if inches {
            Shown {
                symbol: "µin",
                size: INCH * 1e-6,
            }
        } else {
            Shown {
                symbol: "µm",
                size: 1e-6,
            }
        };
        Self {
            length: record.length,
            time: record.time,
            small,
            per_time: if inches { "µin/min" } else { "µm/min" },
            rate: small.size / 60.0,
        }
    }

    fn size(&self, metres: f64) -> String {
        format!(
            "{} {}",
            number(metres / self.length.size, 6),
            self.length.symbol
        )
    }

    fn sizes(&self, found: &Estimate) -> String {
        format!(
            "{} {}",
            interval(&found.mapped(|x| x / self.length.size), 6),
            self.length.symbol
        )
    }

    fn small(&self, metres: f64) -> String {
        format!(
            "{} {}",
            number(metres / self.small.size, 3),
            self.small.symbol
        )
    }
}

/// File, batches, step.
pub(super) fn subject(report: &Report) -> String {
    let units = Units::of(report);
    let [target, tolerance] = report.target;
    format!(
        "{}: {} batches, {} with a removal rate; step `{}`, to {} ± {}",
        report.file,
        report.rows.len(),
        report.count,
        report.step.1,
        units.size(target),
        units.small(tolerance)
    )
}

/// A setting as it was typed: time in the record's unit, pressure in the recipe's.
pub(super) fn setting(report: &Report, found: &Estimate) -> (Estimate, &'static str) {
    match report.by {
        By::Time => {
            let time = Units::of(report).time;
            (found.mapped(|x| x / time.size), time.symbol)
        }
        By::Load => {
            let shown = &report.shown;
            let typed = found.mapped(|x| shown.again(Of::Pressure, x / 1e3));
            (typed, shown.symbol(Of::Pressure))
        }
    }
}

/// The setting now.
fn now(report: &Report) -> String {
    let next = &report.next;
    match report.by {
        By::Time => {
            let time = Units::of(report).time;
            format!("{} {}", number(next.old / time.size, 4), time.symbol)
        }
        By::Load => report.shown.say(Of::Pressure, next.old, 4),
    }
}

/// The next batch.
pub(super) fn next(report: &Report) -> Vec<String> {
    let units = Units::of(report);
    let next = &report.next;
    let (new, unit) = setting(report, &next.new);
    let what = match report.by {
        By::Time => "time",
        By::Load => "pressure",
    };
    let name = if next.name.is_empty() {
        String::new()
    } else {
        format!("{}: ", next.name)
    };
    let mut told = vec![format!(
        "{name}{what} {} {unit}, now {}",
        interval(&new, 4),
        now(report)
    )];
    if report.by == By::Load {
        told.push(format!(
            "that is a load of {}",
            report.shown.say(Of::Load, next.load, 4)
        ));
    }
    let coming = if next.measured {
        format!(
            "it comes in at {}, as measured",
            units.size(next.incoming.value)
        )
    } else {
        format!(
            "it is taken to come in at {}, as those before it; measured, the answer would be surer",
            units.sizes(&next.incoming)
        )
    };
    told.push(coming);
    if next.done.any() {
        told.push(format!("before it: {}", next.done.words()));
    }
    told.push(format!(
        "mean size expected: {}, 95 %; with the recipe as it is {}",
        units.sizes(&next.size),
        units.size(next.unchanged)
    ));
    if abs(next.new.value - next.old) < next.new.high - next.new.value {
        told.push("the change is within its own uncertainty: it is the best guess, and not much is lost without it".to_owned());
    }
    for why in &report.beyond {
        told.push(format!("it cannot be: {why}"));
    }
    told
}

/// The rate and what it does.
pub(super) fn rate(report: &Report) -> Vec<String> {
    let units = Units::of(report);
    let rate = report.rate.mapped(|x| x / units.rate);
    let [walk, scatter, step] = report.deviations.map(|share| number(100.0 * share, 2));
    let mut told = vec![format!(
        "for the next batch {} {}, both faces together",
        interval(&rate, 4),
        units.per_time
    )];
    let stepped = report.rows.iter().skip(1).any(|row| row.batch.done.any());
    told.push(format!(
        "by maximum likelihood it walks {walk} % from batch to batch and batches scatter {scatter} % about it{}",
        if stepped {
            format!("; what is done to plates or slurry shifts it {step} %")
        } else {
            String::new()
        }
    ));
    told.push(format!(
        "of what a batch is off, the rate follows {} %",
        number(100.0 * report.gain, 2)
    ));
    told.push(report.drift.map_or_else(
        || "too few batches between events to tell drift from noise".to_owned(),
        |drift| {
            let word = if drift.told() {
                "drift is told from noise"
            } else {
                "no drift is told from noise"
            };
            format!(
                "{word}: chance of as much with a constant rate {}, false alarm {} %",
                chance(drift.chance),
                number(100.0 * LEVEL, 2)
            )
        },
    ));
    told
}

/// Batches that are off.
pub(super) fn standing_out(report: &Report) -> Vec<String> {
    if report.off.is_empty() {
        let worst = report
            .rows
            .iter()
            .filter_map(|row| {
                let [expected, deviation] = row.expected?;
                Some(abs(row.rate? - expected) / deviation)
            })
            .fold(0.0, max);
        return vec![format!(
            "no batch is off by more than chance; the largest surprise is {} of its own deviations",
            number(worst, 2)
        )];
    }
    let units = Units::of(report);
    report
        .off
        .iter()
        .filter_map(|off| {
            let row = report.rows.get(off.outlier.at)?;
            let without = off.without.map_or_else(String::new, |value| {
                let still = Estimate {
                    value,
                    ..report.next.new
                };
                let (still, unit) = setting(report, &still);
                format!(
                    "; if a cause is known put a # before line {}: {} {unit} without it",
                    row.batch.line,
                    number(still.value, 4)
                )
            });
            Some(format!(
                "batch {}: its rate is off by {} {}, {} of its own deviations, more than chance allows{without}",
                row.batch.called(),
                number(off.outlier.off / units.rate, 3),
                units.per_time,
                number(abs(off.outlier.deviations), 2)
            ))
        })
        .collect()
}

/// When a limit is reached.
fn when(due: Due) -> String {
    let batches = |found: Option<u32>| {
        found.map_or_else(|| format!("more than {AHEAD}"), |found| found.to_string())
    };
    format!(
        "in {} batches (95 %: {} to {})",
        batches(due.expected),
        batches(due.soonest),
        batches(due.latest)
    )
}

fn trend(found: &Trend, units: &Units) -> String {
    let now = format!("{}: {} now", found.what, units.small(found.now.value));
    if !found.told {
        return format!(
            "{now}; no trend over {} batches can be told from none",
            found.count
        );
    }
    format!(
        "{now}, {} {} a batch; the limit of {} is reached {}: condition before",
        interval(&found.growth.mapped(|x| x / units.small.size), 2),
        units.small.symbol,
        units.small(found.limit),
        when(found.due)
    )
}

fn slurry(found: &Slurry, units: &Units) -> Vec<String> {
    let mega = |work: f64| number(work / 1e6, 3);
    if !found.told {
        return vec![format!(
            "slurry: no fall of the rate with the work done can be told from none; a batch does {} MJ/m²",
            mega(found.a_batch)
        )];
    }
    let [soonest, half, latest] = found.half_life;
    let why = if found.by_longest {
        "where the step's longest time is nearly used up"
    } else {
        "half of the fresh rate"
    };
    vec![
        format!(
            "slurry: half of the fresh rate is gone after {} MJ/m² of friction work ({} to {}); the recipe's grains halve after {}, and what is fresh in the tank comes on top",
            mega(half),
            mega(soonest),
            if latest.is_finite() {
                mega(latest)
            } else {
                "no end".to_owned()
            },
            mega(found.breakdown)
        ),
        format!(
            "a batch does {} MJ/m²; {} {}, {why}, is reached {}: change the slurry before",
            mega(found.a_batch),
            number(found.least / units.rate, 3),
            units.per_time,
            when(found.due)
        ),
    ]
}

/// When plates and slurry are due.
pub(super) fn due_lines(report: &Report) -> Vec<String> {
    let units = Units::of(report);
    let forms = report.forms.iter().map(|found| trend(found, &units));
    let slurry = report.slurry.iter().flat_map(|found| slurry(found, &units));
    forms.chain(slurry).collect()
}

fn index(found: &Indices, names: [&str; 2]) -> String {
    format!(
        "{} {}, {} {}",
        names[0],
        interval(&found.width, 3),
        names[1],
        interval(&found.nearer, 3)
    )
}

/// What the size is capable of.
pub(super) fn capability(report: &Report) -> Vec<String> {
    let units = Units::of(report);
    let found: &Capability = match &report.capability {
        Ok(found) => found,
        Err(Refused::TooFew) => {
            return vec!["nothing is claimed: too few sizes were measured".to_owned()];
        }
        Err(Refused::NoSpread) => return vec!["nothing is claimed: no size differs".to_owned()],
        Err(Refused::Gauge(share)) => {
            return vec![format!(
                "nothing is claimed: {} % of the variance that was observed is the gauge's, and over {} % what is left is guessed; measure with a better gauge or more often",
                number(100.0 * share, 3),
                number(100.0 * GAUGE_SHARE, 2)
            )];
        }
    };
    let [batches, parts] = found.counted;
    let of = if found.of_means {
        "means of batches"
    } else {
        "parts"
    };
    let mut told = vec![
        format!(
            "{of}, {} parts of {} batches: mean {}, deviation {} without the gauge, {} with it",
            number(parts, 6),
            number(batches, 6),
            units.size(found.mean),
            units.small(found.sd),
            units.small(found.observed)
        ),
        index(&found.performance, ["all variation: Pp", "Ppk"]),
    ];
    if let Some([width, nearer]) = found.by_percentiles {
        told.push(format!(
            "by percentiles of the batches put together: Pp {}, Ppk {}",
            number(width, 3),
            number(nearer, 3)
        ));
    }
    if let Some(within) = &found.within {
        told.push(index(within, ["within batches: Cp", "Cpk"]));
    }
    told.push(found.gauge_width.map_or_else(
        || "the gauge's repeat is not in the record: all variation is taken for the parts'".to_owned(),
        |width| {
            format!(
                "of the variance {} % is the gauge's; six of its deviations are {} % of the tolerance",
                number(100.0 * found.gauge_share, 2),
                number(100.0 * width, 2)
            )
        },
    ));
    if report.drift.is_some_and(|drift| drift.told()) {
        told.push("the rate drifts: call the figures performance, not capability, until it is corrected batch by batch".to_owned());
    }
    told
}

/// The verdict in a line.
pub(super) fn verdict(report: &Report) -> String {
    let (new, unit) = setting(report, &report.next.new);
    let drift = match report.drift {
        Some(drift) if drift.told() => "the rate drifts",
        Some(_) | None => "no drift told",
    };
    if report.beyond.is_empty() {
        format!(
            "{} {unit} for the next batch, now {}; {drift}",
            number(new.value, 4),
            now(report)
        )
    } else {
        format!(
            "{} {unit} would be needed, which the recipe does not bear; {drift}",
            number(new.value, 4)
        )
    }
}
