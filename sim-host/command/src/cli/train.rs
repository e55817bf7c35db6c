//! `train`: reads the exercises, opens the records, serves the pages until it is told to stop.

use super::board;
use super::demo_set::Exercises as Found;
use super::failure::Failure;
use super::interrupt::{Told, leave_to_server};
use super::resolved::Serve;
use super::{Answer, output};
use std::io::ErrorKind;
use std::net::{IpAddr, SocketAddr};
use std::path::{Path, PathBuf};
use std::sync::Arc;
use tokio::net::TcpListener;
use tokio::runtime::Runtime;
use twinplate_server::controllers::Maker;
use twinplate_server::exercises::{Exercises, LeftOut};
use twinplate_server::floor::Floor;
use twinplate_server::gate::{Gate, Who};
use twinplate_server::records::{Clerk, Records};
use twinplate_server::{Shared, listen, new_token, serve as run};
use twinplate_sim::files::render_errors;

/// Threads that serve connections; the stations have their own.
const SERVING: usize = 2;

/// Serves until it is told to stop.
///
/// # Errors
/// No exercise that can be read, records that cannot be opened, an address that cannot be listened on.
pub fn serve(meant: Serve) -> Result<Answer, Failure> {
    let exercises = exercises(meant.exercises.as_deref())?;
    let runtime = tokio::runtime::Builder::new_multi_thread()
        .worker_threads(SERVING)
        .thread_name("serving")
        .enable_all()
        .build()
        .map_err(|error| system("cannot start", &error))?;
    let listener = bind(&runtime, meant.address)?;
    let bound = listener
        .local_addr()
        .map_err(|error| system("cannot tell its address", &error))?;
    let (records, left) = Records::open(&meant.records)
        .map_err(|error| Failure::new(error.to_string(), error.cure()))?;
    if left > 0 {
        output::complain(&format!(
            "{left} attempts were cut off when the server last ended; they are in the records as unfinished\n"
        ));
    }
    let (clerk, thread) =
        Clerk::start(records).map_err(|error| system("cannot keep records", &error))?;
    let token = |given: Option<String>| {
        let made = given.map_or_else(new_token, Ok);
        made.map_err(|error| system("cannot make a token", &error))
    };
    let tokens = [token(meant.token)?, token(meant.instructor_token)?];
    let shared = Shared {
        gate: Arc::new(Gate::new(bound, tokens)),
        exercises: Arc::new(exercises),
        floor: match meant.board {
            Some(image) => Floor::new(clerk.clone()).with_controllers(boards(image)),
            None => Floor::new(clerk.clone()),
        },
        clerk,
    };
    output::say(&format!("http://{}/\n", shown(bound)))?;
    if !bound.ip().is_loopback() {
        output::complain(&format!(
            "others can reach this server: trainees add ?token= and the token to the address;\ninstructors open http://{}/instructor?token={}\n",
            shown(bound),
            shared.gate.token(Who::Instructor)
        ));
    }
    let served = runtime.block_on(run(listener, shared, stop()));
    // All connections end with the runtime, and with them the last who can write to the records.
    drop(runtime);
    if thread.join().is_err() {
        return Err(Failure::new(
            "the thread that keeps the records had failed",
            "see what is in the records, and please report this",
        ));
    }
    served.map_err(|error| system("has failed", &error))?;
    Ok(Answer::Yes)
}

/// Makes a board for each station.
fn boards(image: PathBuf) -> Maker {
    Arc::new(move |exercise| {
        match board::holding(&image, &exercise.job.params, &exercise.flash, None) {
            Ok(board) => Ok(Box::new(board)),
            Err(failure) => Err(failure.text(false)),
        }
    })
}

fn system(what: &str, error: &std::io::Error) -> Failure {
    Failure::new(
        format!("the server {what}: {error}"),
        "see what the system is short of, and start it again",
    )
}

/// The exercises of the folder that was named, or of where they are without, in their order. Broken ones are told of and left out. The
/// demonstration set is gone from the disk afterwards: a server that is killed leaves nothing behind.
fn exercises(named: Option<&Path>) -> Result<Exercises, Failure> {
    let cure = "name a folder of exercise files with --exercises";
    let found = Found::find(named)?;
    let folder = found.folder();
    let exercises = Exercises::open(folder, found.lasting()).map_err(|error| {
        Failure::new(
            format!("cannot read the exercises in {}: {error}", folder.display()),
            cure,
        )
    })?;
    for LeftOut { path, errors } in exercises.left_out().iter() {
        output::complain(&render_errors(errors, false));
        output::complain(&format!("{}: left out\n", path.display()));
    }
    if exercises.all().is_empty() {
        return Err(Failure::new(
            format!(
                "there is no exercise in {} that can be used",
                folder.display()
            ),
            cure,
        ));
    }
    Ok(exercises)
}

fn bind(runtime: &Runtime, address: SocketAddr) -> Result<TcpListener, Failure> {
    runtime.block_on(listen(address)).map_err(|error| {
        let cure = match error.kind() {
            ErrorKind::AddrInUse => {
                "another program listens there, perhaps an older training server; stop it, or name another --port (0 takes a free one)"
            }
            ErrorKind::AddrNotAvailable => "name an address that this computer has, with --address",
            ErrorKind::PermissionDenied => "name a --port from 1024 up; lower ones are the system's",
            _ => "name another --address or --port",
        };
        Failure::new(format!("cannot listen on {address}: {error}"), cure)
    })
}

/// The address as a browser on this computer opens it.
fn shown(bound: SocketAddr) -> SocketAddr {
    let ip = match bound.ip() {
        IpAddr::V4(ip) if ip.is_unspecified() => IpAddr::from([127, 0, 0, 1]),
        IpAddr::V6(ip) if ip.is_unspecified() => IpAddr::from([0, 0, 0, 0, 0, 0, 0, 1_u16]),
        ip => ip,
    };
    SocketAddr::new(ip, bound.port())
}

/// Comes when the server is told to stop.
async fn stop() {
    match Told::listen() {
        Ok(mut told) => {
            leave_to_server();
            told.come().await;
        }
        Err(error) => {
            tracing::error!("Ctrl-C is not heard: {error}");
            std::future::pending::<()>().await;
        }
    }
}
