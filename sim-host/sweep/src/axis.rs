//! What is swept: a key of the recipe and its values, read from `KEY=LOW..HIGH[:STEPS]`, and put into the recipe's text.

use crate::put::{multiply, put_in, set_in, step_of};
use std::ops::Range;
use toml_edit::{DocumentMut, Item, value};
use twinplate_check::Case;
use twinplate_check::predict::predict;
use twinplate_sim::files::error::nearest;
use twinplate_sim::files::quantity::{Dimension as D, QuantityError, parse, split};
use twinplate_sim::files::{FileError, MarkedLine, Set};
use twinplate_sim::math::abs;

/// Points along one sweep where nothing is said.
pub const STEPS: usize = 7;
/// Points along each of two sweeps where nothing is said.
pub const STEPS_OF_TWO: usize = 5;
/// Fewest and most points along one sweep.
pub const STEPS_RANGE: [usize; 2] = [2, 41];

/// Where a key stands in the recipe.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Home {
    /// In a step.
    Step(D),
    /// What ends a step.
    End(D),
    /// One drive of a step.
    Drive,
    /// All four drives of a step, by a factor.
    Factor,
    /// In `[slurry]`.
    Slurry(D),
    /// In `[consumables]`, with what was measured at the recipe's own.
    Consumable(D),
}

/// Keys that can be swept: what a person at the machine or the mixing bench changes.
const KEYS: [(&str, Home); 18] = [
    ("pressure", Home::Step(D::Pressure)),
    ("limit", Home::Step(D::Force)),
    ("ramp", Home::Step(D::ForceRate)),
    ("flow", Home::Step(D::Flow)),
    ("longest", Home::Step(D::Time)),
    ("time", Home::End(D::Time)),
    ("stock", Home::End(D::Length)),
    ("size", Home::End(D::Length)),
    ("speed", Home::Factor),
    ("inner", Home::Drive),
    ("outer", Home::Drive),
    ("lower", Home::Drive),
    ("upper", Home::Drive),
    ("prestart", Home::Slurry(D::Time)),
    ("prestart-flow", Home::Slurry(D::Flow)),
    ("rinse", Home::Slurry(D::Time)),
    ("concentration", Home::Consumable(D::Ratio)),
    ("grain", Home::Consumable(D::Length)),
];

impl Home {
    const fn dimension(self) -> D {
        match self {
            Self::Step(d) | Self::End(d) | Self::Slurry(d) | Self::Consumable(d) => d,
            Self::Drive => D::AngularSpeed,
            Self::Factor => D::Ratio,
        }
    }

    const fn of_step(self) -> bool {
        matches!(
            self,
            Self::Step(_) | Self::End(_) | Self::Drive | Self::Factor
        )
    }
}

/// One sweep: a key and the values that it takes.
#[derive(Clone, Debug, PartialEq)]
pub struct Axis {
    /// The key.
    pub key: &'static str,
    /// The key with its step, for people: `pressure of lap`.
    pub label: String,
    /// Values as they stand in the recipe, with their unit; of a speed factor the factor.
    pub values: Vec<String>,
    /// Numbers of the values, in the unit as typed.
    pub numbers: Vec<f64>,
    /// The unit as typed; empty for a factor.
    pub unit: String,
    /// Values in SI.
    pub si: Vec<f64>,
    home: Home,
    steps: Vec<usize>,
}

/// What was typed, for errors that mark a piece of it.
struct Typed<'t> {
    text: &'t str,
    file: String,
}

impl Typed<'_> {
    fn error(
        &self,
        code: &'static str,
        at: Range<usize>,
        message: String,
        expected: &str,
    ) -> Box<FileError> {
        Box::new(FileError {
            column: self.text.get(..at.start).map_or(0, |t| t.chars().count()) + 1,
            mark: Some(MarkedLine::cut(self.text, at.start, at.end)),
            ..FileError::whole(code, &self.file, message, expected)
        })
    }
}

/// How a sweep is written.
const FORM: &str = "a key of the recipe with its range, such as pressure=1..4psi, lap.time=2..6min:9 or speed=0.5..1.5";

