//! What `draft` came to: text for a terminal, the verdict in the last line, and one self-contained page.

mod page;
mod text;

pub(crate) use page::draw as page;
pub(crate) use text::draw as text;

use super::duration;
use twinplate_check::finding::significant;
use twinplate_draft::{Bound, Limit, Order, Stage, Trade};
use twinplate_sim::model::Of;

/// What there is to tell.
pub(crate) struct Drafted<'a> {
    pub order: &'a Order<'a>,
    pub drafted: &'a Result<Vec<Stage>, Bound>,
    pub trade: &'a [Trade],
}

/// What everybody is told who takes a draft to a machine.
const CAUTION: &str = "a draft is proved on the simulated machine alone, and is as good as the files it was made from. Check it with your own, \
     begin at the lowest load, keep to the machine's limits and the local code.";

/// What was asked for.
fn subject(told: &Drafted) -> String {
    let order = told.order;
    let mut words = format!(
        "shelf {}, goal {}, {}",
        order.shelf.id,
        order.goal.word(),
        if order.gauge {
            "a size gauge fitted"
        } else {
            "no size gauge"
        }
    );
    if let Some(longest) = order.longest {
        words.push_str(&format!(", no cycle longer than {}", duration(longest)));
    }
    words
}

/// The limits in words: what binds, and what holds it from the other side.
fn binds(limits: &[Limit]) -> String {
    let words: Vec<&str> = limits.iter().map(|limit| limit.words()).collect();
    words.join("; against ")
}

/// Heads of the table of goals.
fn heads(told: &Drafted) -> [String; 6] {
    let currency = told.order.shelf.currency.as_deref();
    [
        "goal".to_owned(),
        "recipes".to_owned(),
        "cycle".to_owned(),
        "load left, %".to_owned(),
        format!("flat left, {}", told.order.shown.symbol(Of::Flatness)),
        format!("cost, {}", currency.unwrap_or("no prices")),
    ]
}

/// A row of it.
fn row(told: &Drafted, row: &Trade) -> [String; 6] {
    let mark = if row.goal == told.order.goal {
        " *"
    } else {
        ""
    };
    let goal = format!("{}{mark}", row.goal.word());
    match &row.brought {
        Ok(brought) => [
            goal,
            brought.recipes.to_string(),
            duration(brought.cycle_s),
            significant(100.0 * brought.load_margin, 2),
            told.order
                .shown
                .digits(Of::Flatness, brought.flatness_left_um, 3),
            brought
                .cost
                .map_or_else(|| "-".to_owned(), |cost| significant(cost, 3)),
        ],
        Err(limits) => {
            let first = limits.first().map_or("", |limit| limit.name());
            [
                goal,
                "none".to_owned(),
                first.to_owned(),
                String::new(),
                String::new(),
                String::new(),
            ]
        }
    }
}

/// What the table is of.
const TRADED: &str = "*: drafted and proved. The others by fewer trials, to compare and not to run. Left: what the worst run leaves of the load \
     bound nearest to it, and of the flatness allowed. Of several recipes in a row: times and costs together, the least of what is left.";

/// The verdict in the last line.
fn verdict(told: &Drafted) -> String {
    match told.drafted {
        Ok(stages) => {
            let warned = stages
                .iter()
                .any(|stage| stage.report.verdict == twinplate_check::verdict::Verdict::Warn);
            format!(
                "pass, {} recipe{}{}",
                stages.len(),
                if stages.len() == 1 { "" } else { "s" },
                if warned { ", with warnings" } else { "" }
            )
        }
        Err(bound) => {
            let names: Vec<&str> = bound.limits.iter().map(|limit| limit.name()).collect();
            format!("no recipe: {}", names.join(" against "))
        }
    }
}

/// What a check of a stage came to.
fn proved(stage: &Stage) -> String {
    let report = &stage.report;
    format!(
        "{}: {} of {} runs failed; a cycle of {}, {} of slurry",
        report.verdict.word(),
        report.envelope.failed,
        report.envelope.runs,
        duration(report.prediction.cycle_s),
        stage
            .recipe
            .value
            .shown
            .tell(Of::Volume, report.prediction.slurry_l, 3)
    )
}
