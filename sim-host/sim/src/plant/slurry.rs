//! Slurry: pump, line, tank, agitator, rinse water, and the state of the gap that they feed.

use super::abrasion::Supply;
use super::actuator::share;
use crate::math::{limit, log, max, min, sqrt};
use crate::model::{Consumables, Machine};

/// Wetness (0..1) at and above which the film carries fully. Invented.
pub const FILM_FULL: f64 = 0.3;
/// Wetness at which nothing of the film is left.
const FILM_GONE: f64 = 0.1;
/// Time in which an unused line drains, s. Invented.
const LINE_DRAIN: f64 = 120.0;
/// Share of the drying that goes on without rotation. Invented.
const DRYING_AT_REST: f64 = 0.1;

/// What feeds the gap, faults already worked in.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct Feed {
    /// Pump speed, 0..1.
    pub pump: f64,
    /// Share of the line's flow that reaches the plate, 0..1.
    pub passing: f64,
    /// Additional lag of the line, s.
    pub line_lag: f64,
    /// Opening of the rinse valve, 0..1.
    pub rinse: f64,
    /// The agitator turns the slurry.
    pub stirring: bool,
}

/// How fast a gap without flow dries, against full sliding speed and resting load: sliding speed as a share of the machine's full speed,
/// load over the resting load. Two factors, by the one and by the other.
#[must_use]
pub fn drying(speed_share: f64, load_share: f64) -> [f64; 2] {
    [
        DRYING_AT_REST + (1.0 - DRYING_AT_REST) * speed_share,
        sqrt(max(load_share, 0.25)),
    ]
}

/// How the gap is used.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct GapUse {
    /// Sliding speed as a share of the machine's full speed, 0..1 and above.
    pub speed_share: f64,
    /// Load over the resting load.
    pub load_share: f64,
    /// Friction power per loaded area, W/m².
    pub power_per_area: f64,
}

/// The slurry tank with its agitator. It lasts from batch to batch.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Tank {
    volume: f64,
    settle_share: f64,
    stir_share: f64,
    returned: f64,
    /// Content, share of full.
    pub level: f64,
    /// Suspended fraction of the abrasive, 0..1.
    pub suspended: f64,
    /// Grains against those that the recipe asks for.
    pub grains: f64,
    /// Cutting ability of the grains against fresh ones, 0..1.
    pub sharpness: f64,
    /// Swarf, share of the volume.
    pub swarf: f64,
}

impl Tank {
    /// Full and stirred; `step` is the time between two calls of [`Slurry::step`], s.
    pub fn new(machine: &Machine, step: f64) -> Self {
        let s = &machine.slurry;
        Self {
            volume: max(s.tank, 1e-9),
            settle_share: share(s.settle_time, step),
            stir_share: share(s.stir_time, step),
            returned: s.returned,
            level: 1.0,
            suspended: 1.0,
            grains: 1.0,
            sharpness: 1.0,
            swarf: 0.0,
        }
    }

    /// Brought to the recipe's grains: fresh ones are added to those that are there, or they are thinned.
    pub(super) fn mix(&mut self) {
        let old = min(self.grains, 1.0);
        self.sharpness = 1.0 - old * (1.0 - self.sharpness);
        self.grains = 1.0;
    }

    /// Emptied and filled with fresh slurry.
    pub(super) fn refill(&mut self) {
        self.level = 1.0;
        self.suspended = 1.0;
        self.grains = 1.0;
        self.sharpness = 1.0;
        self.swarf = 0.0;
    }

    /// Draws a volume, m³. Gives what of it is used up.
    fn draw(&mut self, volume: f64) -> f64 {
        let lost = volume * (1.0 - self.returned);
        self.level = max(self.level - lost / self.volume, 0.0);
        lost
    }

    /// A volume comes out of the gap, m³: its share of it runs back, with what the grains and the swarf are like there.
    fn take_back(&mut self, volume: f64, sharpness: f64, swarf: f64) {
        let content = max(self.level, 1e-3) * self.volume;
        let share = min(self.returned * volume / content, 1.0);
        self.sharpness += (sharpness - self.sharpness) * share;
        self.swarf += (swarf - self.swarf) * share;
    }