impl Axis {
    /// Reads sweeps as typed for a recipe. One or two of them.
    ///
    /// # Errors
    /// What is wrong with the words, marked in them.
    pub fn read(typed: &[String], set: &Set) -> Result<Vec<Self>, Vec<FileError>> {
        let steps = if typed.len() > 1 { STEPS_OF_TWO } else { STEPS };
        let (mut axes, mut errors): (Vec<Self>, _) = (Vec::new(), Vec::new());
        for text in typed {
            let typed = Typed {
                text,
                file: "--sweep".to_owned(),
            };
            match Self::one(&typed, set, steps) {
                Ok(axis) if axes.iter().any(|other| other.same_as(&axis)) => {
                    errors.push(*typed.error(
                        "duplicate-key",
                        0..text.len(),
                        format!("{} is swept twice", axis.label),
                        "two different keys",
                    ));
                }
                Ok(axis) => axes.push(axis),
                Err(error) => errors.push(*error),
            }
        }
        if errors.is_empty() {
            Ok(axes)
        } else {
            Err(errors)
        }
    }

    /// Whether both would change the same value.
    fn same_as(&self, other: &Self) -> bool {
        let speeds = |home| matches!(home, Home::Drive | Home::Factor);
        let alike = self.key == other.key
            || speeds(self.home)
                && speeds(other.home)
                && (self.home == Home::Factor || other.home == Home::Factor);
        alike && (!self.home.of_step() || self.steps.iter().any(|step| other.steps.contains(step)))
    }

    fn one(typed: &Typed, set: &Set, steps: usize) -> Result<Self, Box<FileError>> {
        let whole = 0..typed.text.len();
        let Some((words, range)) = typed.text.split_once('=') else {
            let message = "there is no `=` after the key".to_owned();
            return Err(typed.error("syntax", whole, message, FORM));
        };
        let (step, name) = match words.rsplit_once('.') {
            Some((step, name)) => (Some(step.trim()), name.trim()),
            None => (None, words.trim()),
        };
        let Some((key, home)) = KEYS.into_iter().find(|(key, _)| *key == name) else {
            let known = KEYS.map(|(key, _)| key);
            let mut error = typed.error(
                "unknown-key",
                0..words.len(),
                format!("`{name}` is nothing that can be swept"),
                &format!("one of {}", known.join(", ")),
            );
            error.nearest = nearest(name, known).map(str::to_owned);
            return Err(error);
        };
        let steps_of = chosen(typed, set, step, key, home)?;
        let (range, count, at) = counted(typed, range, words.len() + 1, steps)?;
        let values = Values::read(typed, range, at, count, home.dimension())?;
        let label = match &steps_of[..] {
            _ if !home.of_step() => key.to_owned(),
            [one] => format!("{key} of {}", set.recipe.value.steps[*one].name),
            _ => format!("{key} of all steps"),
        };
        Ok(Self {
            key,
            label,
            values: values.texts,
            numbers: values.numbers,
            unit: values.unit,
            si: values.si,
            home,
            steps: steps_of,
        })
    }

