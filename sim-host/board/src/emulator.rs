//! The emulator as a process, and the two pipes to the board in it.

use firmware_core::units::Ticks;
use lockstep::LONGEST;
use rustix::event::{PollFd, PollFlags, Timespec, poll};
use rustix::fs::{CWD, FileType, Mode, OFlags, mknodat, open};
use rustix::io::{FdFlags, fcntl_setfd};
use std::fmt;
use std::fs::File;
use std::io::{Read, Write};
use std::net::TcpListener;
use std::os::fd::AsRawFd;
use std::path::{Path, PathBuf};
use std::process::{Child, Command, Stdio};
use tempfile::TempDir;
use twinplate_sim::bench::PortError;

/// Program that emulates the board.
const PROGRAM: &str = "qemu-system-arm";

/// Nanoseconds of emulated time an instruction takes, as a power of two: a processor of 62 million instructions a second (invented; a
/// common one of its kind). Also what makes the emulated timers repeatable.
const SHIFT: u32 = 4;

/// Counts of the board's timer an instruction: its 25 MHz, on each of these boards, over the emulated time of an instruction.
pub(crate) const COUNTS_PER_INSTRUCTION: f64 = 25.0e6 * (1_u64 << SHIFT) as f64 * 1e-9;

/// How long an answer may take before the board counts as lost, s. It takes microseconds; a busy host may stop a process for a while.
const WAIT_S: i64 = 30;

/// The emulator's board and processor for an image. A compiler that was told a processor names it in the build attributes (Arm, "Addenda
/// to, and Errata in, the ABI for the Arm Architecture", `Tag_CPU_name`); one that was not made the image for the Cortex-M4F.
fn machine(image: &[u8]) -> (&'static str, &'static str) {
    const NAMED: [(&str, &str); 2] = [("mps2-an385", "cortex-m3"), ("mps2-an500", "cortex-m7")];
    let names = |processor: &str| {
        let name = [processor.as_bytes(), &[0]].concat();
        image.windows(name.len()).any(|bytes| bytes == name)
    };
    let named = NAMED.into_iter().find(|(_, processor)| names(processor));
    named.unwrap_or(("mps2-an386", "cortex-m4"))
}

/// Why there is no board.
#[derive(Debug)]
pub enum BoardError {
    /// No image where one was looked for.
    NoImage(PathBuf),
    /// The emulator is not installed.
    NoEmulator,
    /// The host would not have it.
    Host(std::io::Error),
}

impl fmt::Display for BoardError {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::NoImage(path) => {
                write!(out, "there is no image of the board at {}", path.display())
            }
            Self::NoEmulator => write!(out, "the emulator {PROGRAM} is not installed"),
            Self::Host(error) => write!(out, "the board could not be started: {error}"),
        }
    }
}

impl std::error::Error for BoardError {}

impl From<std::io::Error> for BoardError {
    fn from(error: std::io::Error) -> Self {
        Self::Host(error)
    }
}

impl From<rustix::io::Errno> for BoardError {
    fn from(error: rustix::io::Errno) -> Self {
        Self::Host(error.into())
    }
}

/// What a board may have beside its controller.
#[derive(Debug, Default)]
pub struct Fittings {
    /// The file that keeps what is in its flash ([`make_flash`]). Without it what is stored goes with the board.
    pub flash: Option<PathBuf>,
    /// Where hosts reach its operator's line, and the silence after which a session on it is over.
    pub line: Option<(TcpListener, Ticks)>,
    /// It sleeps to the end of each period, as a real one does. The ticks are the same, and take several times as long to emulate.
    pub sleeps: bool,
}

/// Bytes of the board's outer memory, which is one file to the emulator; the flash is its beginning.
const OUTER: u64 = 16 << 20;

/// Makes the file of a board's flash with these bytes in it.
///
/// # Errors
/// What the host says.
pub fn make_flash(path: &Path, bytes: &[u8]) -> std::io::Result<()> {
    std::fs::write(path, bytes)?;
    File::options().write(true).open(path)?.set_len(OUTER)
}

/// A running board. It ends when this is dropped.
#[derive(Debug)]
pub struct Emulator {
    child: Child,
    asks: File,
    tells: File,
    /// Where the pipes lie; removed when the board has ended.
    _folder: TempDir,
    answer: Vec<u8>,
}

