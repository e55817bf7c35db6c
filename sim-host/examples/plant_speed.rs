//! Rough time of a plant step.
use firmware_core::process_image::*;
use sim_host::{model::*, plant::Plant, sample};
fn main() {
    for parts in std::env::args()
        .skip(1)
        .map(|a| a.parse::<u32>().expect("count"))
    {
        let m = sample::machine_a();
        let mut b = sample::batch_a1();
        let area = b.area();
        b.parts = parts;
        b.outline = Outline::Disc {
            diameter: (area / f64::from(parts) * 4.0 / 3.14159).sqrt(),
        };
        let mut p = Plant::new(&m, &b, &sample::consumables_a1(), &Deviations::NOMINAL, 1);
        let mut o = Outputs {
            pin_withdraw: true,
            agitator: true,
            ..Default::default()
        };
        for _ in 0..500 {
            p.step(&o);
        }
        o.rod = RodValve::LowerFast;
        while p.truth().height > 0.0046 {
            p.step(&o);
        }
        o.rod = RodValve::LowerCreep;
        while p.truth().load <= 0.0 {
            p.step(&o);
        }
        o.rod = RodValve::Float;
        o.pump = 600;
        for _ in 0..25000 {
            p.step(&o);
        }
        o.dump_shut = true;
        o.cap_command = 10000;
        o.drives = [1400, 500, 2800, -1400].map(|n| DriveOutput {
            enable: std::env::var("IDLE").is_err(),
            setpoint: n,
        });
        let mut best = f64::MAX;
        for _ in 0..40 {
            let t = std::time::Instant::now();
            let n = 20_000;
            for i in 0..n {
                o.cap_command = 12000 + ((i / 7) % 50) as u16 * 20;
                p.step(&o);
            }
            best = best.min(t.elapsed().as_nanos() as f64 / f64::from(n));
        }
        println!("{parts} parts: {best:.1} ns");
    }
}
