//! A process that is told to stop: by Ctrl-C, or by the system's polite request. Files and folders under a temporary name go with
//! it.

use std::fs;
use std::io;
use std::path::{Path, PathBuf};
use std::process::exit;
use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::{Mutex, MutexGuard, Once, PoisonError};

/// Exit code of a process that a signal ended: this and the number of the signal, as shells say it.
const SIGNALLED: i32 = 128;
/// Ctrl-C, `SIGINT` (POSIX).
const INTERRUPT: i32 = 2;
/// The polite request, `SIGTERM` (POSIX).
const TERMINATE: i32 = 15;

/// Files and folders under a temporary name.
static TEMPORARY: Mutex<Vec<PathBuf>> = Mutex::new(Vec::new());
static LISTENING: Once = Once::new();
/// Whether a server ends the process, once it has saved what runs.
static SERVED: AtomicBool = AtomicBool::new(false);

/// Makes a temporary file or folder. From now on until it is [settled](settle) it is removed when the process is told to stop.
///
/// # Errors
/// Those of `make`.
pub fn create<T>(path: &Path, make: impl FnOnce() -> io::Result<T>) -> io::Result<T> {
    LISTENING.call_once(listen);
    let mut temporary = temporary();
    let made = make()?;
    temporary.push(path.to_owned());
    Ok(made)
}

/// Fills a temporary folder: nothing is put into it any more once it is being removed.
///
/// # Errors
/// Those of `act`.
pub fn fill<T>(act: impl FnOnce() -> io::Result<T>) -> io::Result<T> {
    let _held = temporary();
    act()
}

/// From now on a server ends the process.
pub(crate) fn leave_to_server() {
    SERVED.store(true, Ordering::SeqCst);
}

/// Renames or removes a temporary file or folder; it is then nobody's concern any more.
///
/// # Errors
/// Those of `act`.
pub fn settle(path: &Path, act: impl FnOnce() -> io::Result<()>) -> io::Result<()> {
    let mut temporary = temporary();
    act()?;
    temporary.retain(|other| other != path);
    Ok(())
}

fn temporary() -> MutexGuard<'static, Vec<PathBuf>> {
    TEMPORARY.lock().unwrap_or_else(PoisonError::into_inner)
}

/// Starts a thread that waits to be told. Where the system does not allow it, a stopped process leaves its files behind.
fn listen() {
    let Ok(runtime) = tokio::runtime::Builder::new_current_thread()
        .enable_all()
        .build()
    else {
        return;
    };
    let told = {
        let _inside = runtime.enter();
        Told::listen()
    };
    let Ok(mut told) = told else { return };
    let wait = move || {
        loop {
            let signal = runtime.block_on(told.come());
            if SERVED.load(Ordering::SeqCst) {
                continue;
            }
            // Kept to the end, so that nothing is made or renamed any more.
            let temporary = temporary();
            for path in temporary.iter() {
                let _ = if path.is_dir() {
                    fs::remove_dir_all(path)
                } else {
                    fs::remove_file(path)
                };
            }
            exit(SIGNALLED + signal);
        }
    };
    // Where there is no thread to be had there is no work either.
    let _ = std::thread::Builder::new()
        .name("told to stop".into())
        .spawn(wait);
}

/// What tells a process to stop.
#[cfg(unix)]
pub struct Told {
    interrupt: tokio::signal::unix::Signal,
    terminate: tokio::signal::unix::Signal,
}

#[cfg(unix)]
impl Told {
    /// Listens from now on; inside a runtime.
    ///
    /// # Errors
    /// What the system reports.
    pub fn listen() -> io::Result<Self> {
        use tokio::signal::unix::{SignalKind, signal};
        Ok(Self {
            interrupt: signal(SignalKind::interrupt())?,
            terminate: signal(SignalKind::terminate())?,
        })
    }

    /// Comes when it is told, with the number of the signal.
    pub async fn come(&mut self) -> i32 {
        tokio::select! {
            _ = self.interrupt.recv() => INTERRUPT,
            _ = self.terminate.recv() => TERMINATE,
        }
    }
}

/// What tells a process to stop: where there are no signals, Ctrl-C alone.
#[cfg(not(unix))]
pub struct Told;

#[cfg(not(unix))]
impl Told {
    /// Listens.
    ///
    /// # Errors
    /// None.
    pub fn listen() -> io::Result<Self> {
        Ok(Self)
    }

    /// Comes when it is told.
    pub async fn come(&mut self) -> i32 {
        if tokio::signal::ctrl_c().await.is_err() {
            std::future::pending::<()>().await;
        }
        INTERRUPT
    }
}