    fn stir(&mut self, stirring: bool) {
        self.suspended += if stirring {
            (1.0 - self.suspended) * self.stir_share
        } else {
            -self.suspended * self.settle_share
        };
    }
}

/// Pump, line and gap.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Slurry {
    flow_max: f64,
    flow_min: f64,
    line_volume: f64,
    line_lag: f64,
    film_rate: f64,
    line_share: f64,
    rinse_flow: f64,
    breakdown_work: f64,
    supply: Supply,
    /// Cut of fresh slurry with all its grains, the measure of [`Self::cutting`].
    fresh_cut: f64,
    /// Volume of the liquid in the gap, m³.
    gap_volume: f64,
    step: f64,
    line_fill: f64,
    /// Slurry flow at the plate, m³/s.
    pub flow: f64,
    /// Rinse water flow at the plate, m³/s.
    pub rinse: f64,
    /// Wetness of the gap, 0..1.
    pub wetness: f64,
    /// Abrasive in the gap against fresh, well-stirred slurry of the recipe's grains.
    pub charge: f64,
    /// Cutting ability of the grains in the gap, 0..1.
    pub sharpness: f64,
    /// Swarf in the gap, share of its volume.
    pub swarf: f64,
    /// Volume that the parts lose, m³/s.
    pub losing: f64,
    /// Slurry used, m³: pumped and not run back.
    pub used: f64,
}

impl Slurry {
    pub fn new(machine: &Machine, consumables: &Consumables, step: f64) -> Self {
        let s = &machine.slurry;
        let supply = Supply::of(consumables);
        Self {
            flow_max: s.flow_max,
            flow_min: s.flow_min,
            line_volume: s.line_volume,
            line_lag: s.line_lag,
            // After the film life the film is down to where it just carries fully.
            film_rate: log(1.0 / FILM_FULL) / max(s.film_life, 1e-3),
            line_share: share(s.line_lag, step),
            rinse_flow: s.rinse_flow,
            breakdown_work: max(consumables.breakdown_work, 1e-9),
            supply,
            fresh_cut: supply.cutting(1.0),
            gap_volume: s.flow_max * max(s.wet_time, 1e-3),
            step,
            line_fill: 0.0,
            flow: 0.0,
            rinse: 0.0,
            wetness: 0.0,
            charge: 0.0,
            sharpness: 1.0,
            swarf: 0.0,
            losing: 0.0,
            used: 0.0,
        }
    }

    /// One slow step.
    pub fn step(&mut self, feed: &Feed, gap: &GapUse, tank: &mut Tank) {
        let h = self.step;
        let pumped = if tank.level > 0.0 {
            limit(feed.pump, 0.0, 1.0) * self.flow_max
        } else {
            0.0
        };
        self.used += tank.draw(pumped * h);
        // Plug flow: nothing arrives before the line is full, which makes the dead time what the flow says.
        let arriving = if pumped > 0.0 {
            self.line_fill = min(self.line_fill + pumped * h, self.line_volume);
            if self.line_fill >= self.line_volume {
                pumped
            } else {
                0.0
            }
        } else {
            self.line_fill -= self.line_fill * h / LINE_DRAIN;
            0.0
        };
        let slurry_share = if feed.line_lag > 0.0 {
            share(self.line_lag + feed.line_lag, h)
        } else {
            self.line_share
        };
        self.flow += (arriving * feed.passing - self.flow) * slurry_share;
        self.rinse += (feed.rinse * self.rinse_flow - self.rinse) * self.line_share;
        tank.stir(feed.stirring);
        self.gap(gap, tank);
        tank.take_back(pumped * h, self.sharpness, self.swarf);
    }

