//! Removal from trial runs: the coefficient, whether Preston's law holds in this data, the decline over a trial, and what to try next.

mod log;
mod model;
mod plan;
mod trials;

pub use log::Open;
pub use model::Middle;
pub use plan::{Gain, Plan, Proposed, Unknown, WIDER};
pub use trials::{Shown, Trial, Units};

use crate::least_squares::{Estimate, FTest, Row, repeats};
use model::{Law, Terms, lost, varied};
use twinplate_sim::files::{FileError, Set};
use twinplate_sim::math::{exp, sqrt};

/// Chance under which proportionality is said not to hold, or the law not to fit.
pub const LEVEL: f64 = 0.05;
/// Half-width of an exponent's interval up to which the trials can say that proportionality holds. Judgement: at 0.2 a doubled pressure
/// is predicted to within 15 %.
pub const TELLS: f64 = 0.2;

/// What the trials say of an exponent.
#[derive(Clone, Debug, PartialEq)]
pub enum Exponent {
    /// Its value.
    Told(Estimate),
    /// Why they say nothing.
    Untold(&'static str),
}

impl Exponent {
    /// The estimate, where there is one.
    #[must_use]
    pub fn told(&self) -> Option<Estimate> {
        match self {
            Self::Told(estimate) => Some(*estimate),
            Self::Untold(_) => None,
        }
    }

    fn narrow(&self) -> bool {
        self.told().is_some_and(|e| 0.5 * (e.high - e.low) <= TELLS)
    }
}

/// Whether removal is in proportion to pressure and speed.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Preston {
    /// Both exponents are one within narrow intervals.
    Holds,
    /// Nothing speaks against it, but the intervals are wide, or something was never varied.
    Open,
    /// The exponents are not both one.
    Fails,
}

impl Preston {
    /// Stable word for programs and people.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::Holds => "holds",
            Self::Open => "not contradicted",
            Self::Fails => "does not hold",
        }
    }
}

/// Coefficient of an abrasive, 1/Pa, per face.
#[derive(Clone, Debug, PartialEq)]
pub struct Coefficient {
    /// The abrasive as typed; empty where the sheet has no such column.
    pub abrasive: String,
    /// Trials with it.
    pub trials: usize,
    /// With fresh slurry: at the beginning of a trial.
    pub fresh: Estimate,
    /// Mean over a trial of the middle length.
    pub mean: Estimate,
    /// Mean rate of a face at the middle pressure, speed and time, m/s.
    pub rate: Estimate,
}

/// What a calibration of removal found.
#[derive(Clone, Debug, PartialEq)]
pub struct RemovalReport {
    /// The sheet.
    pub file: String,
    /// Units as typed.
    pub units: Units,
    /// The trials.
    pub trials: Vec<Trial>,
    /// Middle of the trials.
    pub middle: Middle,
    /// Whether Preston's law holds.
    pub preston: Preston,
    /// Test of both exponents together.
    pub test: Option<FTest>,
    /// Exponent of the pressure and of the speed.
    pub exponents: [Exponent; 2],
    /// Decline of the rate at the beginning of a trial, 1/s.
    pub decline: Exponent,
    /// A coefficient for each abrasive: by Preston's law, or at the middle of the trials where it does not hold.
    pub coefficients: Vec<Coefficient>,
    /// Scatter of the rates, share, and the degrees of freedom behind it.
    pub scatter: f64,
    /// See `scatter`.
    pub freedom: usize,
    /// Lack of fit against repeated trials, where there are some.
    pub lack_of_fit: Option<FTest>,
    /// The trials with what is left over, share of the rate.
    pub rows: Vec<Row>,
    /// Rates of a face as measured and as fitted, m/s.
    pub rates: Vec<[f64; 2]>,
    /// The next two trials.
    pub plan: Option<Plan>,
    /// What was assumed, for people.
    pub notes: Vec<String>,
}

