//! What the training server takes and gives under load. Measures, and fails nothing.
//!
//!     cargo run --release -p twinplate --example train_load [SECONDS]
//!
//! The server runs in a process of its own, which is this program called again, so that its processor time can be told apart from
//! that of the connections that load it. Start it at the root of the repository, on a computer that does nothing else.

mod client;

use client::{Page, Post};
use std::io::{BufRead, BufReader};
use std::process::{Child, Command, ExitCode, Stdio};
use std::time::{Duration, Instant};
use twinplate_sim::training::act::Act;
use twinplate_train::protocol::{Ask, Pace, Role};

type Fallible<T> = Result<T, Box<dyn std::error::Error + Send + Sync>>;

/// Stations, or watchers of one, at once.
const MANY: usize = 30;
/// Presses of the emergency stop for one line.
const PRESSES: usize = 300;
/// The word that makes this program the server.
const SERVE: &str = "--as-server";

fn main() -> ExitCode {
    let first = std::env::args().nth(1);
    if first.as_deref() == Some(SERVE) {
        return server();
    }
    let seconds = first.and_then(|text| text.parse().ok()).unwrap_or(10);
    let runtime = tokio::runtime::Builder::new_multi_thread()
        .worker_threads(2)
        .enable_all()
        .build();
    let measured = runtime
        .map_err(Into::into)
        .and_then(|runtime| runtime.block_on(measure(Duration::from_secs(seconds))));
    match measured {
        Ok(()) => ExitCode::SUCCESS,
        Err(error) => {
            eprintln!("nothing was measured: {error}");
            ExitCode::FAILURE
        }
    }
}

/// The verb `train` itself, in this process, on a free port and with records that are thrown away.
fn server() -> ExitCode {
    let records = std::env::temp_dir().join(format!("train-load-{}.sqlite", std::process::id()));
    let code = twinplate::cli::call([
        "twinplate".into(),
        "train".into(),
        "--port".into(),
        "0".into(),
        "--records".into(),
        records.clone().into_os_string(),
    ]);
    for end in ["", "-wal", "-shm", ".lock"] {
        let mut name = records.clone().into_os_string();
        name.push(end);
        let _ = std::fs::remove_file(name);
    }
    code
}

/// A server that is stopped when this goes.
struct Server {
    child: Child,
    host: String,
}

impl Server {
    fn start() -> Fallible<Self> {
        let mut child = Command::new(std::env::current_exe()?)
            .arg(SERVE)
            .stdin(Stdio::null())
            .stdout(Stdio::piped())
            .spawn()?;
        let out = child.stdout.take().ok_or("no output")?;
        let mut line = String::new();
        BufReader::new(out).read_line(&mut line)?;
        let host = line.trim().trim_start_matches("http://");
        Ok(Self {
            child,
            host: host.trim_end_matches('/').to_owned(),
        })
    }

    /// Processor time so far, s; `None` where the system does not tell it in `/proc`.
    fn processor(&self) -> Option<f64> {
        let stat = std::fs::read_to_string(format!("/proc/{}/stat", self.child.id())).ok()?;
        // Fields 14 and 15 of the line, counted behind the name in brackets; a hundred ticks a second on Linux.
        let (_, fields) = stat.rsplit_once(')')?;
        let mut fields = fields.split_whitespace().skip(11);
        let user: f64 = fields.next()?.parse().ok()?;
        let system: f64 = fields.next()?.parse().ok()?;
        Some((user + system) / 100.0)
    }
}

impl Drop for Server {
    fn drop(&mut self) {
        // Politely, so that it takes its records away.
        let asked = Command::new("kill")
            .args(["-INT", &self.child.id().to_string()])
            .status();
        if asked.is_ok() {
            let until = Instant::now() + Duration::from_secs(5);
            while Instant::now() < until {
                if let Ok(Some(_)) = self.child.try_wait() {
                    return;
                }
                std::thread::sleep(Duration::from_millis(50));
            }
        }
        let _ = self.child.kill();
        let _ = self.child.wait();
    }
}

async fn measure(time: Duration) -> Fallible<()> {
    println!("processor: {}", processor_name());
    println!("each line over {} s, {PRESSES} presses", time.as_secs());
    println!();
    println!("| what | figure |");
    println!("|---|---|");
    watchers(time).await?;
    sessions(time, Pace::Real).await?;
    sessions(time, Pace::Twenty).await
}

