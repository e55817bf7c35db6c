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
                self.words().say("refused-nothing-to-count"),
            ));
        }
        let pockets = plant.parts().len();
        let present = plant.parts().filter(|part| part.present).count();
        let doubled = match plant.failing(Component::Parts) {
            // A count of pockets, checked when the fault was taken.
            Some((FaultMode::Wrong, count)) => (count as usize).min(pockets),
            _ => 0,
        };
        let id = match (pockets - present, doubled) {
            (0, 0) => "seen-pockets-filled",
            (_, 0) => "seen-pockets-empty",
            _ => "seen-pockets-doubled",
        };
        let found = self.words().tell(
            id,
            &[
                ("present", present.into()),
                ("pockets", pockets.into()),
                ("empty", (pockets - present).into()),
                ("parts", (present + doubled).into()),
                ("doubled", doubled.into()),
            ],
        );
        self.tell(NewsKind::Seen, found, 0);
        Ok(())
    }

    pub(super) fn check_slurry(&mut self) {
        let plant = self.bench.plant();
        let pumping = self.answer().outputs.pump > 0;
        let running = self.answer().outputs.agitator;
        let agitator = match plant.failing(Component::Agitator) {
            Some((FaultMode::Off | FaultMode::Stuck, _)) => "seen-agitator-off",
            Some((FaultMode::Wrong, _)) => "seen-agitator-blade",
            Some(_) => "seen-agitator-fits",
            None if running => "seen-agitator-turns",
            None => "seen-agitator-ready",
        };
        let line = match plant.failing(Component::SlurryLine) {
            Some((FaultMode::Off, _)) if pumping => "seen-line-blocked",
            Some((FaultMode::Off, _)) => "seen-line-plug",
            Some(_) if pumping => "seen-line-uneven",
            _ if pumping => "seen-line-runs",
            _ => "seen-line-clear",
        };
        let settled = plant.truth().suspended < 0.7;
        // What a dip stick shows: tenths.
        let level = math::round(plant.level() * 10.0) * 10.0;
        let words = self.words();
        let mut seen = vec![words.tell("seen-tank", &[("level", format!("{level:.0}").into())])];
        if settled {
            seen.push(words.say("seen-settled"));
        }
        seen.extend([agitator, line].map(|id| words.say(id)));
        self.tell(NewsKind::Seen, seen.join(" "), 0);
    }
}
