//! Two controllers behind one port: what the bench asks goes to both, and both must say the same.

use firmware_core::events::Event;
use firmware_core::process_image::Inputs;
use firmware_core::sequence::{Command, Request};
use std::path::PathBuf;
use std::time::Instant;
use twinplate_board::OnBoard;
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
    began: Instant,
    tick: u32,
}

impl Twin {
    pub fn new(setup: &Setup<'_>) -> Self {
        let board = OnBoard::new(&image(), setup.job.params.clone());
        Self {
            here: setup.controller(),
            board: board.unwrap_or_else(|error| panic!("{error}")),
            hashes: [ControlHash::new(), ControlHash::new()],
            began: Instant::now(),
            tick: 0,
        }
    }

    /// Simulated over real time so far; both controllers and the machine in it.
    pub fn pace(&self) -> f64 {
        f64::from(self.tick) / 1000.0 / self.began.elapsed().as_secs_f64()
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
        assert!(
            one.value() == other.value()
                && here.alarms == board.alarms
                && here.refusal == board.refusal,
            "tick {}\nhere {here:?}\nboard {board:?}",
            self.tick
        );
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
        assert_eq!(
            (here, lost_here),
            (board.clone(), lost_board),
            "events before tick {}",
            self.tick
        );
        board.iter().for_each(take);
        Ok(lost_board)
    }

    fn power_returns(&mut self) -> Result<(), PortError> {
        self.here.power_returns()?;
        self.board.power_returns()
    }
}
