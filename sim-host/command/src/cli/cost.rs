//! `cost`: time and money, and when an order is done.

use super::args::shop::Cost;
use super::calibrate::{page, read};
use super::card::today;
use super::lay_in::{inputs, to};
use super::terminal::Terminal;
use super::told::{Told, tell};
use super::{Answer, Failure, files};
use crate::report::shop;
use std::path::Path;
use twinplate_shop::cost::day::number;
use twinplate_shop::cost::order::Order;
use twinplate_shop::cost::{Asked, cost as work_out, prices, record};
use twinplate_shop::json;
use twinplate_sim::files::FileError;
use twinplate_sim::files::quantity::{Dimension, parse};

/// Does the work.
///
/// # Errors
/// Files and lists with errors, a day that is no day, outputs that cannot be written.
pub fn cost(typed: Cost, terminal: Terminal) -> Result<Answer, Failure> {
    let order = order(&typed)?;
    let set = files::set(&typed.files.clone().into())?;
    let mut asked = Asked {
        loading: typed.loading,
        cleaning: typed.cleaning,
        order,
        seed: typed.seed,
        ..Asked::default()
    };
    let mut errors = Vec::new();
    asked.prices = sheet(typed.prices.as_deref(), &mut errors, prices::read)?;
    asked.record = sheet(typed.record.as_deref(), &mut errors, record::read)?;
    if !errors.is_empty() {
        return Err(Failure::Files(errors));
    }
    let file = to(&set, &typed.told);
    let lists: Vec<&Path> = [&typed.prices, &typed.record]
        .into_iter()
        .filter_map(Option::as_deref)
        .collect();
    let page = page(&file, "cost", &inputs(&set, &lists))?;
    let job = files::job(&set, None)?;
    let report = work_out(&job, &asked).map_err(Failure::no_answer)?;
    let told = Told {
        text: shop::cost(&report, terminal.out),
        json: json::cost(&report),
        page: shop::cost_page(&report),
    };
    tell(file.format, told, page, terminal)?;
    Ok(if shop::holds(&report) {
        Answer::Yes
    } else {
        Answer::No
    })
}

/// A sheet, where there is one; its errors go to the others.
fn sheet<T>(
    path: Option<&Path>,
    errors: &mut Vec<FileError>,
    of: impl Fn(&str, &[u8]) -> Result<T, Vec<FileError>>,
) -> Result<Option<T>, Failure> {
    let Some(path) = path else { return Ok(None) };
    match of(&path.display().to_string(), &read(path)?) {
        Ok(value) => Ok(Some(value)),
        Err(more) => {
            errors.extend(more);
            Ok(None)
        }
    }
}

/// The order, its working time counted.
fn order(typed: &Cost) -> Result<Option<Order>, Failure> {
    let (Some(parts), Some(by)) = (typed.order, &typed.by) else {
        return Ok(None);
    };
    let within = match (number(by), parse(by, Dimension::Time)) {
        (Some(last), _) => {
            let from = typed.from.clone().unwrap_or_else(today);
            // Parsed before.
            let days = last - number(&from).unwrap_or(last) + 1;
            if days < 1 {
                return Err(Failure::new(
                    format!("--by {by} is before the first day of work, {from}"),
                    "name a day from --from on, or a working time such as --by \"24 h\"",
                ));
            }
            days as f64 * typed.shift
        }
        (None, Ok(time)) if time > 0.0 && time.is_finite() => time,
        _ => {
            return Err(Failure::new(
                format!("--by `{by}` is neither a working time nor a day"),
                "such as --by \"24 h\", or --by 2026-03-06",
            ));
        }
    };
    Ok(Some(Order {
        parts,
        within,
        machines: typed.machines,
    }))
}
