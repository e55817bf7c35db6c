//! A board with its operator's line at a hub: one UART, so one host at a time.

use crate::{BoardError, OnBoard, OnBoardError};
use firmware_core::events::Event;
use firmware_core::params::CheckedParams;
use firmware_core::process_image::Inputs;
use firmware_core::sequence::{Command, Request};
use firmware_core::units::Ticks;
use std::io::{ErrorKind, Read as _, Write as _};
use std::net::{Ipv4Addr, SocketAddr, TcpListener, TcpStream};
use std::path::Path;
use twinplate_link::hub::Lines;
use twinplate_sim::bench::{Answer, ControllerPort, PortError};
use twinplate_sim::flash::Flash;

/// Most bytes that wait for the board, some frames; as on a line without handshake more are lost, and the host asks again.
const MOST_WAITING: usize = 1 << 14;

/// The host that has the line.
#[derive(Debug)]
struct Host {
    line: u32,
    stream: TcpStream,
    /// What the board has no room for yet.
    waiting: Vec<u8>,
}

/// A controller on a board, and its line.
#[derive(Debug)]
pub struct OnLine {
    board: OnBoard,
    /// Where the board's end of the line listens.
    address: SocketAddr,
    opened: u32,
    host: Option<Host>,
}

impl OnLine {
    /// Starts a board with this in its flash. A session of its line ends after `silence` ticks without a request: a UART does not tell
    /// that nobody is at its other end any more.
    ///
    /// # Errors
    /// As [`OnBoard::new`].
    pub fn start(
        image: &Path,
        params: CheckedParams,
        stored: &Flash,
        silence: Ticks,
    ) -> Result<Self, OnBoardError> {
        let line = TcpListener::bind((Ipv4Addr::LOCALHOST, 0)).map_err(BoardError::Host)?;
        let address = line.local_addr().map_err(BoardError::Host)?;
        Ok(Self {
            board: OnBoard::holding(image, params, stored, Some((line, silence)))?,
            address,
            opened: 0,
            host: None,
        })
    }

    /// The board.
    pub const fn board(&mut self) -> &mut OnBoard {
        &mut self.board
    }

    fn connect(&self) -> std::io::Result<TcpStream> {
        let stream = TcpStream::connect(self.address)?;
        stream.set_nodelay(true)?;
        stream.set_nonblocking(true)?;
        Ok(stream)
    }

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

impl Lines for OnLine {
    fn open(&mut self) -> Option<u32> {
        if self.host.is_some() {
            return None;
        }
        let stream = self.connect().ok()?;
        self.opened = self.opened.wrapping_add(1);
        self.host = Some(Host {
            line: self.opened,
            stream,
            waiting: Vec::new(),
        });
        Some(self.opened)
    }

    fn bring(&mut self, line: u32, bytes: &[u8]) {
        if let Some(host) = self.host(line) {
            let room = MOST_WAITING.saturating_sub(host.waiting.len());
            let kept = bytes.get(..room).unwrap_or(bytes);
            host.waiting.extend_from_slice(kept);
            host.send();
        }
    }

    fn take(&mut self, line: u32) -> Vec<u8> {
        let mut said = Vec::new();
        let Some(host) = self.host(line) else {
            return said;
        };
        host.send();
        let mut bytes = [0; 4096];
        loop {
            match host.stream.read(&mut bytes) {
                Ok(0) => break,
                Ok(length) => said.extend_from_slice(bytes.get(..length).unwrap_or_default()),
                Err(error) if error.kind() == ErrorKind::Interrupted => {}
                Err(_) => break,
            }
        }
        said
    }

    fn close(&mut self, line: u32) {
        self.host = self.host.take().filter(|host| host.line != line);
    }
}

impl ControllerPort for OnLine {
    fn exchange(
        &mut self,
        inputs: &Inputs,
        command: Option<Command>,
        request: Option<&Request>,
    ) -> Result<Answer<'_>, PortError> {
        self.board.exchange(inputs, command, request)
    }

    fn answer(&self) -> Option<Answer<'_>> {
        self.board.answer()
    }

    fn events(&mut self, take: &mut dyn FnMut(&Event)) -> Result<u32, PortError> {
        self.board.events(take)
    }

    fn power_returns(&mut self) -> Result<(), PortError> {
        self.board.power_returns()
    }
}
