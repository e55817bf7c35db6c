//! The page of batches one after another: how flatness and spread went, the plates before and after, the worst part, the table.

use super::answers::Answer;
use super::cycle::Profiles;
use super::html::{FOOT, five, head};
use super::trend::{self, Point};
use super::{fringes, pictures, plan};
use std::fmt::Write as _;
use twinplate_check::inspection::{FacesReport, MapReport};
use twinplate_check::verdict::Verdict;
use twinplate_sim::model::{Batch, Machine, Of, Shown, micrometres};

/// What the page is drawn from.
pub struct BatchesPage<'a> {
    /// Whether every batch held what it must.
    pub verdict: Verdict,
    /// Title of the recipe.
    pub title: &'a str,
    /// Recipe, machine and batch by id, and what was run.
    pub subject: &'a str,
    /// The five answers.
    pub answers: [Answer; 5],
    /// A batch each.
    pub points: &'a [Point],
    /// The part whose faces were out most in the whole run, and its batch.
    pub faces: Option<(&'a FacesReport, u32)>,
    /// Loads and wear over the whole run.
    pub map: &'a MapReport,
    /// Plates before the first batch and after the last.
    pub profiles: &'a Profiles,
    /// The machine.
    pub machine: &'a Machine,
    /// The batch.
    pub batch: &'a Batch,
    /// The units to answer in.
    pub shown: &'a Shown,
}

/// Draws the page.
#[must_use]
pub fn draw(page: &BatchesPage) -> String {
    let mut html = String::with_capacity(256 * 1024);
    let title = format!("{} - batches", page.verdict.word());
    head(&mut html, &title, page.title, page.subject);
    five(&mut html, page.verdict, &page.answers);
    let charts = [
        (
            "Flatness and spread",
            trend::parts(page.points, micrometres(page.batch.flatness), page.shown),
        ),
        ("Form of the plates", trend::plates(page.points, page.shown)),
    ];
    html.push_str("<div class=\"two\">");
    for (title, picture) in charts {
        // Writing to a String cannot fail.
        let _ = write!(
            html,
            "<div><h2>{title}</h2><div class=\"sheet\">{picture}</div></div>"
        );
    }
    html.push_str("</div>");
    if let Some((faces, batch)) = page.faces {
        let _ = write!(
            html,
            "<h2>The worst part under an optical flat: batch {batch}</h2><div class=\"sheet\">{}</div>",
            fringes::figures(faces, page.shown)
        );
    }
    let _ = write!(
        html,
        "<h2>Load and wear over the plates, the whole run, conditioning included</h2><div class=\"sheet wide\">{}</div>\
         <div class=\"two\"><div><h2>Plates before the first batch and after the last</h2><div class=\"sheet\">{}</div></div></div>",
        plan::draw(page.machine, page.batch, page.map, page.shown),
        pictures::plates(page.profiles, page.shown)
    );
    table(&mut html, page.points, page.shown);
    html.push_str(FOOT);
    html
}

fn table(html: &mut String, points: &[Point], shown: &Shown) {
    let [flat, size, form] = [Of::Flatness, Of::Size, Of::Form].map(|of| shown.symbol(of));
    let _ = write!(
        html,
        "<h2>Batch by batch</h2><div class=\"sheet scroll\"><table><tr><th>batch</th><th>flat {flat}</th><th>light bands</th><th>sd {size}</th>\
         <th>lower plate {form}</th><th>upper plate {form}</th><th class=\"l\">then</th></tr>",
    );
    for point in points {
        let then = if point.conditioned {
            "both plates were conditioned"
        } else {
            ""
        };
        let _ = write!(
            html,
            "<tr><td>{}</td><td>{}</td><td>{:.1}</td><td>{}</td><td>{}</td><td>{}</td><td class=\"l\">{then}</td></tr>",
            point.batch,
            shown.fixed(Of::Flatness, point.flat_um, 2),
            point.bands,
            shown.fixed(Of::Size, point.sd_um, 2),
            shown.signed(Of::Form, point.plates_um[0], 2),
            shown.signed(Of::Form, point.plates_um[1], 2)
        );
    }
    html.push_str("</table></div>");
}
