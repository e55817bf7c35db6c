//! What is renewed every hundred ticks: where the parts are, what they lost, and what they bear.

use super::circles::OnCircles;
use super::forms::Rubbed;
use super::kinematics::carrier_motion;
use super::parts::Window;
use super::{Plant, SLOW_TICKS, WINDOW_SLOWS};

impl Plant {
    /// Parts, gauge and slow inputs, every hundred ticks.
    pub(super) fn window(&mut self) {
        let motion = carrier_motion(&self.geometry, &self.drives.speed);
        let plates = [self.drives.speed[2], self.drives.speed[3]];
        let before = self.sliding.speeds;
        self.sliding.renew(&self.geometry, motion, plates);
        let steps = f64::from(SLOW_TICKS * WINDOW_SLOWS * u32::from(self.timing.substeps));
        let window = Window {
            load: self.load_sum / steps,
            work: self.work(&before),
        };
        self.seat
            .turn(motion, self.timing.window, self.parts.tops().0);
        self.parts.recession = 0.0;
        let load = self.contact.at(self.axis.z).load;
        if window.load > 0.0 {
            self.parts.wear(&window, &mut self.seat);
        } else {
            self.seat.settle(0.0);
        }
        self.close_teeth(window.load);
        if self.lasting.left_over.is_there() {
            self.scratch(window.load);
        }
        self.slurry.losing = self.parts.recession * self.loaded_area / self.timing.window;
        self.lasting.gauge_age += self.timing.window;
        self.contact
            .rebuild_under(&self.seat, self.axis.z, load, self.parts.recession, steps);
        self.press_parts();
        self.form(&Rubbed {
            load: window.load,
            grind: self.removal * self.cutting_sum,
            work: window.work,
            motion,
            plates,
        });
        self.load_sum = 0.0;
        self.load_peak = 0.0;
        self.cutting_sum = 0.0;
        self.sense_slow();
    }

    /// Integral of `k_p v f g b` over the window on each circle of pockets, m/Pa, which went at the speeds `before` when it began.
    fn work(&self, before: &OnCircles) -> OnCircles {
        let mut work = OnCircles::default();
        let used = self.sliding.circles.count();
        for (i, work) in work.iter_mut().enumerate().take(used) {
            *work = [0, 1].map(|face| {
                self.removal
                    * 0.5
                    * (before[i][face] + self.sliding.speeds[i][face])
                    * self.cutting_sum
            });
        }
        work
    }
}
