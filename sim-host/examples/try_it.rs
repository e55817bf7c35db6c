use firmware_core::controller::Controller;
use firmware_core::sequence::*;
use sim_host::{compile, files, model::Deviations, plant::Plant};
fn main() {
    let a: Vec<String> = std::env::args().collect();
    let set = files::load_set(std::path::Path::new(&a[1]), &Default::default())
        .map_err(|e| files::render_errors(&e, false))
        .unwrap();
    let (m, b, r) = (&set.machine.value, &set.batch.value, &set.recipe.value);
    let p = compile::params(m).unwrap();
    let w = compile::recipe_wire(r, b, &p).unwrap();
    w.clone().check(&p).unwrap_or_else(|e| panic!("{e:?}"));
    let seed = 0u64; let dev = match a.get(3) { Some(x) if x.starts_with("c") => sim_host::plant::envelope::corner(&m.envelope, x[1..].parse().unwrap()), Some(x) => sim_host::plant::envelope::draw(&m.envelope, 1, x.parse().unwrap()), None => Deviations::NOMINAL }; println!("{dev:?}"); let mut c = Controller::new(p.clone(), 1);
    let mut pl = Plant::new(m, b, &r.consumables, &dev, seed);
    let mut out = firmware_core::process_image::Outputs::default();
    let mut last = (State::Idle, Phase::Rest);
    let t0 = std::time::Instant::now();
    let (mut over, mut pk) = (0.0f64, 0.0f64);
    let every: u32 = a.get(2).map_or(0, |s| s.parse().unwrap());
    let n = 600_000;
    let mut t_end = n;
    for t in 0..n {
        let mut cmd = None;
        match t {
            10 => {
                c.request(&Request::LoadRecipe(w.clone())).unwrap();
                c.request(&Request::ConfirmParts { pieces: w.pieces })
                    .unwrap();
            }
            400 => cmd = Some(Command::Reset),
            500 => cmd = Some(Command::Start),
            _ => {}
        }
        out = c.tick(pl.inputs(), cmd);
        let s = *c.status();
        let tr = pl.truth();
        if (s.state, s.phase) != last {
            println!(
                "{:8.3} {:10} {:16} N={:8.2} meas={:8.2} u={:.4} h={:.4} cause={} over={:.2} peak={:.1} missing={:b} thick={:.3}",
                t as f64 / 1000.0,
                s.state.name(),
                s.phase.name(),
                tr.load_without_runout,
                s.load.get(),
                s.command.get(),
                pl.inputs().plate_height as f64 / 1000.0,
                s.cause,
                over,
                pk,
                s.missing,
                tr.thickness * 1e6
            );
            last = (s.state, s.phase);
        }
        if matches!(s.phase, Phase::LoadRamp | Phase::Dwell) {
            over = over.max(tr.load_without_runout - s.reference.get() as f64);
        }
        pk = pk.max(tr.load);
        if every > 0 && t % every == 0 {
            println!(
                "   {:8.3} N={:8.2} meas={:8.2} ref={:8.2} u={:.4} gov={:.4} h={:.4} prod={:.3} flow={}",
                t as f64 / 1000.0,
                tr.load_without_runout,
                s.load.get(),
                s.reference.get(),
                s.command.get(),
                s.governor.get(),
                pl.inputs().plate_height as f64 / 1000.,
                tr.rod_pressure / 1e5,
                pl.inputs().slurry_flow
            );
        }
        pl.step(&out);
        if s.state == State::Complete {
            t_end = t;
            break;
        }
        if matches!(s.state, State::Stopped | State::Aborted) && t > 2000 {
            t_end = t;
            break;
        }
    }
    let dt = t0.elapsed();
    println!(
        "{} ticks {:.1} ns/tick; harm {:?}",
        t_end,
        dt.as_nanos() as f64 / t_end as f64,
        pl.harm()
    );
    for e in c.events().since(0) {
        if e.kind as u16 == 4 || e.kind as u16 == 6 || e.kind as u16 == 12 {
            println!("{e:?}");
        }
    }
    println!("over {over:.2} peak {pk:.2} end {:?}", last);
    let _ = out;
}
