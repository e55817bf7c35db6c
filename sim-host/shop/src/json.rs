//! What the verbs say, as JSON. Read by other programs: within a schema fields are only ever added. SI units, said in the names.

use crate::card::{Card, WHEN};
use crate::cost::CostReport;
use crate::lay_in::{LayInReport, Layout, Load, Ran, WAYS};
use serde_json::{Value, json};
use twinplate_sim::model::End;

/// Loads and pockets. `layout` gives the pockets of a load.
#[must_use]
pub fn lay_in(report: &LayInReport, layout: &dyn Fn(&Load) -> Layout) -> Value {
    let id = |part: usize| report.parts.get(part).map(|part| part.id.as_str());
    json!({
        "schema": 1,
        "verdict": if report.holds() { "pass" } else { "fail" },
        "file": report.file,
        "unit": report.unit.symbol,
        "parts": report.parts.len(),
        "set_aside": report.aside.iter().map(|part| id(*part)).collect::<Vec<_>>(),
        "mean_m": report.lot[0],
        "deviation_m": report.lot[1],
        "ways": WAYS.map(|way| {
            let total = report.total(way);
            json!({
                "way": way.word(),
                "first_contact_n": total.first_contact,
                "largest_load_n": total.largest,
                "lean_m": total.lean,
                "range_in_m": total.range_in,
                "range_out_m": total.range_out,
                "damage_m": total.damage,
                "time_s": total.time,
                "failed": total.failed,
            })
        }),
        "loads": report.loads().iter().enumerate().map(|(number, load)| {
            let layout = layout(load);
            json!({
                "load": number + 1,
                "parts": load.parts(),
                "dummies": load.dummies(),
                "dummy_m": (load.dummies() > 0).then_some(load.dummy),
                "thinnest_m": load.ends[0],
                "thickest_m": load.ends[1],
                "balance_m": load.lean,
                "run": ran(&load.ran),
                "pockets": load.pieces.iter().zip(&layout.laid).map(|(part, lies)| json!({
                    "carrier": lies.pocket.carrier + 1,
                    "pocket": lies.pocket.pocket + 1,
                    "part": part.and_then(id),
                    "thickness_m": part.map_or(load.dummy, |part| report.parts[part].thickness),
                })).collect::<Vec<_>>(),
            })
        }).collect::<Vec<_>>(),
        "short_load_without_dummies": report.unfilled.as_ref().map(ran),
        "faces": report.faces.map(|faces| json!({
            "removed_lower_m": faces.removed[0],
            "removed_upper_m": faces.removed[1],
            "damage_left_m": faces.left,
            "damage_allowed_m": faces.allowed,
            "damage_if_turned_over_m": faces.turned,
            "turn_over": faces.turn_over(),
        })),
        "notes": report.notes,
    })
}

fn ran(ran: &Result<Ran, String>) -> Value {
    match ran {
        Err(why) => json!({ "holds": false, "refused": why }),
        Ok(ran) => json!({
            "holds": ran.holds,
            "ending": ran.ending,
            "first_contact_n": ran.first_contact,
            "largest_load_n": ran.largest,
            "lean_m": ran.lean,
            "mean_m": ran.thickness.mean,
            "deviation_m": ran.thickness.sd,
            "thinnest_m": ran.thickness.min,
            "thickest_m": ran.thickness.max,
            "within_part_m": ran.within,
            "damage_m": ran.damage,
            "time_s": ran.time,
        }),
    }
}

/// A setup card.
#[must_use]
pub fn card(card: &Card) -> Value {
    let hex = |hash: u64| format!("{hash:#018x}");
    json!({
        "schema": 1,
        "checked": card.checked.words(),
        "hash": hex(card.hash),
        "date": card.date,
        "title": card.title,
        "files": card.files.iter().map(|file| json!({
            "kind": file.kind.word(), "id": file.id, "hash": hex(file.hash),
        })).collect::<Vec<_>>(),
        "counterbalance_pa": card.counterbalance,
        "resting_load_n": card.resting,
        "steps": card.steps.iter().map(|step| json!({
            "name": step.name,
            "pressure_pa": step.pressure,
            "load_n": step.load,
            "gauge_pa": step.gauge,
            "limit_n": step.limit,
            "speeds_rad_s": step.speeds,
            "flow_m3_s": step.flow,
            "end": match step.end {
                End::Time { seconds } => json!({ "time_s": seconds }),
                End::Stock { depth } => json!({ "stock_m": depth }),
                End::Size { thickness } => json!({ "size_m": thickness }),
            },
            "longest_s": step.longest,
        })).collect::<Vec<_>>(),
        "grains_kg_per_kg_of_vehicle": card.slurry.to_a_kilogram,
        "grains_kg_per_m3_of_vehicle": card.slurry.to_a_volume,
        "tank": { "grains_kg": card.slurry.tank[0], "vehicle_m3": card.slurry.tank[1] },
        "look": WHEN.iter().zip(&card.look).map(|(when, lines)| json!({ "when": when, "lines": lines })).collect::<Vec<_>>(),
    })
}

/// Time and money.
#[must_use]
pub fn cost(report: &CostReport) -> Value {
    let [turn, good] = report.pace();
    json!({
        "schema": 1,
        "complete": report.complete,
        "ending": report.ending,
        "recipe": report.names[0],
        "machine": report.names[1],
        "batch": report.names[2],
        "parts": report.parts,
        "cycle_s": report.taken.time,
        "loading_s": report.hands[0],
        "cleaning_s": report.hands[1],
        "turn_s": turn,
        "good_parts": good,
        "good_parts_per_hour": report.rate(),
        "slurry_m3": report.taken.slurry,
        "drive_energy_j": report.taken.energy,
        "currency": report.prices.as_ref().map(|list| &list.currency),
        "items": report.lines.iter().map(|line| json!({
            "item": line.item.word(), "amount_si": line.amount, "cost": line.cost,
        })).collect::<Vec<_>>(),
        "batch_cost": report.batch_cost(),
        "part_cost": report.part_cost(),
        "record": report.recorded.map(|([time, good], batches)| json!({
            "batches": batches, "mean_time_s": time, "mean_good": good, "deviation_s": report.deviation,
        })),
        "order": report.ordered.as_ref().map(|ordered| json!({
            "parts": ordered.order.parts,
            "machines": ordered.order.machines,
            "within_s": ordered.order.within,
            "batches": ordered.batches,
            "time_s": ordered.time,
            "odds": ordered.odds.as_ref().map(|odds| json!({
                "chance": odds.chance,
                "chance_between": odds.between,
                "draws": odds.draws,
                "time_5_50_95_s": odds.time,
                "batches_5_50_95": odds.batches,
            })),
        })),
        "notes": report.notes,
    })
}