    /// What a reader of the answer should know of how the value goes into the recipe.
    #[must_use]
    pub fn note(&self) -> Option<&'static str> {
        match self.home {
            Home::Consumable(_) => Some(
                "where the recipe does not say at which grain and concentration its removal, roughness and damage were measured, its own are \
                 taken; they are carried over to each point by the published forms",
            ),
            Home::Factor => Some("a speed factor multiplies all four drives"),
            Home::Step(D::Pressure) => Some(
                "the load limit stays as the recipe has it: sweep `limit` as well where it binds",
            ),
            Home::Step(_) | Home::End(_) | Home::Drive | Home::Slurry(_) => None,
        }
    }

    /// Puts value `index` into a recipe.
    pub(crate) fn put(&self, document: &mut DocumentMut, index: usize) {
        let Some(text) = self.values.get(index) else {
            return;
        };
        match self.home {
            Home::Slurry(_) => set_in(document.get_mut("slurry"), self.key, text),
            Home::Consumable(_) => self.mix(document, text),
            Home::Step(_) | Home::End(_) | Home::Drive | Home::Factor => {
                for step in &self.steps {
                    let Some(table) = step_of(document, *step) else {
                        continue;
                    };
                    match self.home {
                        Home::End(_) => set_in(table.get_mut("end"), self.key, text),
                        Home::Drive => set_in(table.get_mut("speeds"), self.key, text),
                        Home::Factor => multiply(table.get_mut("speeds"), self.si[index]),
                        _ => put_in(table, self.key, text),
                    }
                }
            }
        }
    }

    /// Another grain or concentration: what was measured with the recipe's own is carried over, and a grade of a standard series would
    /// contradict another grain.
    fn mix(&self, document: &mut DocumentMut, text: &str) {
        let Some(table) = document
            .get_mut("consumables")
            .and_then(Item::as_table_like_mut)
        else {
            return;
        };
        if !table.contains_key("measured-at") {
            let mut own = toml_edit::InlineTable::new();
            for key in ["grain", "concentration"] {
                if let Some(old) = table.get(key).and_then(Item::as_value) {
                    own.insert(key, old.clone());
                }
            }
            table.insert("measured-at", value(own));
        }
        put_in(table, self.key, text);
        if self.key == "grain" {
            put_in(table, "grade", "as swept");
        }
    }
}

/// Steps that are meant: by number, name or `all`; where nothing is said, the step that takes off most.
fn chosen(
    typed: &Typed,
    set: &Set,
    word: Option<&str>,
    key: &str,
    home: Home,
) -> Result<Vec<usize>, Box<FileError>> {
    let steps = &set.recipe.value.steps;
    let at = 0..word.map_or(typed.text.len(), str::len);
    if !home.of_step() {
        return match word {
            None => Ok(Vec::new()),
            Some(_) => Err(typed.error(
                "unknown-key",
                at,
                format!("`{key}` belongs to the whole recipe, not to a step"),
                &format!("{key}=…"),
            )),
        };
    }
    let ends = |step: usize| {
        set.recipe
            .place(&format!("steps[{step}].end.{key}"))
            .is_some_and(|place| {
                // A path without a place of its own gets that of its table.
                Some(place) != set.recipe.place(&format!("steps[{step}].end"))
            })
    };
    let is_end = matches!(home, Home::End(_));
    let found: Vec<usize> = match word {
        Some("all") => (0..steps.len()).collect(),
        Some(word) => {
            let plain = |name: &str| name.to_lowercase().replace(' ', "-");
            let by_number = word.parse::<usize>().ok().and_then(|n| n.checked_sub(1));
            let index =
                by_number.or_else(|| steps.iter().position(|s| plain(&s.name) == plain(word)));
            match index.filter(|index| *index < steps.len()) {
                Some(index) => vec![index],
                None => {
                    let names: Vec<String> = steps.iter().map(|s| plain(&s.name)).collect();
                    let mut error = typed.error(
                        "no-such-step",
                        at,
                        format!("the recipe `{}` has no step `{word}`", set.recipe.value.id),
                        &format!(
                            "a number from 1 to {}, all, or one of {}",
                            steps.len(),
                            names.join(", ")
                        ),
                    );
                    error.nearest =
                        nearest(word, names.iter().map(String::as_str)).map(str::to_owned);
                    return Err(error);
                }
            }
        }
        None => most_cutting(set, |step| !is_end || ends(step))
            .into_iter()
            .collect(),
    };
    if is_end && (found.is_empty() || found.iter().any(|step| !ends(*step))) {
        return Err(typed.error(
            "conflicting-key",
            0..typed.text.find('=').unwrap_or(0),
            format!("no such step ends by `{key}`"),
            "a step whose `end` has this key",
        ));
    }
    Ok(found)
}

/// The step that takes off most among those that `may` be it.
fn most_cutting(set: &Set, may: impl Fn(usize) -> bool) -> Option<usize> {
    let planned = predict(&Case::of(set), 1.0);
    let removed = |step: usize| {
        let step = planned.steps.get(step);
        step.map_or(0.0, |step| step.removal_lower_um + step.removal_upper_um)
    };
    (0..set.recipe.value.steps.len())
        .filter(|step| may(*step))
        .max_by(|a, b| removed(*a).total_cmp(&removed(*b)).then(b.cmp(a)))
}

