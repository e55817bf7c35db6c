//! Grain, slurry and what they are said to do, against what was published.

use super::Findings;
use crate::case::Case;
use crate::catalogue::Code;
use crate::finding::{Place, significant};
use twinplate_sim::model::{Batch, Consumables, MeasuredAt, Process, micrometres};
use twinplate_sim::plant::abrasion::{Form, Material, Published, Supply};

/// Micrometres as a message shows them.
fn um(length: f64) -> String {
    significant(micrometres(length), 2)
}

/// Percent as a message shows it.
fn percent(share: f64) -> String {
    significant(share * 100.0, 3)
}

pub(super) fn check(case: &Case, findings: &mut Findings) {
    let c = &case.recipe.consumables;
    if Supply::of(c).cutting(1.0) <= 0.0 {
        findings.add(
            Code::NoAbrasive,
            Place::recipe("consumables.concentration"),
            (percent_of(c), 0.0, "%"),
            format!(
                "the slurry carries no abrasive, and {} needs it",
                c.process.word()
            ),
            "mix abrasive into the slurry, or name the process that works without".to_owned(),
        );
        return;
    }
    let material = Material::named(&case.batch.material);
    let published = Published::of(c, material);
    grains(c, &published, findings);
    assumed(c, &published, findings);
    // A measured value is held against the form for the grain and the slurry that it was measured with.
    let then = measured(c);
    let there = Published::of(&then, material);
    impossible(&then, &there, findings);
    settling(c, case.batch, findings);
    removal(c, &there, findings);
    for (code, key, what, value, form) in [
        (
            Code::FinishUnusual,
            "roughness",
            "Ra",
            c.roughness,
            there.roughness,
        ),
        (
            Code::DamageUnusual,
            "damage",
            "damage of",
            c.damage,
            there.damage,
        ),
    ] {
        if let Some(value) = value.filter(|value| !form.holds(*value))
            && !findings.has(Code::FinishImpossible)
        {
            unusual(code, key, what, value, &form, findings);
        }
    }
}

fn percent_of(c: &Consumables) -> f64 {
    c.concentration * 100.0
}

/// The recipe's abrasive as it was when it was measured.
fn measured(c: &Consumables) -> Consumables {
    let mut then = c.clone();
    if let Some(MeasuredAt {
        grain,
        concentration,
    }) = c.measured_at
    {
        (then.grain, then.concentration) = (grain, concentration);
    }
    then
}

fn grains(c: &Consumables, published: &Published, findings: &mut Findings) {
    if let Some([least, most]) = published.practice
        && (c.concentration < least * (1.0 - 1e-9) || c.concentration > most * (1.0 + 1e-9))
    {
        let (bound, word) = if c.concentration < least {
            (least, "up to")
        } else {
            (most, "down to")
        };
        findings.add(
            Code::ConcentrationUnusual,
            Place::recipe("consumables.concentration"),
            (percent_of(c), bound * 100.0, "%"),
            format!(
                "{} % of abrasive; {} of {} usually has {} to {} %",
                percent(c.concentration),
                c.process.word(),
                c.abrasive,
                percent(least),
                percent(most)
            ),
            format!("bring it {word} {} %", percent(bound)),
        );
    }
    let [least, most] = published.grains;
    if c.grain < least * (1.0 - 1e-9) || c.grain > most * (1.0 + 1e-9) {
        findings.add(
            Code::GrainUnpublished,
            Place::recipe("consumables.grain"),
            (
                micrometres(c.grain),
                micrometres(if c.grain < least { least } else { most }),
                "µm",
            ),
            format!(
                "grains of {} µm; {} {} to {} µm",
                um(c.grain),
                if c.process == Process::PadPolishing {
                    "on a pad polish"
                } else {
                    "results of lapping are published for"
                },
                um(least),
                um(most)
            ),
            "use such a grain, or measure what this one does and expect the forms to be wrong"
                .to_owned(),
        );
    }
}

