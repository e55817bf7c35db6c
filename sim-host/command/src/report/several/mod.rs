//! What comes of more than one recipe: a sweep, two recipes side by side, a route. Text for a terminal, the verdict in the last line, and
//! one self-contained page each.

mod beside;
mod route;
mod sweep;
mod sweep_page;

pub(crate) use beside::{draw as beside, page as beside_page};
pub(crate) use route::{
    draw as route, draw_runs as route_runs, page as route_page, page_of_runs as runs_page,
};
pub(crate) use sweep::draw as sweep;
pub(crate) use sweep_page::draw as sweep_page;

use super::counted;
use twinplate_check::verdict::Verdict;
use twinplate_sim::model::{Of, Shown};

/// The caution under each page.
const CAUTION: &str = "a verdict is about a model of a machine file. Try a recipe that was found here with care, on sound parts that may be \
                       lost, under local codes and licensed practice.";

/// A number that reports count in, in the unit that is shown, or that there is none.
fn told(shown: &Shown, of: Option<Of>, value: Option<f64>, digits: usize) -> String {
    value.map_or_else(|| "–".to_owned(), |value| counted(shown, of, value, digits))
}

/// Class, sign and word of a verdict's card.
fn card(verdict: Verdict) -> [&'static str; 3] {
    match verdict {
        Verdict::Pass => ["pass", "✓", "pass"],
        Verdict::Warn => ["warn", "▲", "warn"],
        Verdict::Fail => ["fail", "✕", "fail"],
    }
}
