//! What must not be: measured values become named conditions, conditions become at most one response, first-out latched.

mod alarm;
mod conditions;
mod latch;
mod table;

pub use alarm::{AlarmState, Alarms};
pub use conditions::{Conditions, Situation, TANK_EMPTY};
pub use latch::{Latch, Verdict, worst};
pub use table::{
    Cond, Debounce, Effect, RETIRED, ROWS, ResetRule, Respond, Row, TABLE, Watch, row_of,
};
