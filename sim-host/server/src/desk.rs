//! Who sits at a station and who holds control of it. Pure; times and new seats are handed in.
//!
//! One seat at most holds control. Whoever loses the connection keeps control for [`KEEPS_CONTROL`]: the seat that was given at
//! the first join takes it again. A seat is known to its owner alone; the others see its first characters.

use std::collections::BTreeMap;
use std::time::Duration;
use twinplate_train::protocol::{Role, Seats};

/// How long control is kept for a seat whose connection was lost.
pub const KEEPS_CONTROL: Duration = Duration::from_secs(15);
/// Characters of a seat that others see.
const SHORT: usize = 6;

/// A connection to a station, by number.
pub type Client = u64;

#[derive(Clone, Debug)]
struct Chair {
    seat: String,
    role: Role,
}

#[derive(Clone, Debug)]
struct Control {
    seat: String,
    /// Clock time at which the connection was lost.
    lost: Option<Duration>,
}

/// Seats and control of one station.
#[derive(Clone, Debug, Default)]
pub struct Desk {
    chairs: BTreeMap<Client, Chair>,
    control: Option<Control>,
}

/// A join that was taken.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Seated {
    /// The seat: the one that was asked for, or the new one.
    pub seat: String,
    /// An older connection of the same seat, which is to be closed.
    pub replaces: Option<Client>,
    /// Control was held by this seat and no longer is, because it came back as something else than an operator.
    pub let_go: bool,
}

/// Why control is not given.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum NoControl {
    /// Only operators hold control.
    NotAnOperator,
    /// Somebody present holds it.
    Held,
    /// Somebody whose connection was lost keeps it so much longer.
    Kept(Duration),
}

impl Desk {
    /// Seats a connection. `seat` is an earlier seat, `new` the one to give otherwise.
    pub(crate) fn sit(
        &mut self,
        client: Client,
        role: Role,
        seat: Option<&str>,
        new: String,
    ) -> Seated {
        let replaces = seat.and_then(|seat| {
            let mut same = self.chairs.iter().filter(|(_, chair)| chair.seat == seat);
            same.next().map(|(client, _)| *client)
        });
        if let Some(old) = replaces {
            self.chairs.remove(&old);
        }
        let mut let_go = false;
        let known = match (&mut self.control, seat) {
            (Some(control), Some(seat)) if control.seat == seat => {
                control.lost = None;
                let_go = role != Role::Operator;
                true
            }
            _ => replaces.is_some(),
        };
        if let_go {
            self.control = None;
        }
        let seat = seat.filter(|_| known).map_or(new, str::to_owned);
        let chair = Chair {
            seat: seat.clone(),
            role,
        };
        self.chairs.insert(client, chair);
        Seated {
            seat,
            replaces,
            let_go,
        }
    }

    /// A connection is gone. True if it held control.
    pub fn leave(&mut self, client: Client, now: Duration) -> bool {
        let Some(chair) = self.chairs.remove(&client) else {
            return false;
        };
        match &mut self.control {
            Some(control) if control.seat == chair.seat => {
                control.lost = Some(now);
                true
            }
            _ => false,
        }
    }

    /// Gives control. True if it changed hands.
    ///
    /// # Errors
    /// Others hold it, or it is not for this role.
    pub fn take(&mut self, client: Client, now: Duration) -> Result<bool, NoControl> {
        self.lapse(now);
        let Some(chair) = self.chairs.get(&client) else {
            return Err(NoControl::NotAnOperator);
        };
        if chair.role != Role::Operator {
            return Err(NoControl::NotAnOperator);
        }
        match &self.control {
            Some(control) if control.seat == chair.seat => Ok(false),
            Some(Control { lost: None, .. }) => Err(NoControl::Held),
            Some(Control {
                lost: Some(lost), ..
            }) => {
                let gone = now.saturating_sub(*lost);
                Err(NoControl::Kept(KEEPS_CONTROL.saturating_sub(gone)))
            }
            None => {
                self.control = Some(Control {
                    seat: chair.seat.clone(),
                    lost: None,
                });
                Ok(true)
            }
        }
    }

    /// Lets control go. True if this connection held it.
    pub fn release(&mut self, client: Client) -> bool {
        let held = self.holds(client);
        if held {
            self.control = None;
        }
        held
    }

    /// This connection holds control.
    #[must_use]
    pub fn holds(&self, client: Client) -> bool {
        match (&self.control, self.chairs.get(&client)) {
            (Some(control), Some(chair)) => control.seat == chair.seat,
            _ => false,
        }
    }

    /// As whom a connection has joined.
    #[must_use]
    pub fn role(&self, client: Client) -> Option<Role> {
        self.chairs.get(&client).map(|chair| chair.role)
    }