    fn gap(&mut self, gap: &GapUse, tank: &Tank) {
        let h = self.step;
        let total = self.flow + self.rinse;
        let wetting = total / self.gap_volume;
        // Flow that counts keeps the film; less keeps it in part.
        let unfed = 1.0 - min(total / max(self.flow_min, 1e-12), 1.0);
        let [by_speed, by_load] = drying(gap.speed_share, gap.load_share);
        let drying = self.film_rate * unfed * by_speed * by_load;
        self.wetness += h * (wetting * (1.0 - self.wetness) - drying * self.wetness);
        self.wetness = limit(self.wetness, 0.0, 1.0);
        // Fresh liquid replaces what is in the gap; rinse water brings no grains.
        let renewal = h * wetting;
        if total > 0.0 {
            let share = min(renewal, 1.0);
            let slurry = self.flow / total;
            self.charge += (tank.suspended * tank.grains * slurry - self.charge) * share;
            // Water clears worn grains away as slurry does; what it leaves has no grains to be worn.
            let sharp = 1.0 - (1.0 - tank.sharpness) * slurry;
            self.sharpness += (sharp - self.sharpness) * share;
            self.swarf += (tank.swarf * slurry - self.swarf) * share;
        }
        self.swarf = min(self.swarf + h * self.losing / self.gap_volume, 1.0);
        if self.supply.flows() {
            self.sharpness -= self.sharpness * h * std::f64::consts::LN_2 * gap.power_per_area
                / self.breakdown_work;
        }
        self.sharpness = limit(self.sharpness, 0.0, 1.0);
    }

    /// Share of the load that the film carries: 1 wet, 0 dry, steep in between.
    pub fn film(&self) -> f64 {
        let x = limit(
            (self.wetness - FILM_GONE) / (FILM_FULL - FILM_GONE),
            0.0,
            1.0,
        );
        x * x * (3.0 - 2.0 * x)
    }

    /// Friction coefficient of the gap.
    pub fn friction(&self, wet: f64, dry: f64) -> f64 {
        dry + (wet - dry) * self.film()
    }

    /// What swarf leaves of the cut, 0..1.
    pub(crate) fn cleared(&self) -> f64 {
        self.supply.cleared(self.swarf)
    }

