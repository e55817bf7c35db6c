//! The class at a glance: who has tried which exercise, how it went, and who is ready by the trainer's own rule. Pure but for its
//! routes.

use super::request::{Posted, Refusal, Shared, as_instructor, understood};
use super::tongue::{self, Line};
use crate::records::Tried;
use axum::Json;
use axum::extract::State;
use axum::http::{HeaderMap, StatusCode};
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;
use std::sync::Arc;
use twinplate_train::exercise::Exercise;

/// Most passes in a row that a rule may ask for.
const MOST_PASSES: u8 = 5;
/// Marks of a cell: the last attempts, oldest first.
const MARKS: usize = 5;

/// The trainer's own rule: who is ready has passed each of these exercises so often in a row, to the last attempt.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Rule {
    /// Identifiers of the exercises that count; none: there is no rule.
    pub exercises: Vec<String>,
    /// Passes in a row, 1 to [`MOST_PASSES`].
    pub passes: u8,
}

impl Default for Rule {
    fn default() -> Self {
        Self {
            exercises: Vec::new(),
            passes: 1,
        }
    }
}

/// How somebody does in one exercise.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct Cell {
    /// Finished attempts.
    pub attempts: u32,
    /// Most points of any.
    pub best: f64,
    /// The last ones, oldest first.
    pub marks: Vec<Mark>,
    /// Passes in a row, to the last attempt.
    pub in_a_row: u32,
}

/// One of the last attempts.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Mark {
    /// Its number.
    pub attempt: i64,
    /// Name of its station.
    pub station: String,
    /// Points.
    pub points: f64,
    /// Points that could be had.
    pub of: f64,
    /// It was passed.
    pub passed: bool,
}

/// One of the class.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Pupil {
    /// Name.
    pub trainee: String,
    /// By the identifier of the exercise.
    pub cells: BTreeMap<String, Cell>,
    /// Exercises that count and are not passed as often as the rule asks. `None` where there is no rule.
    pub lacks: Option<u32>,
}

/// Everybody who has finished an attempt, by name.
fn pupils(tried: Vec<Tried>, rule: &Rule) -> Vec<Pupil> {
    let mut all: BTreeMap<String, BTreeMap<String, Cell>> = BTreeMap::new();
    for one in tried {
        let cell = all
            .entry(one.trainee)
            .or_default()
            .entry(one.exercise)
            .or_default();
        cell.attempts += 1;
        if one.score > cell.best {
            cell.best = one.score;
        }
        cell.in_a_row = if one.passed { cell.in_a_row + 1 } else { 0 };
        if cell.marks.len() >= MARKS {
            cell.marks.remove(0);
        }
        cell.marks.push(Mark {
            attempt: one.id,
            station: one.station.clone(),
            points: one.score,
            of: one.points,
            passed: one.passed,
        });
    }
    let lacks = |cells: &BTreeMap<String, Cell>| {
        let lacking = rule.exercises.iter().filter(|id| {
            let cell = cells.get(*id);
            cell.is_none_or(|cell| cell.in_a_row < u32::from(rule.passes))
        });
        u32::try_from(lacking.count()).unwrap_or(u32::MAX)
    };
    let pupil = |(trainee, cells): (String, BTreeMap<String, Cell>)| Pupil {
        lacks: (!rule.exercises.is_empty()).then(|| lacks(&cells)),
        trainee,
        cells,
    };
    all.into_iter().map(pupil).collect()
}

/// A row of the page.
#[derive(Clone, Debug, Serialize)]
pub struct Offered {
    exercise: String,
    title: String,
}

/// The whole class.
#[derive(Clone, Debug, Serialize)]
pub struct Class {
    exercises: Vec<Offered>,
    trainees: Vec<Pupil>,
    rule: Rule,
    most_passes: u8,
}

/// The whole class as it stands.
///
/// # Errors
/// Who is no instructor, or records that cannot be read.
pub async fn class(
    State(shared): State<Shared>,
    headers: HeaderMap,
) -> Result<Json<Class>, Refusal> {
    as_instructor(&shared, &headers)?;
    let read = shared
        .clerk
        .answer(|records| Ok((records.tried()?, records.rule()?)));
    let (tried, kept) = read.await?;
    let rule = kept.and_then(|rule| serde_json::from_str(&rule).ok());
    let rule: Rule = rule.unwrap_or_default();
    let language = tongue::language(&headers);
    let card = |exercise: &Arc<Exercise>| Offered {
        exercise: exercise.id().to_owned(),
        title: exercise.title(language).into_owned(),
    };
    Ok(Json(Class {
        exercises: shared.exercises.all().iter().map(card).collect(),
        trainees: pupils(tried, &rule),
        rule,
        most_passes: MOST_PASSES,
    }))
}