    /// Frees control that was kept long enough. True if it did.
    pub(crate) fn lapse(&mut self, now: Duration) -> bool {
        let over = self.control.as_ref().is_some_and(|control| {
            let lost = control.lost;
            lost.is_some_and(|lost| now.saturating_sub(lost) >= KEEPS_CONTROL)
        });
        if over {
            self.control = None;
        }
        over
    }

    /// What a connection is told about the seats.
    #[must_use]
    pub fn seats(&self, client: Client) -> Seats {
        Seats {
            control: self
                .control
                .as_ref()
                .map(|control| control.seat.chars().take(SHORT).collect()),
            yours: self.holds(client),
            present: self.present(),
        }
    }

    /// Somebody holds control, present or not.
    #[must_use]
    pub const fn controlled(&self) -> bool {
        self.control.is_some()
    }

    /// Connections.
    #[must_use]
    pub fn present(&self) -> u32 {
        // Far below any u32: the station limits them.
        u32::try_from(self.chairs.len()).unwrap_or(u32::MAX)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const NOW: Duration = Duration::from_secs(100);

    fn after(seconds: u64) -> Duration {
        NOW + Duration::from_secs(seconds)
    }

    fn operators(number: u64) -> Desk {
        let mut desk = Desk::default();
        for client in 1..=number {
            desk.sit(client, Role::Operator, None, format!("seat-of-{client}"));
        }
        desk
    }

    #[test]
    fn one_holds_control_and_the_others_wait_until_it_is_let_go() {
        let mut desk = operators(2);
        assert_eq!(desk.take(1, NOW), Ok(true));
        assert_eq!(desk.take(1, NOW), Ok(false));
        assert_eq!(desk.take(2, NOW), Err(NoControl::Held));
        assert!(!desk.release(2));
        assert!(desk.holds(1));
        assert!(desk.release(1));
        assert_eq!(desk.take(2, NOW), Ok(true));
        assert!(desk.holds(2) && !desk.holds(1));
    }

    #[test]
    fn only_an_operator_takes_control() {
        let mut desk = Desk::default();
        desk.sit(1, Role::Watcher, None, "w".into());
        desk.sit(2, Role::Instructor, None, "i".into());
        for client in [1, 2, 3] {
            assert_eq!(desk.take(client, NOW), Err(NoControl::NotAnOperator));
        }
        assert!(!desk.controlled());
    }

    #[test]
    fn a_lost_connection_keeps_control_for_fifteen_seconds() {
        let mut desk = operators(2);
        assert_eq!(desk.take(1, NOW), Ok(true));
        assert!(desk.leave(1, NOW));
        assert_eq!(
            desk.take(2, after(14)),
            Err(NoControl::Kept(Duration::from_secs(1)))
        );
        let back = desk.sit(3, Role::Operator, Some("seat-of-1"), "new".into());
        assert_eq!(back.seat, "seat-of-1");
        assert!(desk.holds(3));
        assert!(!desk.lapse(after(60)), "it is back");

        assert!(desk.leave(3, NOW));
        assert!(!desk.lapse(after(14)));
        assert!(desk.lapse(after(15)));
        assert_eq!(desk.take(2, after(15)), Ok(true));
        let late = desk.sit(4, Role::Operator, Some("seat-of-1"), "new".into());
        assert_eq!(late.seat, "new", "a seat that lapsed is nobody's");
        assert!(!desk.holds(4));
    }

    #[test]
    fn a_seat_that_nobody_gave_gives_no_control() {
        let mut desk = operators(1);
        assert_eq!(desk.take(1, NOW), Ok(true));
        let guess = desk.sit(2, Role::Operator, Some("seat-of"), "new".into());
        assert_eq!(guess.seat, "new");
        assert!(!desk.holds(2));
    }

    #[test]
    fn the_same_seat_twice_closes_the_older_connection() {
        let mut desk = operators(1);
        assert_eq!(desk.take(1, NOW), Ok(true));
        let again = desk.sit(2, Role::Operator, Some("seat-of-1"), "new".into());
        assert_eq!(again.replaces, Some(1));
        assert!(desk.holds(2));
        assert_eq!(desk.present(), 1);
        assert!(!desk.leave(1, NOW), "the old one's end takes nothing away");
        assert!(desk.holds(2));
    }

    #[test]
    fn a_holder_that_comes_back_as_a_watcher_lets_control_go() {
        let mut desk = operators(1);
        assert_eq!(desk.take(1, NOW), Ok(true));
        let again = desk.sit(2, Role::Watcher, Some("seat-of-1"), "new".into());
        assert!(again.let_go);
        assert!(!desk.controlled());
    }

    #[test]
    fn others_see_the_beginning_of_a_seat_only() {
        let mut desk = operators(2);
        assert_eq!(desk.take(1, NOW), Ok(true));
        let seats = desk.seats(2);
        assert_eq!(seats.control.as_deref(), Some("seat-o"));
        assert!(!seats.yours);
        assert_eq!(seats.present, 2);
        assert!(desk.seats(1).yours);
    }
}
