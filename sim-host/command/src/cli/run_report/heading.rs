//! What heads the page of a run: the same five places as on the page of a check, filled with what happened instead of what is foretold.

use super::RunReport;
use crate::report::answers::{self, Answer};
use crate::report::duration;
use crate::report::html::Told;
use twinplate_check::finding::significant;
use twinplate_check::verdict::CheckReport;
use twinplate_check::verdict::targets::sizes;
use twinplate_sim::bench::Ended;
use twinplate_sim::model::Of;

impl RunReport {
    /// How the run ended, one clause.
    pub(super) fn ending(&self) -> String {
        match self.cycle_s {
            Some(cycle) if self.ended == Ended::Complete.word() => {
                format!("{} after {}", self.ended, duration(cycle))
            }
            Some(cycle) => format!(
                "{} (state {}); the batch was complete after {}",
                self.ended,
                self.state.word(),
                duration(cycle)
            ),
            None => format!("{} (state {})", self.ended, self.state.word()),
        }
    }

    /// The heading; `page` is the same run as a check of one.
    pub fn heading(&self, page: &CheckReport) -> Told {
        let [verdict, fails, margin, ..] = answers::five(page);
        let verdict = Answer {
            short: self.verdict.word().to_uppercase(),
            detail: match fails.short.as_str() {
                "nothing" if self.harm.is_empty() => "no harm, every bound held".to_owned(),
                "nothing" => "the run is not as it should be: see below".to_owned(),
                what => what.to_owned(),
            },
            ..verdict
        };
        let mut happened = Vec::new();
        if let Some(cause) = &self.cause {
            happened.push(format!(
                "first cause: {} (row {}) at {:.1} s: {} {}",
                cause.name, cause.id, cause.time_s, cause.happened, cause.cure
            ));
        }
        if !self.missing.is_empty() {
            happened.push(format!(
                "start refused; missing: {}",
                self.missing.join(", ")
            ));
        }
        happened.extend(
            self.never
                .iter()
                .map(|what| format!("never happened: {what}")),
        );
        happened.extend(
            self.harm
                .iter()
                .map(|harm| format!("HARM: {} (worst {})", harm.what, significant(harm.worst, 3))),
        );
        let margin = Answer {
            // There is one run, whichever machine it was.
            detail: margin
                .detail
                .rsplit_once(", ")
                .map_or_else(|| margin.detail.clone(), |(bound, _)| bound.to_owned()),
            ..margin
        };
        let (thickness, shown) = (&self.thickness_um, &self.shown);
        Told {
            subject: self.subject(),
            answers: [
                verdict,
                Answer {
                    question: "How it ended",
                    short: self.ending(),
                    detail: happened.join("; "),
                },
                margin,
                Answer {
                    question: "Parts as they are",
                    short: format!(
                        "{}, Ra {}",
                        shown.fixed_with(Of::Size, thickness.mean, 1),
                        shown.tell(Of::Finish, self.roughness_um, 2)
                    ),
                    detail: format!(
                        "target {} ± {}; {}; {}{}; {}{} slurry",
                        shown.fixed(Of::Size, page.subject.size_um[0], 1),
                        shown.tell(Of::Size, page.subject.size_um[1], 3),
                        sizes(shown, thickness.min, thickness.max),
                        self.largest_part
                            .map_or_else(String::new, |part| format!("{}; ", part.words(shown))),
                        self.leaning.words(shown),
                        self.damage_told(),
                        shown.tell(Of::Volume, self.slurry_l, 2)
                    ),
                },
                Answer {
                    question: "What was run",
                    short: "one cycle".to_owned(),
                    detail: format!("{}; a single run says nothing about others", self.subject()),
                },
            ],
        }
    }

    /// The deepest damage that is left, ending with a semicolon; empty where there are no parts.
    pub(super) fn damage_told(&self) -> String {
        self.damage_left.as_ref().map_or_else(String::new, |left| {
            format!("{}; ", answers::damage(left, &self.shown))
        })
    }

    /// What was run: scenario, seed, draw.
    fn subject(&self) -> String {
        let scenario = self
            .scenario
            .as_ref()
            .map_or_else(|| "no scenario".to_owned(), |id| format!("scenario {id}"));
        self.drawn().map_or_else(
            || "a journal, run again".to_owned(),
            |drawn| format!("{scenario}, {drawn}"),
        )
    }
}
