//! What must not be: measured values become named conditions, conditions become at most one response, first-out latched.

mod alarm;
mod conditions;
mod latch;
mod row;
mod rows;
mod table;

pub use alarm::{ALL_ALARM_STATES, AlarmState, Alarms, Annunciator};
pub use conditions::{Conditions, Situation, TANK_EMPTY, TANK_LOW};
pub use latch::{Latch, Verdict, worst};
pub use row::{ALL_EFFECTS, ALL_RESET_RULES, Debounce, Effect, ResetRule, Respond, Row, Watch};
pub use table::{Cond, RETIRED, ROWS, TABLE, fixed_debounce, row_of};
