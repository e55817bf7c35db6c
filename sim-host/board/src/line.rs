//! The board's operator's line at a hub: one UART, so one host at a time.

use crate::OnBoard;
use std::io::{ErrorKind, Read as _, Write as _};
use std::net::{SocketAddr, TcpStream};
use twinplate_link::hub::Lines;

/// Most bytes that wait for the board, some frames; as on a line without handshake more are lost, and the host asks again.
const MOST_WAITING: usize = 1 << 14;

/// The line.
#[derive(Debug, Default)]
pub struct Line {
    opened: u32,
    host: Option<Host>,
}

/// The host that has it.
#[derive(Debug)]
struct Host {
    line: u32,
    stream: TcpStream,
    /// What the board has no room for yet.
    waiting: Vec<u8>,
}

impl Line {
    fn host(&mut self, line: u32) -> Option<&mut Host> {
        self.host.as_mut().filter(|host| host.line == line)
    }
}

impl Host {
    /// Sends what the board takes now. Where its end is gone, the next tick tells.
    fn send(&mut self) {
        while !self.waiting.is_empty() {
            match self.stream.write(&self.waiting) {
                Ok(0) => return,
                Ok(length) => drop(self.waiting.drain(..length)),
                Err(error) if error.kind() == ErrorKind::Interrupted => {}
                Err(_) => return,
            }
        }
    }
}

fn connect(address: SocketAddr) -> std::io::Result<TcpStream> {
    let stream = TcpStream::connect(address)?;
    stream.set_nodelay(true)?;
    stream.set_nonblocking(true)?;
    Ok(stream)
}

impl Lines for OnBoard {
    fn open(&mut self) -> Option<u32> {
        let stream = match &self.line.host {
            None => connect(self.address()?).ok()?,
            Some(_) => return None,
        };
        self.line.opened = self.line.opened.wrapping_add(1);
        self.line.host = Some(Host {
            line: self.line.opened,
            stream,
            waiting: Vec::new(),
        });
        Some(self.line.opened)
    }

    fn bring(&mut self, line: u32, bytes: &[u8]) {
        if let Some(host) = self.line.host(line) {
            let room = MOST_WAITING.saturating_sub(host.waiting.len());
            let kept = bytes.get(..room).unwrap_or(bytes);
            host.waiting.extend_from_slice(kept);
            host.send();
        }
    }

    fn take(&mut self, line: u32) -> Vec<u8> {
        let mut said = Vec::new();
        if let Some(host) = self.line.host(line) {
            host.send();
            // To its end for now, which is an error on a line that does not wait.
            let _ = host.stream.read_to_end(&mut said);
        }
        said
    }

    fn close(&mut self, line: u32) {
        self.line.host = self.line.host.take().filter(|host| host.line != line);
    }
}
