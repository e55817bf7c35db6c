//! How often a draft is found where one is known to be, and how often the limit is named where none can be.

use crate::demo::failures;
use crate::generator::{Pair, feasible};
use crate::infeasible;
use twinplate_draft::draft;

/// What came of the drafts of feasible pairs.
pub struct Found {
    pub passed: usize,
    pub told: Vec<String>,
}

/// Drafts for feasible pairs; every draft that is given must pass a check of its own text with as many draws.
pub fn feasible_pairs(numbers: impl Iterator<Item = u64>, search: usize, proof: usize) -> Found {
    let mut found = Found {
        passed: 0,
        told: Vec::new(),
    };
    for number in numbers {
        let pair = feasible(number);
        match draft(&pair.order(search, proof)) {
            Ok(stages) => {
                for stage in &stages {
                    assert_eq!(
                        failures(&pair.machine, stage, proof),
                        Vec::<String>::new(),
                        "{}",
                        pair.name
                    );
                }
                found.passed += 1;
                if stages.len() > 1 {
                    found
                        .told
                        .push(format!("{}: {} recipes", pair.name, stages.len()));
                }
            }
            Err(bound) => found.told.push(format!(
                "{}: {:?} with {}: {}",
                pair.name, bound.limits, bound.with, bound.said
            )),
        }
    }
    found
}

/// A sample of the pairs behind the table in docs/draft.md.
#[test]
fn a_sample_of_feasible_pairs_gets_recipes_that_pass() {
    let count: u64 = std::env::var("PAIRS").map_or(6, |n| n.parse().expect("a number"));
    let found = feasible_pairs(0..count, 6, 12);
    for told in &found.told {
        println!("{told}");
    }
    println!("{} of {count}", found.passed);
    assert!(found.passed as u64 * 100 >= count * 95, "{:#?}", found.told);
}

#[test]
fn where_one_limit_forbids_it_the_draft_says_which() {
    let count: u64 = std::env::var("PAIRS").map_or(6, |n| n.parse().expect("a number"));
    let mut named = 0;
    for number in 0..count {
        let (pair, limit, what) = infeasible::pair(number);
        let Pair { name, .. } = &pair;
        match draft(&pair.order(6, 12)) {
            Ok(_) => panic!("{name}: a recipe where {what}"),
            Err(bound) => {
                let hit = bound.limits.first() == Some(&limit);
                named += u64::from(hit);
                if !hit {
                    println!("{name}: {what}: {:?} {}", bound.limits, bound.said);
                }
            }
        }
    }
    println!("{named} of {count} named");
    assert!(named * 50 >= count * 45);
}
