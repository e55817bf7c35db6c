//! Grain, slurry and what they are said to do, against what was published.

use super::Findings;
use crate::case::Case;
use crate::catalogue::Code;
use crate::finding::{Place, significant};
use twinplate_sim::model::{Batch, Consumables, MeasuredAt, Of, Process, Shown, micrometres};
use twinplate_sim::plant::abrasion::{Form, Material, Published, Supply};

/// Percent as a message shows it.
fn percent(share: f64) -> String {
    significant(share * 100.0, 3)
}

pub(super) fn check(case: &Case, findings: &mut Findings) {
    let (c, shown) = (&case.recipe.consumables, &case.recipe.shown);
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
    grains(c, &published, shown, findings);
    assumed(c, &published, shown, findings);
    // A measured value is held against the form for the grain and the slurry that it was measured with.
    let then = measured(c);
    let there = Published::of(&then, material);
    impossible(&then, &there, shown, findings);
    settling(c, case.batch, shown, findings);
    removal(c, &there, findings);
    for (code, told, value, form) in [
        (
            Code::FinishUnusual,
            ("roughness", "Ra", Of::Finish),
            c.roughness,
            there.roughness,
        ),
        (
            Code::DamageUnusual,
            ("damage", "damage of", Of::Depth),
            c.damage,
            there.damage,
        ),
    ] {
        if let Some(value) = value.filter(|value| !form.holds(*value))
            && !findings.has(Code::FinishImpossible)
        {
            unusual(code, told, value, &form, shown, findings);
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

fn grains(c: &Consumables, published: &Published, shown: &Shown, findings: &mut Findings) {
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
                Of::Grain,
            ),
            format!(
                "grains of {}; {} {} to {}",
                shown.say(Of::Grain, c.grain, 2),
                if c.process == Process::PadPolishing {
                    "on a pad polish"
                } else {
                    "results of lapping are published for"
                },
                shown.bare(Of::Grain, least, 2),
                shown.say(Of::Grain, most, 2)
            ),
            "use such a grain, or measure what this one does and expect the forms to be wrong"
                .to_owned(),
        );
    }
}

/// What nobody measured.
fn assumed(c: &Consumables, published: &Published, shown: &Shown, findings: &mut Findings) {
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
    for (key, what, value, form, of) in [
        (
            "roughness",
            "Ra",
            c.roughness,
            published.roughness,
            Of::Finish,
        ),
        ("damage", "damage", c.damage, published.damage, Of::Depth),
    ] {
        if value.is_none() {
            told.push((
                key,
                format!(
                    "{what} {} ({} to {})",
                    shown.say(of, form.usual, 2),
                    shown.bare(of, form.least, 2),
                    shown.bare(of, form.most, 2)
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
fn impossible(c: &Consumables, published: &Published, shown: &Shown, findings: &mut Findings) {
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
                Of::Finish,
            ),
            format!(
                "Ra {} was given; grains of {} usually leave {} to {}, and none is known to get under {}",
                shown.say(Of::Finish, roughness, 2),
                shown.say(Of::Grain, c.grain, 2),
                shown.bare(Of::Finish, published.roughness.least, 2),
                shown.say(Of::Finish, published.roughness.most, 2),
                shown.say(Of::Finish, published.roughness_possible, 2)
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
            (micrometres(damage), micrometres(roughness), Of::Depth),
            format!(
                "damage {} deep under a roughness of Ra {}: the damage reaches below the valleys",
                shown.say(Of::Depth, damage, 2),
                shown.say(Of::Finish, roughness, 2)
            ),
            format!(
                "measure the damage; this grain usually leaves {} to {}",
                shown.bare(Of::Depth, published.damage.least, 2),
                shown.say(Of::Depth, published.damage.most, 2)
            ),
        );
    }
}

/// The old face is gone when its valleys are: no new roughness settles over less depth than the old one reaches.
fn settling(c: &Consumables, batch: &Batch, shown: &Shown, findings: &mut Findings) {
    if c.settle_depth >= batch.roughness || findings.has(Code::FinishImpossible) {
        return;
    }
    findings.add(
        Code::FinishImpossible,
        Place::recipe("consumables.settle_depth"),
        (
            micrometres(c.settle_depth),
            micrometres(batch.roughness),
            Of::Depth,
        ),
        format!(
            "the roughness settles over {} of depth; the parts come in with Ra {}, whose valleys are deeper",
            shown.say(Of::Depth, c.settle_depth, 2),
            shown.say(Of::Finish, batch.roughness, 2)
        ),
        format!(
            "measure the depth over which roughness settles: {} or more",
            shown.at_least(Of::Depth, batch.roughness, 2)
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
    (key, what, of): (&'static str, &str, Of),
    value: f64,
    form: &Form,
    shown: &Shown,
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
        (micrometres(value), micrometres(bound), of),
        format!(
            "{what} {} was given; this grain on this material usually leaves {} to {}",
            shown.say(of, value, 2),
            shown.bare(of, form.least, 2),
            shown.say(of, form.most, 2)
        ),
        code.entry().cure.to_owned(),
    );
}