/// Why an exponent is not told.
const NOT_VARIED: &str = "it was hardly varied";
const TOGETHER: &str = "pressure, speed and time were changed only together, or by too few trials";

/// Calibrates removal from the bytes of a sheet; `set` turns loads and turning speeds into pressures and sliding speeds.
///
/// # Errors
/// All that is wrong with the sheet, each with its place.
pub fn calibrate(
    file: &str,
    bytes: &[u8],
    set: Option<&Set>,
) -> Result<RemovalReport, Vec<FileError>> {
    calibrate_with(
        file,
        bytes,
        set,
        &|_| Err("none is at hand here".to_owned()),
    )
}

/// The same; `open` finds the traces of a sheet that has some.
///
/// # Errors
/// All that is wrong with the sheet and the traces, each with its place.
pub fn calibrate_with(
    file: &str,
    bytes: &[u8],
    set: Option<&Set>,
    open: Open<'_>,
) -> Result<RemovalReport, Vec<FileError>> {
    let trials::Data {
        trials,
        abrasives,
        units,
    } = trials::read(file, bytes, set, open)?;
    let Some(laws) = Laws::of(&trials, abrasives.len()) else {
        let message = "the trials give no coefficient".to_owned();
        let expected = "rates that are numbers, of more trials than unknowns";
        let error = FileError::whole("inconsistent", file, message, expected);
        return Err(vec![error]);
    };
    let (exponents, decline) = laws.exponents(varied(&trials));
    let test = laws.test();
    let preston = if test.is_some_and(|test| test.chance < LEVEL) {
        Preston::Fails
    } else if exponents.iter().all(Exponent::narrow) {
        Preston::Holds
    } else {
        Preston::Open
    };
    let used = match (&laws.free, preston) {
        (Some(law), Preston::Fails) => law,
        _ => &laws.proportional,
    };
    let lines: Vec<usize> = trials.iter().map(|trial| trial.line).collect();
    let middle = used.middle;
    Ok(RemovalReport {
        file: file.to_owned(),
        coefficients: abrasives
            .iter()
            .enumerate()
            .map(|(at, name)| coefficient(used, at, name, &trials, span(&units, set)))
            .collect(),
        scatter: used.fit.deviation(),
        freedom: used.fit.freedom,
        lack_of_fit: lack_of_fit(&trials, used),
        rows: used.fit.rows(&lines),
        rates: trials
            .iter()
            .map(|trial| {
                let fitted = exp(used.predicted(trial)) * middle.pressure * middle.speed;
                [trial.removed / trial.time, fitted]
            })
            .collect(),
        plan: plan::plan(
            &trials,
            &plan::Fitted {
                free: laws.free.as_ref().unwrap_or(&laws.proportional),
                used,
            },
        ),
        notes: notes(&units, set),
        units,
        trials,
        middle,
        preston,
        test,
        exponents,
        decline,
    })
}

/// The law as the trials have it, and as Preston says.
struct Laws {
    /// With an exponent for whatever was varied; none where nothing was, or the trials are too few.
    free: Option<Law>,
    /// In proportion to pressure and speed; with a decline where the free one has it.
    proportional: Law,
}

impl Laws {
    fn of(trials: &[Trial], kinds: usize) -> Option<Self> {
        let of = |terms: Terms| Law::new(trials, kinds, terms).filter(|law| law.fit.freedom > 0);
        let every = varied(trials);
        let without = Terms {
            decline: false,
            ..every
        };
        // Without the decline where the trials cannot tell that too.
        let free = [every, without]
            .into_iter()
            .filter(|terms| terms.count() > 0)
            .find_map(of);
        let proportional = of(Terms {
            pressure: false,
            speed: false,
            decline: free.as_ref().is_some_and(|law| law.terms.decline),
        })?;
        Some(Self { free, proportional })
    }