/// Keeps a rule.
///
/// # Errors
/// Who is no instructor, a rule that cannot be one, or records that cannot be written.
pub(crate) async fn keep_rule(
    State(shared): State<Shared>,
    headers: HeaderMap,
    body: Posted<Rule>,
) -> Result<Json<Rule>, Refusal> {
    as_instructor(&shared, &headers)?;
    let rule = understood(body)?;
    let known = |id: &String| shared.exercises.find(id).is_some();
    check(&rule, known)
        .map_err(|why| Refusal::new(StatusCode::UNPROCESSABLE_ENTITY, "rule", why))?;
    let text = serde_json::json!(rule).to_string();
    let kept = shared.clerk.answer(move |records| records.keep_rule(&text));
    kept.await?;
    Ok(Json(rule))
}

fn check(rule: &Rule, known: impl Fn(&String) -> bool) -> Result<(), Line> {
    if !(1..=MOST_PASSES).contains(&rule.passes) {
        let told = [("passes", rule.passes.into()), ("most", MOST_PASSES.into())];
        return Err(Line::tell("rule-passes", told));
    }
    match rule.exercises.iter().find(|id| !known(id)) {
        Some(id) => {
            let id = id.clone().into();
            Err(Line::tell("rule-no-exercise", [("exercise", id)]))
        }
        None => Ok(()),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use twinplate_words::{Language, Words};

    fn tried(id: i64, trainee: &str, exercise: &str, score: f64) -> Tried {
        Tried {
            id,
            trainee: trainee.into(),
            station: "abcdefgh".into(),
            exercise: exercise.into(),
            score,
            points: 100.0,
            passed: score >= 80.0,
        }
    }

    fn rule(exercises: &[&str], passes: u8) -> Rule {
        Rule {
            exercises: exercises.iter().map(|id| (*id).to_owned()).collect(),
            passes,
        }
    }

    #[test]
    fn a_cell_has_the_best_and_the_last_ones_in_their_order() {
        let scores = [10.0, 90.0, 70.0, 85.0, 95.0, 80.0];
        let all = (1..).zip(scores);
        let all = all.map(|(id, score)| tried(id, "Ana", "a", score));
        let pupils = pupils(all.collect(), &Rule::default());
        let cell = &pupils[0].cells["a"];
        assert_eq!((cell.attempts, cell.best, cell.in_a_row), (6, 95.0, 3));
        let last: Vec<_> = cell.marks.iter().map(|mark| mark.points).collect();
        assert_eq!(last, scores[1..]);
    }

    #[test]
    fn who_is_ready_has_passed_each_one_that_counts_so_often_in_a_row_to_the_last() {
        let history = |scores: &[f64]| {
            let all = (1..).zip(scores);
            all.map(|(id, score)| tried(id, "Ana", "a", *score))
                .collect::<Vec<_>>()
        };
        let lacks = |scores: &[f64], rule: &Rule| pupils(history(scores), rule)[0].lacks;
        let twice = rule(&["a"], 2);
        assert_eq!(lacks(&[90.0, 80.0], &twice), Some(0));
        assert_eq!(lacks(&[10.0, 90.0, 80.0], &twice), Some(0));
        assert_eq!(lacks(&[90.0, 79.0, 80.0], &twice), Some(1), "not in a row");
        assert_eq!(lacks(&[90.0, 80.0, 79.0], &twice), Some(1), "not the last");
        assert_eq!(lacks(&[90.0], &twice), Some(1), "not often enough");
        assert_eq!(
            lacks(&[90.0, 80.0], &rule(&["a", "b"], 1)),
            Some(1),
            "b is open"
        );
        assert_eq!(lacks(&[90.0, 80.0], &rule(&[], 1)), None, "no rule");
    }

    #[test]
    fn each_is_judged_by_what_was_done_under_the_own_name() {
        let both = vec![
            tried(1, "Bo", "a", 90.0),
            tried(2, "Ana", "a", 10.0),
            tried(3, "Bo", "b", 10.0),
        ];
        let all = pupils(both, &rule(&["a"], 1));
        let told: Vec<_> = all
            .iter()
            .map(|one| (one.trainee.as_str(), one.lacks, one.cells.len()))
            .collect();
        assert_eq!(told, [("Ana", Some(1), 1), ("Bo", Some(0), 2)]);
    }

    #[test]
    fn a_rule_is_of_exercises_that_there_are_and_of_some_passes() {
        let known = |id: &String| id == "a";
        assert_eq!(check(&rule(&["a"], MOST_PASSES), known), Ok(()));
        assert_eq!(check(&rule(&[], 1), known), Ok(()));
        for (wrong, told) in [
            (rule(&["a"], 0), "1 to 5"),
            (rule(&["a"], MOST_PASSES + 1), "1 to 5"),
            (rule(&["a", "x"], 1), "`x`"),
        ] {
            let why = check(&wrong, known).expect_err("no rule");
            let why = why.told(Words::of(Language::English));
            assert!(why.contains(told), "{why}");
        }
    }
}