/// The range without its number of points, that number, and where the range begins.
fn counted<'t>(
    typed: &Typed<'t>,
    range: &'t str,
    at: usize,
    usual: usize,
) -> Result<(&'t str, usize, usize), Box<FileError>> {
    let Some((range, count)) = range.rsplit_once(':') else {
        return Ok((range, usual, at));
    };
    let [least, most] = STEPS_RANGE;
    match count.trim().parse::<usize>() {
        Ok(count) if (least..=most).contains(&count) => Ok((range, count, at)),
        Ok(_) | Err(_) => Err(typed.error(
            "out-of-range",
            at + range.len() + 1..typed.text.len(),
            format!("`{}` is no number of points", count.trim()),
            &format!("a whole number from {least} to {most} after the colon"),
        )),
    }
}

/// Values of a sweep.
struct Values {
    texts: Vec<String>,
    numbers: Vec<f64>,
    unit: String,
    si: Vec<f64>,
}

impl Values {
    fn read(
        typed: &Typed,
        range: &str,
        at: usize,
        count: usize,
        dimension: D,
    ) -> Result<Self, Box<FileError>> {
        let whole = at..at + range.len();
        let Some((low, high)) = range.split_once("..") else {
            let message = "there is no range".to_owned();
            return Err(typed.error("syntax", whole, message, FORM));
        };
        let places = [at..at + low.len(), at + low.len() + 2..whole.end];
        let mut ends = [(0.0, ""); 2];
        for ((text, place), end) in [low, high].into_iter().zip(&places).zip(&mut ends) {
            *end = split(text)
                .map_err(|error| quantity(typed, place.clone(), text, &error, dimension))?;
        }
        let [(from, unit_low), (to, unit_high)] = ends;
        let unit = if unit_high.is_empty() {
            unit_low
        } else {
            unit_high
        };
        if !unit_low.is_empty() && unit_low != unit {
            let message = format!("the range begins in {unit_low} and ends in {unit}");
            return Err(typed.error("inconsistent", whole, message, "one unit for both ends"));
        }
        if abs(to - from) <= 1e-9 * abs(to) {
            let message = "both ends of the range are the same".to_owned();
            return Err(typed.error("inconsistent", whole, message, "two different values"));
        }
        let mut values = Self {
            texts: Vec::new(),
            numbers: Vec::new(),
            unit: unit.to_owned(),
            si: Vec::new(),
        };
        for index in 0..count {
            let share = index as f64 / (count - 1) as f64;
            // Ten digits: what a person would write, and what is then read.
            let number = format!("{:.9e}", from + (to - from) * share);
            let number: f64 = number.parse().unwrap_or(from);
            let text = format!("{number} {unit}").trim_end().to_owned();
            let si = parse(&text, dimension)
                .map_err(|error| quantity(typed, places[1].clone(), high, &error, dimension))?;
            values.texts.push(text);
            values.numbers.push(number);
            values.si.push(si);
        }
        Ok(values)
    }
}

/// The error of an end of a range that is not the quantity that is due.
fn quantity(
    typed: &Typed,
    at: Range<usize>,
    text: &str,
    error: &QuantityError,
    due: D,
) -> Box<FileError> {
    let (code, message, near) = match error {
        QuantityError::MissingUnit => ("missing-unit", format!("`{text}` has no unit"), None),
        QuantityError::UnknownUnit(unit, near) => (
            "unknown-unit",
            format!("`{unit}` is not a known unit"),
            *near,
        ),
        QuantityError::WrongDimension(found) => (
            "wrong-dimension",
            format!("`{text}` is {}", found.name()),
            None,
        ),
        QuantityError::NotFinite => ("not-finite", format!("`{text}` is not finite"), None),
        QuantityError::BadNumber | QuantityError::Comma(_) | QuantityError::Grouped => {
            ("bad-number", format!("`{text}` is no number"), None)
        }
    };
    let mut error = typed.error(
        code,
        at,
        message,
        &format!("{}, such as {}", due.name(), due.example()),
    );
    error.nearest = near.map(str::to_owned);
    error
}
