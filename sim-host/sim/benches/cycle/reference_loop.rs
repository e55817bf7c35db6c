//! A small load loop of the same kind, written straightforwardly and never tuned: the yardstick that makes times from two
//! machines comparable. It has what such a loop cannot do without: a dead time, a lagged actuator, a mass on a stiff contact, a load
//! cell with filter, noise and quantisation, four drives, a PI controller with a ramp. Numbers invented.

#![allow(clippy::disallowed_methods)] // a yardstick written plainly, not the plant

/// Fourteen states and a ring for the dead time.
#[derive(Clone)]
pub struct ReferenceLoop {
    ring: [f64; 20],
    at: usize,
    pressure: f64,
    height: f64,
    speed: f64,
    cell: [f64; 2],
    filter: [f64; 2],
    integral: f64,
    reference: f64,
    drives: [f64; 4],
    wetness: f64,
    noise: u64,
}

impl ReferenceLoop {
    pub fn new() -> Self {
        Self {
            ring: [0.0; 20],
            at: 0,
            pressure: 0.0,
            height: 0.0,
            speed: 0.0,
            cell: [0.0; 2],
            filter: [0.0; 2],
            integral: 0.0,
            reference: 0.0,
            drives: [0.0; 4],
            wetness: 0.0,
            noise: 0x2545_F491_4F6C_DD1D,
        }
    }

    /// One millisecond; gives the load, N.
    pub fn tick(&mut self) -> f64 {
        const DT: f64 = 1e-3;
        const MASS: f64 = 58.0;
        const STIFFNESS: f64 = 3e8;
        // Plant: dead time, lag, mass on its contact (implicit), friction of the drives.
        let command = self.ring[self.at];
        self.pressure += (command * 825.0 - self.pressure) * DT / 0.12;
        let force = 60.0 + self.pressure;
        let reaction = STIFFNESS * (-self.height).max(0.0);
        self.speed = (self.speed + DT / MASS * (reaction - force))
            / (1.0 + DT / MASS * (500.0 + DT * STIFFNESS));
        self.height += DT * self.speed;
        let load = STIFFNESS * (-self.height).max(0.0);
        for (drive, target) in self.drives.iter_mut().zip([1.5, 0.5, 2.9, -1.5]) {
            let slip = *drive / (*drive * *drive + 1e-4).sqrt();
            let torque = (80.0 * (target - *drive)).clamp(-60.0, 60.0) - 0.05 * load * slip;
            *drive += DT * torque / 4.0;
        }
        self.wetness += (1.0 - self.wetness) * DT / 2.0;
        // Load cell: second-order bandwidth, noise, counts.
        self.cell[1] += DT * (394_784.0 * (load - self.cell[0]) - 880.0 * self.cell[1]);
        self.cell[0] += DT * self.cell[1];
        let counts = ((self.cell[0] + 0.3 * self.normal()) * 8388.0).round();
        // Controller: second-order low-pass, ramp, PI with clamping.
        let measured = counts / 8388.0;
        self.filter[1] += DT * (8_883.0 * (measured - self.filter[0]) - 132.0 * self.filter[1]);
        self.filter[0] += DT * self.filter[1];
        self.reference = (self.reference + 0.05).min(265.0);
        let error = self.reference - self.filter[0];
        let ahead = (self.reference - 60.0) / 825.0;
        let wanted = ahead + 0.001 * error + self.integral;
        let given = wanted.clamp(0.0, 1.0);
        self.integral += DT / 0.12 * (0.001 * error + (given - wanted));
        self.ring[self.at] = given;
        self.at = (self.at + 1) % self.ring.len();
        load
    }

    /// About normal: the sum of four uniforms from one xorshift word.
    fn normal(&mut self) -> f64 {
        self.noise ^= self.noise << 13;
        self.noise ^= self.noise >> 7;
        self.noise ^= self.noise << 17;
        let quarter = |shift: u32| f64::from((self.noise >> shift) as u16) / 65_536.0;
        (quarter(0) + quarter(16) + quarter(32) + quarter(48) - 2.0) * 3.0_f64.sqrt()
    }
}
