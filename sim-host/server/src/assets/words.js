// Words and numbers for people. The wire speaks SI and names in kebab case; only here is anything rounded or converted. The words of
// the machine are the server's: this page has none of its own.

import { language, say } from "./say.js";

const KINDS = ["states", "phases", "modes", "plates", "load_modes", "moves", "drives", "commands", "responses", "alarm_states",
  "stop_categories", "components", "verdicts", "tasks"];
const EMPTY = { units: {}, ...Object.fromEntries(KINDS.map((kind) => [kind, []])) };

let told = EMPTY;
let known = new Map();

// Takes what `/api/vocabulary` tells; to be called before anything else here is asked for a word.
export function learn(vocabulary) {
  told = vocabulary;
  const named = Object.entries(vocabulary).filter(([, all]) => all.every?.((one) => one.name !== undefined));
  known = new Map(named.map(([kind, all]) => [kind, new Map(all.map((one) => [one.name, one]))]));
}

const find = (kind, name) => known.get(kind)?.get(name);
// A name that the server does not know is shown as it is.
const word = (kind, name) => find(kind, name)?.word ?? name;

export const stateName = (state) => word("states", state);
export const stateLook = (state) => find("states", state)?.look;

export const phaseName = (phase) => word("phases", phase);
export const phaseShort = (phase) => find("phases", phase)?.short ?? phase;
// The phase belongs to one step of the recipe.
export const inStep = (phase) => Boolean(find("phases", phase)?.in_step);
// The ladder as it is climbed.
export const ladder = () => told.phases.filter((phase) => phase.on_ladder).map((phase) => phase.name);

// What there is, as pairs of name and word.
const pairs = (all) => all.map((one) => [one.name, one.word]);
export const modes = () => pairs(told.modes);
export const moves = () => pairs(told.moves);
export const drives = () => pairs(told.drives);
export const verdicts = () => pairs(told.verdicts);
export const tasks = () => pairs(told.tasks);
export const commands = () => told.commands;
export const components = () => told.components.map(({ component, word: text }) => [component, text]);

export const responseName = (response) => word("responses", response);
export const responseLook = (response) => find("responses", response)?.look;
export const stopCategory = (response) => find("responses", response)?.stop_category ?? null;

// A category of stop, and with what it does, in one line; nothing where there is none.
const none = (category) => category === null || category === undefined;
export const categoryName = (category) => (none(category) ? "" : say("words-category", { category: String(category) }));
export function categoryText(category) {
  return none(category) ? "" : say("words-category-does", { category: String(category), does: told.stop_categories[category] ?? "" });
}

export const isStop = (response) => responseLook(response) === "stop";

export const alarmStateName = (state) => word("alarm_states", state);
export const modeName = (mode) => word("modes", mode);
export const plateName = (plate) => word("plates", plate);
export const loadModeName = (mode) => word("load_modes", mode);

export const PACES = [["paused", say("words-pause")], ["1x", "1×"], ["5x", "5×"], ["20x", "20×"], ["fastest", say("words-fastest")]];

const G = 9.80665;

// The units of one machine's job: those that its files were typed in. Until a page has heard of one, the server's own.
let own = null;

export function adopt(units) {
  own = units && Object.keys(units).length ? units : told.units;
}

const card = (kind, units) => (units ?? own ?? told.units)[kind];
export const unit = (kind, units) => card(kind, units).symbol;
// A quantity of the wire, which speaks SI, in the unit of its kind; and back.
export const inUnit = (kind, si, units) => (si - card(kind, units).offset) / card(kind, units).size;
export const inSi = (kind, number) => number * card(kind).size + card(kind).offset;
// The number alone, to as many decimals as show what so many show in the server's own unit.
export const amount = (kind, si, decimals, units) => fixed(inUnit(kind, si, units), Math.max(0, decimals + card(kind, units).more));
export const tell = (kind, si, decimals, units) => `${amount(kind, si, decimals, units)} ${unit(kind, units)}`;

// A number as the language writes it: its decimal mark and a true minus.
const MARK = new Intl.NumberFormat(language).formatToParts(1.5).find(({ type }) => type === "decimal").value;
const written = (text) => text.replace("-", "\u2212").replace(".", MARK);

// A number that somebody typed, with either decimal mark; NaN where it is none.
export function readNumber(text) {
  const plainly = text.trim().replace("\u2212", "-").replace(",", ".");
  return plainly === "" ? NaN : Number(plainly);
}

// A number with a fixed count of decimals; never "-0".
export function fixed(value, decimals) {
  if (!Number.isFinite(value)) return "–";
  const text = value.toFixed(decimals);
  return written(Number(text) === 0 ? (0).toFixed(decimals) : text);
}

// A few significant digits, for numbers of unknown size.
export function digits(value, count = 3) {
  if (!Number.isFinite(value)) return "–";
  return written(Number(value.toPrecision(count)).toString());
}

// A load as the mass that would weigh as much.
export const asMass = (newtons) => tell("mass", newtons / G, newtons / G < 10 ? 1 : 0);

// Seconds as m:ss, with hours in front where there are any.
export function clock(seconds) {
  const whole = Math.max(0, Math.floor(seconds));
  const two = (value) => String(value).padStart(2, "0");
  const hours = Math.floor(whole / 3600);
  const rest = `${hours ? two(Math.floor(whole / 60) % 60) : Math.floor(whole / 60)}:${two(whole % 60)}`;
  return hours ? `${hours}:${rest}` : rest;
}

export const clockTenths = (seconds) => `${clock(seconds)}${MARK}${Math.floor((Math.max(0, seconds) % 1) * 10)}`;

// "m:ss", "h:mm:ss" or plain seconds → seconds; null where it is none of them.
export function parseClock(text) {
  const trimmed = text.trim().replace(",", ".");
  if (!/^\d+(\.\d+)?$|^\d+(:[0-5]?\d){1,2}(\.\d+)?$/.test(trimmed)) return null;
  return trimmed.split(":").reduce((sum, part) => sum * 60 + Number(part), 0);
}

// Every demonstration file says in its title that it is invented, in English or in the page's language; the page says it once for all.
const INVENTED = [" (invented)", ` ${say("words-invented")}`];
export const plain = (title) => title.slice(0, title.length - (INVENTED.find((mark) => title.endsWith(mark)) ?? "").length);
