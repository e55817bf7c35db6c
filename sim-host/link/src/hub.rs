//! The lines as TCP connections: looked after between ticks, without threads, and none of them can hold the machine up.

use std::io::{self, ErrorKind, Read, Write};
use std::net::{SocketAddr, TcpListener, TcpStream};

/// Most hosts at a time; more are turned away.
pub const MOST_HOSTS: usize = 8;
/// Most bytes that wait for a host that does not read; then it is let go.
const MOST_WAITING: usize = 1 << 18;

/// What has lines for hosts.
pub trait Lines {
    /// Opens a line; gives its number. None where it has no more of them.
    fn open(&mut self) -> Option<u32>;

    /// Brings bytes from a host; they are heard before a tick.
    fn bring(&mut self, line: u32, bytes: &[u8]);

    /// Takes what was said to a host since the last time.
    fn take(&mut self, line: u32) -> Vec<u8>;

    /// The line is gone.
    fn close(&mut self, line: u32);
}

/// What happened on the lines.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Came {
    /// A host came.
    Here(SocketAddr),
    /// A host went.
    Gone(SocketAddr),
    /// A host was turned away: there are too many.
    TurnedAway(SocketAddr),
}

#[derive(Debug)]
struct Host {
    line: u32,
    address: SocketAddr,
    stream: TcpStream,
    waiting: Vec<u8>,
}

/// Listens, and carries bytes between hosts and the controller.
#[derive(Debug)]
pub struct Hub {
    listener: TcpListener,
    hosts: Vec<Host>,
}

impl Hub {
    /// Listens on an address.
    ///
    /// # Errors
    /// What the system reports.
    pub fn listen(address: SocketAddr) -> io::Result<Self> {
        let listener = TcpListener::bind(address)?;
        listener.set_nonblocking(true)?;
        Ok(Self {
            listener,
            hosts: Vec::new(),
        })
    }

    /// Where it listens.
    ///
    /// # Errors
    /// What the system reports.
    pub fn address(&self) -> io::Result<SocketAddr> {
        self.listener.local_addr()
    }

    /// Carries what came and what is to go; gives what happened. Waits for nothing.
    pub fn carry(&mut self, port: &mut impl Lines) -> Vec<Came> {
        let mut came = Vec::new();
        // Heard before the hosts are looked at: who went before another came is then seen to have gone, and makes room for it.
        let arrived: Vec<_> = std::iter::from_fn(|| self.listener.accept().ok()).collect();
        self.hosts.retain_mut(|host| {
            let stays = host.carry(port);
            if !stays {
                port.close(host.line);
                came.push(Came::Gone(host.address));
            }
            stays
        });
        for (stream, address) in arrived {
            let ready = stream
                .set_nonblocking(true)
                .and_then(|()| stream.set_nodelay(true));
            let free = self.hosts.len() < MOST_HOSTS && ready.is_ok();
            let Some(line) = free.then(|| port.open()).flatten() else {
                came.push(Came::TurnedAway(address));
                continue;
            };
            came.push(Came::Here(address));
            self.hosts.push(Host {
                line,
                address,
                stream,
                waiting: Vec::new(),
            });
        }
        came
    }
}

impl Host {
    /// False where the line is gone.
    fn carry(&mut self, port: &mut impl Lines) -> bool {
        let mut bytes = [0; 4096];
        loop {
            match self.stream.read(&mut bytes) {
                Ok(0) => return false,
                Ok(len) => port.bring(self.line, bytes.get(..len).unwrap_or_default()),
                Err(error) if later(&error) => break,
                Err(_) => return false,
            }
        }
        self.waiting.extend(port.take(self.line));
        while !self.waiting.is_empty() {
            match self.stream.write(&self.waiting) {
                Ok(0) => return false,
                Ok(len) => drop(self.waiting.drain(..len)),
                Err(error) if later(&error) => break,
                Err(_) => return false,
            }
        }
        self.waiting.len() <= MOST_WAITING
    }
}

fn later(error: &io::Error) -> bool {
    matches!(error.kind(), ErrorKind::WouldBlock | ErrorKind::Interrupted)
}
