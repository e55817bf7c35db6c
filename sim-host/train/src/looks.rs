//! What eyes and hands find out beside the panel: counting parts, looking at the slurry.

use super::protocol::NewsKind;
use super::session::{Refused, Session};
use twinplate_sim::bench::ControllerPort;
use twinplate_sim::math;
use twinplate_sim::model::{Component, FaultMode};

impl<C: ControllerPort> Session<C> {
    pub(super) fn count_parts(&mut self) -> Result<(), Refused> {
        let plant = self.bench.plant();
        if !plant.loaded() {
            return Err(Refused::new(
                "empty",
                "there are no carriers in the machine: load them first",
            ));
        }
        let pockets = plant.parts().len();
        let present = plant.parts().filter(|part| part.present).count();
        let doubled = match plant.failing(Component::Parts) {
            // A count of pockets, checked when the fault was taken.
            Some((FaultMode::Wrong, count)) => (count as usize).min(pockets),
            _ => 0,
        };
        let found = match (pockets - present, doubled) {
            (0, 0) => format!("{present} of {pockets} pockets filled; each part lies flat."),
            (empty, 0) => format!("{present} of {pockets} pockets filled; {empty} empty."),
            (_, doubled) => format!(
                "{} parts in {pockets} pockets; {doubled} pocket(s) with two parts, one on the other: they do not lie flat.",
                present + doubled
            ),
        };
        self.tell(NewsKind::Seen, found, 0);
        Ok(())
    }

    pub(super) fn check_slurry(&mut self) {
        let plant = self.bench.plant();
        let pumping = self.answer().outputs.pump > 0;
        let running = self.answer().outputs.agitator;
        let agitator = match plant.failing(Component::Agitator) {
            Some((FaultMode::Off | FaultMode::Stuck, _)) => {
                "The agitator's switch at the tank is off: it does not turn."
            }
            Some((FaultMode::Wrong, _)) => {
                "The agitator's motor turns, but its blade stands still."
            }
            Some(_) => "The agitator turns by fits and starts.",
            None if running => "The agitator turns.",
            None => "The agitator is switched on at the tank and turns with the cycle.",
        };
        let line = match plant.failing(Component::SlurryLine) {
            Some((FaultMode::Off, _)) if pumping => {
                "The hose is tight as a drum and nothing comes out of it: blocked."
            }
            Some((FaultMode::Off, _)) => "There is a dry plug in the end of the line.",
            Some(_) if pumping => "Slurry comes unevenly.",
            _ if pumping => "Slurry runs as it should.",
            _ => "The line is clear.",
        };
        let settled = if plant.truth().suspended < 0.7 {
            " The abrasive has settled: the top of the tank is clear."
        } else {
            ""
        };
        // What a dip stick shows: tenths.
        let level = math::round(self.bench.plant().level() * 10.0) * 10.0;
        self.tell(
            NewsKind::Seen,
            format!("The tank is {level:.0} % full.{settled} {agitator} {line}"),
            0,
        );
    }
}