    /// The exponents of pressure and speed, and the decline; `wanted` is what was varied.
    fn exponents(&self, wanted: Terms) -> ([Exponent; 2], Exponent) {
        let exponent = |at: usize, varied: bool| {
            let law = self.free.as_ref();
            match law.and_then(|law| Some(law.fit.coefficient(law.places()[at]?))) {
                Some(estimate) => Exponent::Told(estimate),
                None => Exponent::Untold(if varied { TOGETHER } else { NOT_VARIED }),
            }
        };
        let middle = self.proportional.middle.time;
        let decline = match exponent(2, wanted.decline) {
            Exponent::Told(found) => Exponent::Told(found.mapped(|share| share / middle)),
            untold => untold,
        };
        let exponents = [exponent(0, wanted.pressure), exponent(1, wanted.speed)];
        (exponents, decline)
    }

    /// Whether exponents other than one explain more than chance would.
    fn test(&self) -> Option<FTest> {
        let (free, proportional) = (&self.free.as_ref()?.fit, &self.proportional.fit);
        let more = proportional.freedom - free.freedom;
        let gain = proportional.squares - free.squares;
        FTest::new((gain, more), (free.squares, free.freedom))
    }
}

/// Deviation of a logarithm that all trials share because one cell weighed them: the machine file's own doubt of its span. Where
/// loads were not read off the machine it is nothing.
fn span(units: &Units, set: Option<&Set>) -> f64 {
    match set {
        // Anywhere within the half-width.
        Some(set) if units.traced => set.machine.value.envelope.cell_span / sqrt(3.0),
        _ => 0.0,
    }
}

fn coefficient(law: &Law, at: usize, name: &str, trials: &[Trial], span: f64) -> Coefficient {
    let freedom = law.fit.freedom as f64;
    let of = |time: f64| {
        let weights = law.at_middle(at, time);
        let value = law.fit.coefficients[at] + lost(law.decline * time / law.middle.time);
        let own = law.fit.deviation() * sqrt(law.fit.form(&weights));
        Estimate::new(value, own, freedom).widened(span)
    };
    let mean = of(law.middle.time).mapped(exp);
    Coefficient {
        abrasive: name.to_owned(),
        trials: trials.iter().filter(|trial| trial.abrasive == at).count(),
        fresh: of(0.0).mapped(exp),
        mean,
        rate: mean.mapped(|k| k * law.middle.pressure * law.middle.speed),
    }
}

/// Scatter of trials that were repeated against the rest.
fn lack_of_fit(trials: &[Trial], law: &Law) -> Option<FTest> {
    let same = |a: &Trial, b: &Trial| {
        a.abrasive == b.abrasive
            && a.pressure == b.pressure
            && a.speed == b.speed
            && a.time == b.time
    };
    let groups: Vec<usize> = trials
        .iter()
        .map(|trial| {
            trials
                .iter()
                .position(|other| same(other, trial))
                .unwrap_or(0)
        })
        .collect();
    let pure = repeats(&groups, &law.fit.residuals);
    FTest::new(
        (
            law.fit.squares - pure.0,
            law.fit.freedom.checked_sub(pure.1)?,
        ),
        pure,
    )
}

fn notes(units: &Units, set: Option<&Set>) -> Vec<String> {
    let mut notes = vec![
        "per face: half of the thickness lost, at the mean pressure and the mean sliding speed of both faces".to_owned(),
    ];
    let id = set.map_or("", |set| set.recipe.value.id.as_str());
    if let Some((_, area)) = units.load {
        notes.push(format!(
            "loads became pressures over {:.1} cm², the parts of {id}, with half of the parts' weight",
            area * 1e4
        ));
    }
    if units.traced {
        notes.push(format!(
            "pressure, sliding speed and time are those of the traces, row by row, by the load and the speeds that the controller saw, with half of the parts' weight, on the machine and batch of {id}; washed-out grains and swarf are allowed for by the flows, as the machine file has the gap; the intervals hold its doubt of the cell's span"
        ));
    }
    if units.drives {
        notes.push(format!(
            "speeds of the drives became the mean sliding speed of the pocket centres, by the machine and batch of {id}"
        ));
    }
    notes
}