/// Many watch one session at the clock's pace; its operator presses the emergency stop.
async fn watchers(time: Duration) -> Fallible<()> {
    let server = Server::start()?;
    let post = Post::new(&server.host).await?;
    let station = post.station("Load").await?;
    let mut operator = Page::join(&post, &station, Role::Operator).await?;
    operator.ask(Ask::TakeControl).await?;
    let mut watching = Vec::new();
    for _ in 0..MANY {
        watching.push(Page::join(&post, &station, Role::Watcher).await?);
    }
    let (before, clock) = (server.processor(), Instant::now());
    let listening: Vec<_> = watching
        .into_iter()
        .map(|page| tokio::spawn(page.count_frames(time)))
        .collect();
    let own = operator.listen(time).await?;
    let share = share(before, server.processor(), clock.elapsed());
    let mut least = own;
    for one in listening {
        least = least.min(one.await??);
    }
    println!(
        "| {MANY} watchers and an operator on one session at 1×: processor time of the server, share of one core | {share} |"
    );
    let rate = f64::from(least) / time.as_secs_f64();
    println!("| … frames a second at the slowest of them | {rate:.1} |");

    let mut watching = Vec::new();
    for _ in 0..MANY {
        let page = Page::join(&post, &station, Role::Watcher).await?;
        watching.push(tokio::spawn(page.count_frames(Duration::from_secs(3600))));
    }
    let times = presses(operator, PRESSES).await?;
    println!(
        "| … emergency stop, from sending it to the frame that shows it: median | {} |",
        ms(&times, 0.5)
    );
    println!("| … 99 of 100 within | {} |", ms(&times, 0.99));
    println!("| … longest | {} |", ms(&times, 1.0));
    for one in watching {
        one.abort();
    }
    Ok(())
}

/// Many sessions at once, in each of which somebody presses.
async fn sessions(time: Duration, pace: Pace) -> Fallible<()> {
    let server = Server::start()?;
    let post = Post::new(&server.host).await?;
    let mut operators = Vec::new();
    for number in 0..MANY {
        let station = post.station(&format!("Load {number}")).await?;
        let mut page = Page::join(&post, &station, Role::Operator).await?;
        page.ask(Ask::TakeControl).await?;
        page.ask(Ask::SetPace { pace }).await?;
        operators.push(page);
    }
    let what = match pace {
        Pace::Twenty => "at 20×",
        _ => "at 1×",
    };
    let (before, clock) = (server.processor(), Instant::now());
    let running: Vec<_> = operators
        .into_iter()
        .map(|page| tokio::spawn(page.pace_kept(time)))
        .collect();
    let mut kept = Vec::new();
    let mut operators = Vec::new();
    for one in running {
        let (page, pace) = one.await??;
        kept.push(pace);
        operators.push(page);
    }
    let share = share(before, server.processor(), clock.elapsed());
    kept.sort_by(f64::total_cmp);
    let (slowest, fastest) = (kept[0], kept[kept.len() - 1]);
    println!(
        "| {MANY} sessions at once {what}: pace that is kept, slowest and fastest | {slowest:.4}, {fastest:.4} |"
    );
    println!("| … processor time of the server, share of one core | {share} |");
    let pressing: Vec<_> = operators
        .into_iter()
        .map(|page| tokio::spawn(presses(page, PRESSES / MANY)))
        .collect();
    let mut times = Vec::new();
    for one in pressing {
        times.extend(one.await??);
    }
    times.sort();
    println!(
        "| … all of them press: emergency stop, from sending it to its frame: median | {} |",
        ms(&times, 0.5)
    );
    println!("| … 99 of 100 within | {} |", ms(&times, 0.99));
    println!("| … longest | {} |", ms(&times, 1.0));
    Ok(())
}

/// Presses and releases; the times from sending to the frame that shows it pressed, sorted.
async fn presses(mut page: Page, presses: usize) -> Fallible<Vec<Duration>> {
    let mut times = Vec::new();
    for press in 0..presses {
        let sent = Instant::now();
        page.say(Ask::Operate {
            act: Act::PressEmergencyStop,
        })
        .await?;
        page.frame_with(|frame| frame.switches.estop).await?;
        times.push(sent.elapsed());
        page.say(Ask::Operate {
            act: Act::ReleaseEmergencyStop,
        })
        .await?;
        page.frame_with(|frame| !frame.switches.estop).await?;
        // At no fixed place between two frames.
        tokio::time::sleep(Duration::from_millis(7 * (press as u64 % 11))).await;
    }
    times.sort();
    Ok(times)
}

/// A quantile of sorted times.
fn ms(times: &[Duration], share: f64) -> String {
    let at = (share * (times.len() - 1) as f64).ceil() as usize;
    times.get(at).map_or_else(String::new, |time| {
        format!("{:.1} ms", time.as_secs_f64() * 1000.0)
    })
}

fn share(before: Option<f64>, after: Option<f64>, clock: Duration) -> String {
    match (before, after) {
        (Some(before), Some(after)) => {
            format!("{:.1} %", (after - before) / clock.as_secs_f64() * 100.0)
        }
        _ => "not told by this system".into(),
    }
}

fn processor_name() -> String {
    let all = std::fs::read_to_string("/proc/cpuinfo").unwrap_or_default();
    let name = all
        .lines()
        .find_map(|line| line.strip_prefix("model name")?.split_once(':'))
        .map_or("not told by this system", |(_, name)| name.trim());
    let threads = std::thread::available_parallelism().map_or(0, usize::from);
    format!("{name}, {}, {threads} threads", std::env::consts::ARCH)
}
