//! What must not be: measured values become named conditions, conditions become at most one response, first-out latched.

mod alarm;
mod conditions;
mod latch;
mod table;

pub use alarm::{ALL_ALARM_STATES, AlarmState, Alarms, Annunciator};
pub use conditions::{Conditions, Situation, TANK_EMPTY, TANK_LOW};
pub use latch::{Latch, Verdict, worst};
pub use table::{
    ALL_EFFECTS, ALL_RESET_RULES, Cond, Debounce, Effect, RETIRED, ROWS, ResetRule, Respond, Row,
    TABLE, Watch, fixed_debounce, row_of,
};
