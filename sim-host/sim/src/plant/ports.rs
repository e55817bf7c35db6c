//! Where the outputs and the supplies meet their components' faults, before they act on the machine.

use super::Plant;
use super::drives::DriveOrder;
use super::fault::{Port, Wrong};
use super::slurry::Feed;
use crate::math::{abs, limit, max, min};
use crate::model::{Component, FaultMode};
use firmware_core::process_image::{DRIVES, RodValve};

/// Lag with which the supply falls or recovers, s. Invented.
pub const SUPPLY_LAG: f64 = 0.5;

impl Plant {
    pub(super) fn dog_limit(&self, faulty: bool) -> f64 {
        let base = self.dog * abs(self.drives.torque[3]);
        if faulty && let Some(factor) = self.faults.in_mode(Component::Dog, FaultMode::Wrong) {
            return base * abs(factor);
        }
        base
    }

    pub(super) fn dog_relax(&self, faulty: bool) -> f64 {
        if faulty
            && self
                .faults
                .in_mode(Component::Dog, FaultMode::Stuck)
                .is_some()
        {
            return 0.0;
        }
        // One e-fold a turn.
        abs(self.drives.speed[3]) * (0.5 / std::f64::consts::PI)
    }

    /// Weight of parts that stick to the raised plate, N.
    #[cold]
    pub(super) fn hanging(&self) -> f64 {
        match self.faults.in_mode(Component::Parts, FaultMode::Stuck) {
            Some(count) if self.axis.load <= 0.0 && self.loaded => {
                min(count, self.parts.count() as f64) * self.stuck_weight
            }
            _ => 0.0,
        }
    }

    /// Air through broken components: returns the regulator's command and a leak of the check valve, m/s.
    #[cold]
    pub(super) fn broken_air(&mut self, u: f64, open: f64, rod: RodValve) -> (f64, f64) {
        let step = self.timing.tick;
        let port = |off, wrong| Port {
            off,
            range: (0.0, 1.0),
            wrong,
            step,
        };
        let u = self
            .faults
            .pass(Component::Regulator, u, &port(0.0, Wrong::Factor));
        self.dump = limit(
            self.faults
                .pass(Component::DumpValve, open, &port(1.0, Wrong::Factor)),
            0.0,
            1.0,
        );
        let asked = f64::from(rod as u8);
        let position = self
            .faults
            .pass(Component::RodValve, asked, &port(0.0, Wrong::Own));
        self.valve = match position as u8 {
            1 => RodValve::Float,
            2 => RodValve::LowerCreep,
            3 => RodValve::LowerFast,
            4 => RodValve::LiftCreep,
            5 => RodValve::Lift,
            _ => RodValve::Trapped,
        };
        let leak = self
            .faults
            .in_mode(Component::RodValve, FaultMode::Wrong)
            .unwrap_or(0.0);
        (limit(u, 0.0, 1.0), max(leak, 0.0))
    }

    #[cold]
    pub(super) fn broken_drives(
        &mut self,
        mut orders: [DriveOrder; DRIVES],
    ) -> [DriveOrder; DRIVES] {
        const WHICH: [Component; DRIVES] = [
            Component::DriveInner,
            Component::DriveOuter,
            Component::DriveLower,
            Component::DriveUpper,
        ];
        let step = self.timing.drives;
        for (i, order) in orders.iter_mut().enumerate() {
            let component = WHICH[i];
            let fastest = self.scale.fastest[i];
            match self.faults.get(component) {
                None => {}
                Some((FaultMode::Off | FaultMode::Intermittent, _)) => {
                    let dead = self.faults.dead(component, step);
                    order.tripped = dead;
                    order.enable &= !dead;
                }
                Some((FaultMode::Stuck, _)) => order.frozen = true,
                Some(_) => {
                    order.setpoint = self.faults.pass(
                        component,
                        order.setpoint,
                        &Port {
                            off: 0.0,
                            range: (-fastest, fastest),
                            wrong: Wrong::Factor,
                            step,
                        },
                    );
                }
            }
            self.scale.tripped[i] = order.tripped;
        }
        orders
    }

    pub(super) fn supply_air(&mut self, step: f64) {
        let supply = if self.faults.dead(Component::Supply, step) {
            0.0
        } else {
            let factor = self.faults.in_mode(Component::Supply, FaultMode::Wrong);
            self.nominal.supply * max(factor.unwrap_or(1.0), 0.0)
        };
        if supply != self.supply {
            self.supply += (supply - self.supply) * (step / SUPPLY_LAG);
            if abs(supply - self.supply) < 1.0 {
                self.supply = supply;
            }
        }
        self.balance = if self.faults.dead(Component::Counterbalance, step) {
            0.0
        } else {
            let factor = self
                .faults
                .in_mode(Component::Counterbalance, FaultMode::Wrong);
            self.nominal.balance * max(factor.unwrap_or(1.0), 0.0)
        };
    }

    /// Slurry system under the outputs and faults.
    pub(super) fn feed(&mut self, step: f64) -> Feed {
        let port = |wrong| Port {
            off: 0.0,
            range: (0.0, 1.0),
            wrong,
            step,
        };
        let asked = f64::from(self.orders.pump) * 1e-3;
        let pump = self
            .faults
            .pass(Component::Pump, asked, &port(Wrong::Factor));
        let rinse_asked = if self.orders.rinse { 1.0 } else { 0.0 };
        let rinse = self
            .faults
            .pass(Component::RinseWater, rinse_asked, &port(Wrong::Factor));
        let broken_coupling = self
            .faults
            .in_mode(Component::Agitator, FaultMode::Wrong)
            .is_some();
        self.station.agitator = if broken_coupling {
            self.orders.agitator
        } else {
            self.faults
                .pass_bit(Component::Agitator, self.orders.agitator, step)
        };
        let passing = if self.faults.dead(Component::SlurryLine, step) {
            0.0
        } else {
            let share = self.faults.in_mode(Component::SlurryLine, FaultMode::Wrong);
            limit(share.unwrap_or(1.0), 0.0, 1.0)
        };
        Feed {
            pump,
            passing,
            line_lag: self
                .faults
                .in_mode(Component::SlurryLine, FaultMode::Slow)
                .unwrap_or(0.0),
            rinse: limit(rinse, 0.0, 1.0),
            stirring: self.station.agitator && !broken_coupling,
        }
    }
}