impl Emulator {
    /// Starts the board with an image.
    ///
    /// # Errors
    /// No image, no emulator, no pipes, no flash where one was named.
    pub fn start(image: &Path, fittings: &Fittings) -> Result<Self, BoardError> {
        let image = image
            .canonicalize()
            .map_err(|_| BoardError::NoImage(image.to_owned()))?;
        let (machine, processor) = machine(&std::fs::read(&image)?);
        let folder = tempfile::tempdir()?;
        let pipe = |name: &str| -> Result<PathBuf, BoardError> {
            let path = folder.path().join(name);
            mknodat(CWD, &path, FileType::Fifo, Mode::RUSR | Mode::WUSR, 0)?;
            Ok(path)
        };
        let (asks, tells) = (pipe("asks")?, pipe("tells")?);
        // Both ends of the first, so that opening waits for nobody; the second never blocks, it is waited for with a limit.
        let asks = File::from(open(&asks, OFlags::RDWR | OFlags::CLOEXEC, Mode::empty())?);
        let reading = OFlags::RDONLY | OFlags::NONBLOCK | OFlags::CLOEXEC;
        let tells = File::from(open(&tells, reading, Mode::empty())?);
        let mut command = Command::new(PROGRAM);
        match &fittings.flash {
            None => command.args(["-M", machine]),
            Some(path) => {
                let path = path.canonicalize()?.display().to_string();
                let file = format!("memory-backend-file,id=outer,size={OUTER},share=on,mem-path=");
                // A comma in a name is said twice.
                let file = file + &path.replace(',', ",,");
                command.args([
                    "-object",
                    &file,
                    "-M",
                    &format!("{machine},memory-backend=outer"),
                ])
            }
        };
        // The board's own end of the listener, which it inherits and this process lets go when it has started.
        let line = fittings.line.as_ref();
        let line = line.map(|(line, _)| line.try_clone()).transpose()?;
        match &line {
            None => command.args(["-serial", "none"]),
            Some(line) => {
                fcntl_setfd(line, FdFlags::empty())?;
                let number = line.as_raw_fd();
                let line = format!("socket,id=line,fd={number},server=on,wait=off");
                command.args(["-chardev", &line, "-serial", "chardev:line"])
            }
        };
        let child = command
            .args(["-cpu", processor])
            .args(["-icount", &format!("shift={SHIFT},sleep=off")])
            .args(["-semihosting-config", "enable=on,target=native"])
            .args(["-display", "none", "-monitor", "none"])
            .arg("-kernel")
            .arg(image)
            .current_dir(folder.path())
            .stdin(Stdio::null())
            .stdout(Stdio::null())
            .stderr(Stdio::null())
            .spawn()
            .map_err(|error| match error.kind() {
                std::io::ErrorKind::NotFound => BoardError::NoEmulator,
                _ => BoardError::Host(error),
            })?;
        Ok(Self {
            child,
            asks,
            tells,
            _folder: folder,
            answer: vec![0; LONGEST],
        })
    }

    /// One message there, its answer back.
    ///
    /// # Errors
    /// The board has gone, or is silent.
    pub(crate) fn carry(&mut self, message: &[u8]) -> Result<&[u8], PortError> {
        let lost = |_| PortError::Lost { at: place() };
        self.asks.write_all(message).map_err(lost)?;
        loop {
            match self.tells.read(&mut self.answer) {
                // Nobody has opened the other end yet, or it was closed.
                Ok(0) if self.child.try_wait().map_err(lost)?.is_some() => {
                    return Err(PortError::Lost { at: place() });
                }
                Ok(0) => std::thread::sleep(std::time::Duration::from_millis(1)),
                // An answer is shorter than what a pipe carries in one piece.
                Ok(length) => return Ok(self.answer.get(..length).unwrap_or(&[])),
                Err(error) if error.kind() == std::io::ErrorKind::WouldBlock => self.wait()?,
                Err(error) if error.kind() == std::io::ErrorKind::Interrupted => {}
                Err(error) => return Err(lost(error)),
            }
        }
    }

    fn wait(&self) -> Result<(), PortError> {
        let limit = Timespec {
            tv_sec: WAIT_S,
            tv_nsec: 0,
        };
        let mut pipes = [PollFd::new(&self.tells, PollFlags::IN)];
        match poll(&mut pipes, Some(&limit)) {
            Ok(0) => Err(PortError::Timeout {
                at: place(),
                waited_ms: WAIT_S as u32 * 1000,
            }),
            Ok(_) | Err(rustix::io::Errno::INTR) => Ok(()),
            Err(_) => Err(PortError::Lost { at: place() }),
        }
    }
}

/// Where the controller is expected.
pub(crate) fn place() -> String {
    "the emulated board".into()
}

impl Emulator {
    /// Ends the board at once.
    pub(crate) fn end(&mut self) {
        // It may have ended by itself.
        let _ = self.child.kill();
        let _ = self.child.wait();
    }
}

impl Drop for Emulator {
    fn drop(&mut self) {
        self.end();
    }
}

#[cfg(test)]
mod tests {
    use super::machine;

    /// As a compiler writes it into an image, with its nought; a longer name is another processor.
    #[test]
    fn an_image_is_put_on_the_board_of_the_processor_that_it_names() {
        for (image, board) in [
            (&b"aeabi\0cortex-m3\0"[..], "mps2-an385"),
            (b"aeabi\0cortex-m7\0\x06", "mps2-an500"),
            (b"aeabi\0cortex-m4\0", "mps2-an386"),
            (b"aeabi\0cortex-m33\0", "mps2-an386"),
            (b"", "mps2-an386"),
        ] {
            assert_eq!(machine(image).0, board);
        }
    }
}