/// What nobody measured.
fn assumed(c: &Consumables, published: &Published, findings: &mut Findings) {
    let mut told = Vec::new();
    if c.removal.is_none() {
        let form = published.removal;
        told.push((
            "removal",
            format!(
                "removal {} 1/Pa ({} to {})",
                significant(form.usual, 2),
                significant(form.least, 2),
                significant(form.most, 2)
            ),
        ));
    }
    for (key, what, value, form) in [
        ("roughness", "Ra", c.roughness, published.roughness),
        ("damage", "damage", c.damage, published.damage),
    ] {
        if value.is_none() {
            told.push((
                key,
                format!(
                    "{what} {} µm ({} to {})",
                    um(form.usual),
                    um(form.least),
                    um(form.most)
                ),
            ));
        }
    }
    let Some((first, _)) = told.first() else {
        return;
    };
    let keys: Vec<&str> = told.iter().map(|(key, _)| *key).collect();
    let texts: Vec<&str> = told.iter().map(|(_, text)| text.as_str()).collect();
    // Counts three at most.
    #[allow(clippy::cast_precision_loss)]
    let count = told.len() as f64;
    findings.add(
        Code::ProcessAssumed,
        Place::recipe(format!("consumables.{first}")),
        (count, 0.0, "values"),
        format!(
            "not measured, taken from published results: {}",
            texts.join(", ")
        ),
        format!("lap a trial batch and write down {}", keys.join(", ")),
    );
}

/// What no process leaves.
fn impossible(c: &Consumables, published: &Published, findings: &mut Findings) {
    if let Some(roughness) = c
        .roughness
        .filter(|roughness| *roughness < published.roughness_possible)
    {
        findings.add(
            Code::FinishImpossible,
            Place::recipe("consumables.roughness"),
            (
                micrometres(roughness),
                micrometres(published.roughness_possible),
                "µm",
            ),
            format!(
                "Ra {} µm was given; grains of {} µm usually leave {} to {} µm, and none is known to get under {} µm",
                um(roughness),
                um(c.grain),
                um(published.roughness.least),
                um(published.roughness.most),
                um(published.roughness_possible)
            ),
            "measure the roughness, or correct the grain".to_owned(),
        );
        return;
    }
    let roughness = c.roughness.unwrap_or(published.roughness.usual);
    if let Some(damage) = c.damage
        && published.breaks
        && damage < roughness
    {
        findings.add(
            Code::FinishImpossible,
            Place::recipe("consumables.damage"),
            (micrometres(damage), micrometres(roughness), "µm"),
            format!(
                "damage {} µm deep under a roughness of Ra {} µm: the damage reaches below the valleys",
                um(damage),
                um(roughness)
            ),
            format!(
                "measure the damage; this grain usually leaves {} to {} µm",
                um(published.damage.least),
                um(published.damage.most)
            ),
        );
    }
}

/// The old face is gone when its valleys are: no new roughness settles over less depth than the old one reaches.
fn settling(c: &Consumables, batch: &Batch, findings: &mut Findings) {
    if c.settle_depth >= batch.roughness || findings.has(Code::FinishImpossible) {
        return;
    }
    findings.add(
        Code::FinishImpossible,
        Place::recipe("consumables.settle_depth"),
        (
            micrometres(c.settle_depth),
            micrometres(batch.roughness),
            "µm",
        ),
        format!(
            "the roughness settles over {} µm of depth; the parts come in with Ra {} µm, whose valleys are deeper",
            um(c.settle_depth),
            um(batch.roughness)
        ),
        format!(
            "measure the depth over which roughness settles: {} µm or more",
            um(batch.roughness)
        ),
    );
}

fn removal(c: &Consumables, published: &Published, findings: &mut Findings) {
    let Some(given) = c.removal else { return };
    let form = published.removal;
    let outside = published
        .removals
        .filter(|[least, most]| given < *least || given > *most);
    let [least, most] = match outside {
        _ if !form.holds(given) => [form.least, form.most],
        Some(ever) => ever,
        None => return,
    };
    findings.add(
        Code::RemovalUnusual,
        Place::recipe("consumables.removal"),
        (given, if given < least { least } else { most }, "1/Pa"),
        format!(
            "removal {} 1/Pa was given; {} usually has {} to {} 1/Pa",
            significant(given, 2),
            if form.holds(given) {
                "this process"
            } else {
                "this grain on this material"
            },
            significant(least, 2),
            significant(most, 2)
        ),
        "measure it again: weigh parts before and after a known path at a known pressure"
            .to_owned(),
    );
}

fn unusual(
    code: Code,
    key: &'static str,
    what: &str,
    value: f64,
    form: &Form,
    findings: &mut Findings,
) {
    let bound = if value < form.least {
        form.least
    } else {
        form.most
    };
    findings.add(
        code,
        Place::recipe(format!("consumables.{key}")),
        (micrometres(value), micrometres(bound), "µm"),
        format!(
            "{what} {} µm was given; this grain on this material usually leaves {} to {} µm",
            um(value),
            um(form.least),
            um(form.most)
        ),
        code.entry().cure.to_owned(),
    );
}
