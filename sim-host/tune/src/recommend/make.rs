//! All candidates, before they are measured.

use crate::candidates::{Family, Lines, Named, by_rules, on_lines, optimum};
use crate::optimum::{Active, NoOptimum};
use twinplate_check::finding::significant;
use twinplate_linear::line::Defect;
use twinplate_sim::bench::ensemble;
use twinplate_sim::model::Gains;

/// Candidates with the limits that an optimum touches, and why there is no optimum where there is none.
type Made = (Vec<(Named, Vec<Active>)>, Option<String>);

/// All candidates: those by rule, the optimum under the limits, the optimum at each rule's own Ms, and what is in force.
pub(super) fn all(lines: &Lines, present: Option<Gains>, threads: usize) -> Result<Made, Defect> {
    let rules = by_rules(lines)?;
    // The optimum at a rule's own sensitivity shows what the rule gives away; and a tighter loop may pass where the limit does not.
    let mut levels = vec![(lines.limits.sensitivity, "optimum".to_owned())];
    for rule in &rules {
        if matches!(rule.family, Family::Simc | Family::Amigo) {
            let found = on_lines(lines, &rule.gains)?.nominal;
            if found.stable && found.sensitivity < lines.limits.sensitivity {
                levels.push((
                    found.sensitivity,
                    format!("optimum {:.2}", found.sensitivity),
                ));
            }
        }
    }
    let optima = ensemble(levels.len(), threads, &|_| (), |n| {
        optimum(lines, levels[n].0, 1.0)
    });
    let mut made: Vec<(Named, Vec<Active>)> =
        rules.into_iter().map(|rule| (rule, Vec::new())).collect();
    let mut none = None;
    for ((sensitivity, name), found) in levels.iter().zip(optima) {
        match found {
            Ok(found) => {
                let gains = found.score.gains;
                // Where another limit binds first, several levels end in the same set.
                let known = made.iter().any(|(other, _)| {
                    other.family == Family::Optimum && near(&other.gains, &gains)
                });
                if !known {
                    made.push((
                        Named {
                            name: name.clone(),
                            from: format!(
                                "least worst-case error under a load disturbance, nominal Ms at most {}",
                                significant(*sensitivity, 3)
                            ),
                            family: Family::Optimum,
                            gains,
                        },
                        found.active,
                    ));
                }
            }
            Err(NoOptimum::Defect(defect)) => return Err(defect),
            Err(error @ NoOptimum::Nothing(..)) => {
                none.get_or_insert_with(|| error.to_string());
            }
        }
    }
    for (named, _) in &mut made {
        named.gains = rounded(named.gains);
    }
    if let Some(gains) = present {
        made.push((
            Named {
                name: "in force".into(),
                from: "the machine file's gains".into(),
                family: Family::Present,
                gains,
            },
            Vec::new(),
        ));
    }
    Ok((made, none))
}

/// Digits of the gains: what is judged is what is written into a file.
const DIGITS: usize = 5;

/// Gains as a file will say them.
fn rounded(gains: Gains) -> Gains {
    let round = |x: f64| format!("{x:.*e}", DIGITS - 1).parse().unwrap_or(x);
    Gains {
        kc: round(gains.kc),
        ti: round(gains.ti),
        weight: gains.weight,
    }
}

/// Within half a percent of each other.
fn near(a: &Gains, b: &Gains) -> bool {
    let close = |x: f64, y: f64| twinplate_sim::math::abs(x / y - 1.0) < 5e-3;
    close(a.kc, b.kc) && close(a.ti, b.ti)
}
