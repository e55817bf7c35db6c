//! Two controllers behind one port: what the bench asks goes to both, and both must say the same.

use firmware_core::events::Event;
use firmware_core::process_image::Inputs;
use firmware_core::sequence::{Command, Request};
use std::path::{Path, PathBuf};
use twinplate_board::{OnBoard, OnBoardError};
use twinplate_sim::bench::{Answer, ControlHash, ControllerPort, InProcess, PortError, Setup};

/// Where `tests/board/run` says that the image lies.
pub fn image() -> PathBuf {
    std::env::var_os("TWINPLATE_BOARD")
        .expect("TWINPLATE_BOARD names the image: start this by tests/board/run")
        .into()
}

pub struct Twin {
    here: InProcess,
    board: OnBoard,
    hashes: [ControlHash; 2],
    tick: u32,
    parted: Option<u32>,
}

impl Twin {
    /// A controller here and one on a board with this image.
    pub fn new(setup: &Setup<'_>, image: &Path) -> Result<Self, OnBoardError> {
        Ok(Self {
            here: setup.controller(),
            board: OnBoard::new(image, setup.job.params.clone())?,
            hashes: [ControlHash::new(), ControlHash::new()],
            tick: 0,
            parted: None,
        })
    }

    /// First tick whose answers differ, once the run has ended for it; from 0.
    pub const fn parted(&self) -> Option<u32> {
        self.parted
    }
}

fn differs(tick: u32, what: String) -> PortError {
    PortError::Protocol {
        at: format!("the emulated board, in tick {tick},"),
        what,
    }
}

impl ControllerPort for Twin {
    fn exchange(
        &mut self,
        inputs: &Inputs,
        command: Option<Command>,
        request: Option<&Request>,
    ) -> Result<Answer<'_>, PortError> {
        let here = self.here.exchange(inputs, command, request)?;
        let board = self.board.exchange(inputs, command, request)?;
        // The hash tells every bit apart, those of a nought's sign and of a NaN among them.
        self.hashes[0].tick(here.outputs, here.status);
        self.hashes[1].tick(board.outputs, board.status);
        let [one, other] = &self.hashes;
        let same = one.value() == other.value()
            && here.alarms == board.alarms
            && here.refusal == board.refusal;
        if !same {
            self.parted = Some(self.tick);
            let what = format!("other bits\nhere {here:?}\nboard {board:?}\n");
            return Err(differs(self.tick, what));
        }
        self.tick += 1;
        Ok(board)
    }

    fn answer(&self) -> Option<Answer<'_>> {
        self.board.answer()
    }

    fn events(&mut self, take: &mut dyn FnMut(&Event)) -> Result<u32, PortError> {
        let (mut here, mut board) = (Vec::new(), Vec::new());
        let lost_here = self.here.events(&mut |event| here.push(*event))?;
        let lost_board = self.board.events(&mut |event| board.push(*event))?;
        if (&here, lost_here) != (&board, lost_board) {
            self.parted = Some(self.tick);
            let what = format!("other events\nhere {here:?}\nboard {board:?}\n");
            return Err(differs(self.tick, what));
        }
        board.iter().for_each(take);
        Ok(lost_board)
    }

    fn power_returns(&mut self) -> Result<(), PortError> {
        self.here.power_returns()?;
        self.board.power_returns()
    }
}
