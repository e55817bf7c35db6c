//! Small changes of the core, each a text that stands there once and what it becomes in a copy.
//!
//! [`CONSTANTS`]: numbers of the controller. Changed in the image alone, each must make the board part from the controller in this
//! process, in the run that is named: else the comparison does not look there.
//!
//! [`INDICES`]: an index that is checked at run time, and so a panic path, in each part that must have none.

/// A text of the core, and what becomes of it.
pub struct Change {
    /// File below `firmware-core/src`.
    pub file: &'static str,
    /// The text as it is: once in that file.
    pub text: &'static str,
    /// What it is changed to.
    pub changed: &'static str,
    /// What it is or governs, in words.
    pub what: &'static str,
    /// For a constant the run that reaches it: a demonstration recipe, or a run of `runs.rs`.
    pub run: &'static str,
}

impl Change {
    /// The file with this change made.
    pub fn make(&self, source: &str) -> Result<String, String> {
        let Self { file, text, .. } = self;
        match source.matches(text).count() {
            1 => Ok(source.replacen(text, self.changed, 1)),
            n => Err(format!(
                "{file}: `{text}` of tests/board/list.rs stands there {n} times, once was expected: put the list right"
            )),
        }
    }

    /// Its row of docs/on-target.md, but for the tick.
    pub fn row(&self) -> String {
        let Self {
            file,
            text,
            changed,
            what,
            run,
        } = self;
        format!("| {what} | `{file}` | `{text}` | `{changed}` | {run} |")
    }
}

const fn constant(
    file: &'static str,
    [text, changed]: [&'static str; 2],
    what: &'static str,
    run: &'static str,
) -> Change {
    Change {
        file,
        text,
        changed,
        what,
        run,
    }
}

/// Twenty constants, over all that the controller does.
#[rustfmt::skip]
pub const CONSTANTS: [Change; 20] = [
    constant("signal/mod.rs", ["STANDSTILL_RPM: f32 = 0.15", "STANDSTILL_RPM: f32 = 0.16"],
        "speed that counts as standstill", "glass-f800"),
    constant("signal/mod.rs", ["FLOW_AVERAGE_SECONDS: f32 = 0.5", "FLOW_AVERAGE_SECONDS: f32 = 0.51"],
        "average of the flow", "silicon-f1000"),
    constant("signal/mod.rs", ["CELL_LOST: u32 = 3", "CELL_LOST: u32 = 4"],
        "samples until the cell counts as lost", "cell without signal in dwell"),
    constant("interlock/conditions.rs", ["TANK_LOW: u16 = 150", "TANK_LOW: u16 = 160"],
        "tank level that is told", "tank at 15.5 %"),
    constant("interlock/alarm.rs", ["OFF_DELAY: u16 = 1000", "OFF_DELAY: u16 = 1001"],
        "how long an alarm must be gone", "agitator stops and turns again"),
    constant("interlock/table.rs", ["Watch::Cycle, For(5000), With(Alarm)", "Watch::Cycle, For(5001), With(Alarm)"],
        "debounce of an agitator that stands", "agitator stops and turns again"),
    constant("interlock/table.rs", ["Watch::Turning, For(1000), With(ControlledStop)", "Watch::Turning, For(1001), With(ControlledStop)"],
        "debounce of too little flow", "line blocks in dwell"),
    constant("judge.rs", ["TOUCH_DOWN_TIME: u32 = 15_000", "TOUCH_DOWN_TIME: u32 = 15_001"],
        "deadline of the touch-down", "no pressure at touch-down"),
    constant("judge.rs", ["LOAD_SPARE: u32 = 5_000", "LOAD_SPARE: u32 = 5_001"],
        "spare time of a load ramp", "regulator sticks in the load ramp"),
    constant("judge.rs", ["STOPPED_SHARE: f32 = 0.25", "STOPPED_SHARE: f32 = 0.26"],
        "flow at which the line has stopped", "steel-f400"),
    constant("judge.rs", ["CREEP_LIFT: f32 = 3_000.0", "CREEP_LIFT: f32 = 3_010.0"],
        "creep part of a lift", "zirconia-fixed"),
    constant("judge.rs", ["FOLLOW_TICKS: u32 = 150", "FOLLOW_TICKS: u32 = 151"],
        "how long the height may stand in a descent", "height freezes in the descent"),
    constant("sequence/goals.rs", ["fluid: Fluid::Rinse,", "fluid: Fluid::Slurry,"],
        "what flows in the rinse", "zirconia-fixed"),
    constant("motion/load_loop.rs", ["SEAT_SHARE: f32 = 1.0 / 256.0", "SEAT_SHARE: f32 = 1.0 / 255.0"],
        "average that anchors the governor's line", "alumina-diamond"),
    constant("motion/load_loop.rs", ["SEATING_TICKS: u32 = 2_000", "SEATING_TICKS: u32 = 2_001"],
        "time in which the initial load is taken", "alumina-diamond"),
    constant("motion/drives.rs", ["WRONG_WAY_RPM: f32 = 1.0", "WRONG_WAY_RPM: f32 = 1.5"],
        "speed against its setpoint that counts as the wrong way", "drive turns the wrong way"),
    constant("params.rs", ["RAMP_FACTOR: f32 = 1.5", "RAMP_FACTOR: f32 = 1.51"],
        "spare time of ramps of load and speed", "regulator sticks in the load ramp"),
    constant("params.rs", ["setpoint.abs().get() * self.band_share.get()", "setpoint.abs().get() * 1.1 * self.band_share.get()"],
        "share of the load that its band is", "glass-polish"),
    constant("recipe/limits.rs", ["LONGEST: Ticks = Ticks(86_400_000)", "LONGEST: Ticks = Ticks(86_399_999)"],
        "longest step that a recipe may have", "recipe at its edges"),
    constant("recipe/limits.rs", ["(limit - highest) >= half * 2.0", "(limit - highest) >= half * 2.1"],
        "governor's half-widths between a load and its limit", "recipe at its edges"),
];

const fn index(
    file: &'static str,
    [text, changed]: [&'static str; 2],
    what: &'static str,
) -> Change {
    Change {
        file,
        text,
        changed,
        what,
        run: "",
    }
}

/// An index in each part that must link without a panic path; the first is in the tick.
#[rustfmt::skip]
pub const INDICES: [Change; 5] = [
    index("interlock/alarm.rs", ["let Some(count) = self.absent_for.get_mut(row) else {\n                continue;\n            };",
        "let count = &mut self.absent_for[row];"], "tick"),
    index("events.rs", ["let wanted = self.written.wrapping_sub(since);",
        "let wanted = [self.written.wrapping_sub(since); EVENTS][usize::try_from(since).unwrap_or(0)];"], "event log"),
    index("link/frame.rs", ["match self.plain.get_mut(self.len) {", "self.plain[self.len] = byte;\n        match self.plain.get_mut(self.len) {"],
        "deframer"),
    index("link/session.rs", ["postcard::take_from_bytes::<Head>(body.bytes)", "postcard::take_from_bytes::<Head>(&body.bytes[6..])"],
        "message decoder"),
    index("store/mod.rs", ["payload.get(..usize::from(head.length)).unwrap_or_default()", "&payload[..usize::from(head.length)]"],
        "store reader"),
];