    /// Factor on the removal of fresh slurry: film, grains in the gap, their sharpness, and the swarf between them.
    pub(crate) fn cutting(&self) -> f64 {
        if self.fresh_cut <= 0.0 {
            return 0.0;
        }
        let grains = self.supply.cutting(self.charge) / self.fresh_cut;
        self.film() * grains * self.sharpness * self.cleared()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::demo;

    fn slurry() -> (Slurry, Tank) {
        let machine = demo::machine("machine-a");
        let consumables = demo::recipe("glass-f800").consumables;
        (
            Slurry::new(&machine, &consumables, 0.01),
            Tank::new(&machine, 0.01),
        )
    }

    const FED: Feed = Feed {
        pump: 1.0,
        passing: 1.0,
        line_lag: 0.0,
        rinse: 0.0,
        stirring: true,
    };

    fn run((s, tank): (&mut Slurry, &mut Tank), seconds: f64, feed: &Feed, gap: &GapUse) {
        for _ in 0..(seconds / 0.01) as u32 {
            s.step(feed, gap, tank);
        }
    }

    #[test]
    fn the_line_fills_in_volume_over_flow() {
        let (mut s, mut tank) = slurry();
        // 0.05 L at 0.3 L/min: ten seconds.
        run((&mut s, &mut tank), 9.9, &FED, &GapUse::default());
        assert_eq!(s.flow, 0.0);
        run((&mut s, &mut tank), 5.0, &FED, &GapUse::default());
        assert!((s.flow - 0.3e-3 / 60.0).abs() < 0.01e-3 / 60.0);
        assert!((s.used - 14.9 * 0.3e-3 / 60.0).abs() < 1e-9);
    }

    #[test]
    fn the_film_lives_as_declared_and_friction_rises_after_it() {
        let (mut s, mut tank) = slurry();
        s.wetness = 1.0;
        let full = GapUse {
            speed_share: 1.0,
            load_share: 1.0,
            power_per_area: 0.0,
        };
        let off = Feed::default();
        run((&mut s, &mut tank), 39.9, &off, &full);
        assert_eq!(s.film(), 1.0);
        assert_eq!(s.friction(0.12, 0.5), 0.12);
        run((&mut s, &mut tank), 40.0, &off, &full);
        assert_eq!(s.film(), 0.0);
        assert_eq!(s.friction(0.12, 0.5), 0.5);
    }

    #[test]
    fn grains_settle_without_the_agitator_and_rinse_water_clears_the_gap() {
        let (mut s, mut tank) = slurry();
        run((&mut s, &mut tank), 40.0, &FED, &GapUse::default());
        assert!(s.charge > 0.9);
        let rinse = Feed {
            pump: 0.0,
            rinse: 1.0,
            ..FED
        };
        run((&mut s, &mut tank), 30.0, &rinse, &GapUse::default());
        assert!(s.charge < 0.02 && s.wetness > 0.9);
        let still = Feed {
            stirring: false,
            ..Feed::default()
        };
        tank.suspended = 1.0;
        run((&mut s, &mut tank), 120.0, &still, &GapUse::default());
        assert!((tank.suspended - (-1.0f64).exp()).abs() < 1e-6);
    }

    #[test]
    fn work_halves_the_grains_cutting_ability() {
        let (mut s, mut tank) = slurry();
        let gap = GapUse {
            speed_share: 1.0,
            load_share: 1.0,
            power_per_area: 2e5,
        };
        // 2e7 J/m² at 2e5 W/m²: 100 s, no fresh slurry.
        run((&mut s, &mut tank), 100.0, &Feed::default(), &gap);
        assert!((s.sharpness - 0.5).abs() < 1e-3, "{}", s.sharpness);
    }

    /// A machine whose slurry runs back.
    fn returning(share: f64) -> (Slurry, Tank) {
        let mut machine = demo::machine("machine-a");
        machine.slurry.returned = share;
        let consumables = demo::recipe("glass-f800").consumables;
        let mut slurry = Slurry::new(&machine, &consumables, 0.01);
        slurry.losing = LOSING;
        (slurry, Tank::new(&machine, 0.01))
    }

    const LAPPING: GapUse = GapUse {
        speed_share: 0.5,
        load_share: 3.0,
        power_per_area: 2e4,
    };

    /// Volume that the parts lose then, m³/s.
    const LOSING: f64 = 2e-9;

    #[test]
    fn swarf_in_the_gap_settles_at_what_is_lost_over_what_flows() {
        let (mut s, mut tank) = slurry();
        s.losing = LOSING;
        run((&mut s, &mut tank), 60.0, &FED, &LAPPING);
        let expected = LOSING / s.flow;
        assert!(
            (s.swarf / expected - 1.0).abs() < 1e-3,
            "{} against {expected}",
            s.swarf
        );
        let slow = Feed { pump: 0.5, ..FED };
        let before = s.cutting();
        run((&mut s, &mut tank), 60.0, &slow, &LAPPING);
        assert!((s.swarf / (2.0 * expected) - 1.0).abs() < 1e-3);
        assert!(s.cutting() < before, "less flow clears less");
    }

    /// Slurry that runs back brings its worn grains and swarf into the tank: batch after batch it cuts less, until the tank is filled
    /// anew. What is only used once ages nothing.
    #[test]
    fn slurry_that_runs_back_ages_the_tank_until_it_is_refilled() {
        let (mut s, mut tank) = returning(0.0);
        run((&mut s, &mut tank), 600.0, &FED, &LAPPING);
        assert_eq!((tank.sharpness, tank.swarf), (1.0, 0.0));
        let (mut s, mut tank) = returning(0.9);
        let mut last = (f64::INFINITY, 1.0, -1.0);
        for _ in 0..3 {
            run((&mut s, &mut tank), 600.0, &FED, &LAPPING);
            let now = (s.cutting(), tank.sharpness, tank.swarf);
            assert!(
                now.0 < last.0 && now.1 < last.1 && now.2 > last.2,
                "{now:?} after {last:?}"
            );
            last = now;
        }
        assert!((1.0 - tank.level - s.used / 10e-3).abs() < 1e-9);
        tank.refill();
        run((&mut s, &mut tank), 60.0, &FED, &LAPPING);
        assert!(s.cutting() > last.0);
    }

    #[test]
    fn a_slurry_without_grains_cuts_nothing() {
        let machine = demo::machine("machine-a");
        let mut consumables = demo::recipe("glass-f800").consumables;
        consumables.concentration = 0.0;
        let mut s = Slurry::new(&machine, &consumables, 0.01);
        let mut tank = Tank::new(&machine, 0.01);
        run((&mut s, &mut tank), 60.0, &FED, &LAPPING);
        assert_eq!(s.cutting(), 0.0);
    }
}
