//! Recommended gains on the demonstration machines: they pass what the tuner demands, they are at or under the published rules, and
//! `check` passes every recipe of the machine with them.
//!
//! Bounds are the design's (load-control page: nothing is recommended that fails the envelope) and `check`'s own; the rules are
//! Skogestad's (2003) and Åström & Hägglund's (2004).

use crate::pages::{check as page, table};
use std::sync::OnceLock;
use twinplate_check::Case;
use twinplate_check::check::{Request, check};
use twinplate_check::finding::Place;
use twinplate_check::trials::TrialPlan;
use twinplate_sim::demo;
use twinplate_tune::candidates::{Family, Lines, NOMINAL_MS, WORST_MS};
use twinplate_tune::effort::Effort;
use twinplate_tune::recommend::{Candidate, Recommendation, best_rule_below, recommend};
use twinplate_tune::trial::Trial;

const MACHINES: [&str; 3] = ["machine-a", "machine-b", "machine-c"];
/// Draws that each candidate sees here; the verb takes more.
const COMPARE: usize = 8;

/// The recommendation for a machine, made once however many ask.
fn recommended(name: &str) -> &'static Recommendation {
    static DONE: [OnceLock<Recommendation>; 3] = [const { OnceLock::new() }; 3];
    let place = MACHINES.iter().position(|known| *known == name);
    DONE[place.expect("a demonstration machine")].get_or_init(|| {
        let machine = demo::machine(name);
        let trial = Trial::new(&machine, None).expect("trial");
        let options = Effort {
            runs: 10,
            compare: COMPARE,
            shade: 0,
            plane: [4, 3],
            shades: [2, 2],
            ..Effort::usual(2)
        };
        recommend(
            &Lines::declared(&machine),
            Some(&trial),
            machine.gains,
            &options,
            &|_, _| (),
        )
        .expect("an answer")
    })
}

fn on(name: &str) {
    let mut machine = demo::machine(name);
    let found = recommended(name);
    let Ok(chosen) = &found.answer else {
        panic!("{name}: {:?}", found.answer);
    };
    let this = &found.candidates[chosen.index];
    let judged = chosen.judged.as_ref().expect("judged");
    assert!(judged.passes() && judged.runs == 11, "{name}: {judged:?}");
    assert!(this.on_lines.nominal.sensitivity <= NOMINAL_MS * 1.001);
    assert!(this.on_lines.worst.sensitivity <= WORST_MS * 1.001);
    let rule = best_rule_below(&found.candidates, this.on_lines.nominal.sensitivity)
        .map(|n| &found.candidates[n])
        .expect("a rule of equal or smaller Ms");
    assert!(
        this.worst_iae() <= rule.worst_iae(),
        "{name}: {} {} against {} {}",
        this.named.name,
        this.worst_iae(),
        rule.named.name,
        rule.worst_iae()
    );
    // Within a per cent noise and draws decide: there the more robust corner does.
    for other in found.candidates.iter().filter(|other| other.passes()) {
        let (ours, theirs) = (this.worst_iae(), other.worst_iae());
        let robust = this.on_lines.worst.sensitivity <= other.on_lines.worst.sensitivity;
        assert!(
            ours <= theirs || ours <= 1.01 * theirs && robust,
            "{name}: {} against {}",
            this.named.name,
            other.named.name
        );
    }
    assert!(!chosen.reasons.is_empty() && !chosen.limited_by.is_empty());
    machine.gains = Some(this.named.gains);
    for recipe in &demo::recipes() {
        let (written_for, batch, recipe) = demo::set(recipe);
        if written_for.id != machine.id {
            continue;
        }
        let case = Case {
            machine: &machine,
            batch: &batch,
            recipe: &recipe,
        };
        let result = check(
            &case,
            &Request {
                trials: TrialPlan {
                    draws: 4,
                    threads: 2,
                    seed: 1,
                },
                locate: &|_: &Place| None,
                waivers: &[],
                replay: &|run| format!("replay {run}"),
                progress: &|_| (),
                judged: &|_| (),
            },
        )
        .expect("a controller in this process answers");
        assert!(
            result.report.findings.is_empty(),
            "{name}, {}: {:#?}",
            recipe.id,
            result.report.findings
        );
    }
}

/// The verb's own settings, and the number of runs turned: the recommendation of machine A is one and the same.
#[test]
fn the_number_of_runs_does_not_turn_the_recommendation() {
    let machine = demo::machine("machine-a");
    let trial = Trial::new(&machine, None).expect("trial");
    let mut named = Vec::new();
    for runs in [20, 500] {
        let usual = Effort::usual(2);
        let options = Effort {
            runs,
            compare: usual.compare.min(runs),
            shade: 0,
            plane: [4, 3],
            shades: [2, 2],
            ..usual
        };
        let lines = Lines::declared(&machine);
        let found = recommend(&lines, Some(&trial), None, &options, &|_, _| ()).expect("an answer");
        let chosen = found.answer.as_ref().expect("a recommendation");
        println!("{runs} runs: {:?}", chosen.reasons);
        named.push(found.candidates[chosen.index].named.clone());
    }
    assert!(named.iter().all(|set| *set == named[0]), "{named:?}");
}

#[test]
fn the_small_machine() {
    on("machine-a");
}

#[test]
fn the_middle_machine() {
    on("machine-b");
}

#[test]
fn the_large_machine() {
    on("machine-c");
}

/// The page has, for each machine, the recommended set beside the best of each rule and of the optimum that hold every limit.
#[test]
fn the_page_has_the_three_machines() {
    let mut rows = Vec::new();
    for name in MACHINES {
        let found = recommended(name);
        let chosen = found.answer.as_ref().expect("a recommendation");
        let said = |candidate: &Candidate| {
            format!(
                "{}: {:.2} N·s, Ms {:.2}, worst {:.2}",
                candidate.named.name,
                candidate.worst_iae(),
                candidate.on_lines.nominal.sensitivity,
                candidate.on_lines.worst.sensitivity
            )
        };
        let best = |family: Family| {
            found
                .candidates
                .iter()
                .filter(|candidate| candidate.named.family == family && candidate.passes())
                .min_by(|a, b| a.worst_iae().total_cmp(&b.worst_iae()))
                .map_or_else(|| "–".to_owned(), said)
        };
        rows.push(vec![
            format!("`{name}`"),
            said(&found.candidates[chosen.index]),
            best(Family::Simc),
            best(Family::Amigo),
            best(Family::Optimum),
            chosen.limited_by.first().cloned().unwrap_or_default(),
        ]);
    }
    let head = [
        "machine",
        "recommended",
        "best SIMC",
        "AMIGO",
        "best optimum",
        "what limits it first",
    ];
    page("docs/tuning.md", "machines", &table(&head, rows));
}
