//! The chosen set's reasons, and what limits it, in sentences.

use super::{Candidate, Chosen};
use crate::candidates::{Broken, Family, Lines};
use crate::judge::Judgement;
use crate::optimum::{Active, Constraint};
use crate::typed::{Typed, Units};
use twinplate_check::finding::significant;
use twinplate_sim::model::Shown;

/// The chosen set with its reasons.
pub(super) fn chosen(
    lines: &Lines,
    candidates: &[Candidate],
    index: usize,
    judged: Option<Judgement>,
    shown: &Shown,
) -> Chosen {
    let this = &candidates[index];
    let errors = Errors(judged.as_ref().map(|_| Units::of_machine(shown).error));
    let number = |x: f64| significant(x, 3);
    let passing = || candidates.iter().filter(|c| c.passes());
    let mut reasons = vec![format!(
        "Of {} sets that hold every limit it has the least worst-case integral error under a load disturbance: {}.",
        passing().count(),
        errors.say(this)
    )];
    let least = passing().min_by(|a, b| a.worst_iae().total_cmp(&b.worst_iae()));
    if let Some(least) = least.filter(|least| least.worst_iae() < this.worst_iae()) {
        reasons[0] = format!(
            "Of {} sets that hold every limit it has, within a per cent that noise and draws decide, the least worst-case integral error \
             under a load disturbance: {}, {} has {}. Of those so near it keeps the smaller Ms on its worst corner, {} against {}.",
            passing().count(),
            errors.say(this),
            least.named.name,
            errors.say(least),
            number(this.on_lines.worst.sensitivity),
            number(least.on_lines.worst.sensitivity)
        );
    }
    reasons.extend(against_rules(candidates, index, &errors));
    if let Some(judged) = &judged {
        reasons.push(format!(
            "All {} runs on the real controller held: no trip, no harm, overshoot and hunting within their bounds.",
            judged.runs
        ));
    }
    Chosen {
        index,
        limited_by: limited_by(lines, candidates, index, judged.as_ref(), shown),
        judged,
        reasons,
    }
}

/// How worst-case errors are told: over a machine's runs in a unit, on lines for a unit step as a bare number.
struct Errors(Option<Typed>);

impl Errors {
    fn say(&self, candidate: &Candidate) -> String {
        match &self.0 {
            Some(unit) => unit.say(candidate.worst_iae(), 3),
            None => significant(candidate.worst_iae(), 3),
        }
    }

    /// The number alone.
    fn number(&self, candidate: &Candidate) -> String {
        match &self.0 {
            Some(unit) => unit.number(candidate.worst_iae(), 3),
            None => significant(candidate.worst_iae(), 3),
        }
    }
}

/// Against the best of SIMC and AMIGO at equal or smaller Ms.
fn against_rules(candidates: &[Candidate], index: usize, errors: &Errors) -> Option<String> {
    let this = &candidates[index];
    let best = best_rule_below(candidates, this.on_lines.nominal.sensitivity)?;
    let rule = &candidates[best];
    if best == index {
        return Some(format!(
            "It is itself the best of SIMC and AMIGO at a nominal Ms of at most {}.",
            significant(this.on_lines.nominal.sensitivity, 3)
        ));
    }
    Some(format!(
        "The best of SIMC and AMIGO at equal or smaller Ms, {} (Ms {}), has {}.",
        rule.named.name,
        significant(rule.on_lines.nominal.sensitivity, 3),
        errors.say(rule)
    ))
}

/// The SIMC or AMIGO set of the least worst-case error among those with a nominal Ms of at most `ms`.
#[must_use]
pub fn best_rule_below(candidates: &[Candidate], ms: f64) -> Option<usize> {
    (0..candidates.len())
        .filter(|&n| {
            let candidate = &candidates[n];
            matches!(candidate.named.family, Family::Simc | Family::Amigo)
                && candidate.on_lines.nominal.stable
                && candidate.on_lines.nominal.sensitivity <= ms
        })
        .min_by(|&a, &b| {
            candidates[a]
                .worst_iae()
                .total_cmp(&candidates[b].worst_iae())
        })
}

/// A limit that is used so far is named as one that binds.
const BINDS: f64 = 0.98;

/// Less relief than this is not worth a word, share.
const WORTH: f64 = 2e-3;

/// What limits the chosen set: limits that it touches, and quicker sets with what they break.
fn limited_by(
    lines: &Lines,
    candidates: &[Candidate],
    index: usize,
    judged: Option<&Judgement>,
    shown: &Shown,
) -> Vec<String> {
    let this = &candidates[index];
    let errors = Errors(judged.map(|_| Units::of_machine(shown).error));
    let mut found = Vec::new();
    // An optimum at a rule's own Ms touches that, which is no limit of ours.
    let ours = |active: &&Active| active.limit >= lines.limits.get(active.constraint);
    for active in this.active.iter().filter(ours) {
        let gain = if active.relief < WORTH {
            "more of it alone would bring nothing".to_owned()
        } else {
            let relief = significant(active.relief * 100.0, 2);
            format!("a tenth more would lower the worst-case error by {relief} %")
        };
        found.push(format!(
            "{} is at its limit of {}: {gain}.",
            active.constraint.name(),
            significant(active.limit, 3)
        ));
    }
    if let Some(judged) = judged {
        for demand in &judged.demands {
            if demand.bound > 0.0 && demand.value >= BINDS * demand.bound {
                let [value, bound, unit] = demand.told(shown);
                found.push(format!(
                    "{}: {value} of {bound}{unit} in run {}.",
                    demand.demand.what(),
                    demand.run
                ));
            }
        }
    }
    let for_comparison =
        |other: &Candidate| matches!(other.named.family, Family::ZieglerNichols | Family::Relay);
    for other in candidates.iter().filter(|other| !for_comparison(other)) {
        let Some(broken) = other.broken.first() else {
            continue;
        };
        if other.worst_iae() < this.worst_iae() {
            let [value, bound, _] = broken.told(shown);
            found.push(format!(
                "{} would have {} but breaks {}: {value} against {bound}{}{}.",
                other.named.name,
                errors.number(other),
                broken.what,
                give(broken),
                place(broken)
            ));
        }
    }
    if found.is_empty() {
        let nearest = nearest_limit(lines, this);
        found.push(format!("No limit binds; the nearest is {nearest}."));
    }
    found
}

/// By how much a bound would have to give.
fn give(broken: &Broken) -> String {
    if broken.bound > 0.0 {
        let share = 100.0 * (broken.value / broken.bound - 1.0);
        format!(", which would have to give by {} %", significant(share, 2))
    } else {
        String::new()
    }
}

/// Where, unless on the nominal line.
fn place(broken: &Broken) -> String {
    if broken.at == "nominal" {
        String::new()
    } else {
        format!(" ({})", broken.at)
    }
}

/// The limit of lines that is used most.
fn nearest_limit(lines: &Lines, this: &Candidate) -> String {
    let mut nearest = ("none".to_owned(), 0.0);
    for constraint in Constraint::ALL {
        let bound = lines.limits.get(constraint);
        let Some(value) = this.on_lines.get(constraint) else {
            continue;
        };
        if bound.is_finite() && value / bound > nearest.1 {
            let words = format!(
                "{}, {} of {}",
                constraint.name(),
                significant(value, 3),
                significant(bound, 3)
            );
            nearest = (words, value / bound);
        }
    }
    nearest.0
}
