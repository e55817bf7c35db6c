// Words and numbers for people. The wire speaks SI and kebab case; only here is anything rounded or converted.

const PHASES = {
  "rest": "rest",
  "precheck": "precheck",
  "lower": "lower",
  "touch-down": "touch-down",
  "slurry-pre-start": "slurry pre-start",
  "run-up": "run-up",
  "load-ramp": "load ramp",
  "dwell": "dwell",
  "load-release": "load release",
  "rinse": "rinse",
  "run-down": "run-down",
  "slurry-stop": "slurry stop",
  "lift": "lift",
  "coast": "coast",
  "manual": "manual",
};

// The ladder as it is climbed; `rest`, `coast` and `manual` stand beside it.
export const LADDER = ["precheck", "lower", "touch-down", "slurry-pre-start", "run-up", "load-ramp", "dwell", "load-release", "rinse",
  "run-down", "slurry-stop", "lift"];

const SHORT = {
  "slurry-pre-start": "pre-start",
  "touch-down": "touch",
  "load-release": "release",
  "load-ramp": "ramp",
  "run-up": "up",
  "run-down": "down",
};

// What a line of the log says of a move: "Running: dwell, step 2" → state, phase and step from 0; null for other lines.
export function parseMove(text) {
  const found = text.match(/^([A-Z][a-z]+)(?:: ([a-z -]+?)(?:, step (\d+))?)?$/);
  if (!found) return null;
  const phase = found[2] === undefined ? "rest" : Object.keys(PHASES).find((word) => PHASES[word] === found[2]);
  return phase ? { state: found[1], phase, step: found[3] ? Number(found[3]) - 1 : null } : null;
}

export const phaseName = (phase) => PHASES[phase] ?? phase;
export const phaseShort = (phase) => SHORT[phase] ?? phaseName(phase);

export const DRIVES = ["inner ring", "outer ring", "lower plate", "upper plate"];

const RESPONSES = {
  "none": "nothing in force",
  "alarm": "alarm",
  "start-inhibit": "start inhibited",
  "stop-at-step-end": "stop at step end",
  "hold": "hold",
  "controlled-stop": "controlled stop",
  "immediate-stop": "immediate stop",
};

// IEC 60204-1: what each category of stop does, in one line.
const CATEGORIES = ["power off at once", "to rest, then power off", "to rest, power stays on"];

export const responseName = (response) => RESPONSES[response] ?? response;

export function categoryText(category) {
  return category === null || category === undefined ? "" : `category ${category}: ${CATEGORIES[category] ?? ""}`;
}

export const isStop = (response) => response === "controlled-stop" || response === "immediate-stop";

export const ALARM_STATES = {
  "unacknowledged": "unacknowledged",
  "acknowledged": "acknowledged",
  "returned-unacknowledged": "returned, unacknowledged",
  "latched": "latched: needs Reset",
};

const MODES = { "automatic": "Automatic", "setup": "Setup", "plate-change": "Plate change" };
export const modeName = (mode) => MODES[mode] ?? mode;

const PLATES = { "parked": "plate parked", "air": "plate in the air", "contact": "plate on parts" };
export const plateName = (plate) => PLATES[plate] ?? plate;

const LOAD_MODES = { "safe": "vented", "resting": "resting by its weight", "initial": "initial load", "tracking": "following the step" };
export const loadModeName = (mode) => LOAD_MODES[mode] ?? mode;

export const PACES = [["paused", "Pause"], ["1x", "1×"], ["5x", "5×"], ["20x", "20×"], ["fastest", "Max"]];

const G = 9.80665;

// A number with a fixed count of decimals and a true minus; never "-0".
export function fixed(value, decimals) {
  if (!Number.isFinite(value)) return "–";
  const text = value.toFixed(decimals);
  return Number(text) === 0 ? (0).toFixed(decimals) : text.replace("-", "\u2212");
}

// A few significant digits, for numbers of unknown size.
export function digits(value, count = 3) {
  if (!Number.isFinite(value)) return "–";
  return Number(value.toPrecision(count)).toString().replace("-", "\u2212");
}

export const newtons = (value) => fixed(value, 0);
export const kilograms = (value) => fixed(value / G, value / G < 10 ? 1 : 0);
export const micrometres = (value, decimals = 1) => fixed(value * 1e6, decimals);

// Seconds as m:ss, with hours in front where there are any.
export function clock(seconds) {
  const whole = Math.max(0, Math.floor(seconds));
  const two = (value) => String(value).padStart(2, "0");
  const hours = Math.floor(whole / 3600);
  const rest = `${hours ? two(Math.floor(whole / 60) % 60) : Math.floor(whole / 60)}:${two(whole % 60)}`;
  return hours ? `${hours}:${rest}` : rest;
}

export const clockTenths = (seconds) => `${clock(seconds)}.${Math.floor((Math.max(0, seconds) % 1) * 10)}`;

// "m:ss", "h:mm:ss" or plain seconds → seconds; null where it is none of them.
export function parseClock(text) {
  const trimmed = text.trim();
  if (!/^\d+(\.\d+)?$|^\d+(:[0-5]?\d){1,2}(\.\d+)?$/.test(trimmed)) return null;
  return trimmed.split(":").reduce((sum, part) => sum * 60 + Number(part), 0);
}

// Every demonstration file says in its title that it is invented; the page says it once for all.
export const plain = (title) => title.replace(/ \(invented\)$/, "");

export const count = (value, one, many = `${one}s`) => `${value} ${value === 1 ? one : many}`;
