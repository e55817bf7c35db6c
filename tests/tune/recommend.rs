//! Recommended gains on the demonstration machines: they pass what the tuner demands, they are at or under the published rules, and
//! `check` passes every recipe of the machine with them.
//!
//! Bounds are the design's (load-control page: nothing is recommended that fails the envelope) and `check`'s own; the rules are
//! Skogestad's (2003) and Åström & Hägglund's (2004).

use sim_host::demo;
use sim_host::model::Machine;
use sim_host::study::Case;
use sim_host::study::check::{Request, check};
use sim_host::study::finding::Place;
use sim_host::study::prove;
use sim_host::study::tune::candidates::{Lines, NOMINAL_MS, WORST_MS};
use sim_host::study::tune::recommend::{Options, Recommendation, best_rule_below, recommend};
use sim_host::study::tune::trial::Trial;
use sim_host::study::verdict::Verdict;

fn recommended(machine: &Machine) -> Recommendation {
    let trial = Trial::new(machine, None).expect("trial");
    let options = Options {
        runs: 10,
        compare: 4,
        shade: 0,
        plane: [4, 3],
        shades: [2, 2],
        ..Options::usual(2)
    };
    recommend(
        &Lines::declared(machine),
        Some(&trial),
        machine.gains,
        &options,
        &|_, _| (),
    )
    .expect("an answer")
}

fn on(name: &str) {
    let mut machine = demo::machine(name);
    let found = recommended(&machine);
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
    for other in found.candidates.iter().filter(|other| other.passes()) {
        assert!(
            this.worst_iae() <= other.worst_iae(),
            "{name}: {} against {}",
            this.named.name,
            other.named.name
        );
    }
    assert!(!chosen.reasons.is_empty() && !chosen.limited_by.is_empty());
    machine.gains = Some(this.named.gains);
    for recipe in demo::recipes() {
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
                proof: Some(prove::Options {
                    draws: 4,
                    threads: 2,
                    seed: 1,
                }),
                locate: &|_: &Place| None,
                waivers: &[],
                replay: &|run| format!("replay {run}"),
                progress: &|_| (),
            },
        );
        assert_eq!(
            result.report.verdict,
            Verdict::Pass,
            "{name}, {}: {:#?}",
            recipe.id,
            result.report.findings
        );
    }
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
