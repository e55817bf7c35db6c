// The instructor's page: all stations at a glance, one opened with faults and time in hand, and the records.

import { language, say } from "./say.js";
import { debriefOf, get, page, save } from "./api.js";
import { byId, clear, el, setAttr, setClass, setStyle, setText } from "./dom.js";
import { Link } from "./link.js";
import { Panel } from "./panel.js";
import { choice } from "./tongue.js";
import { PACES, clock, components, digits, isStop, learn, parseClock, phaseName, plain, readNumber, responseName,
  stateName, tell as said } from "./words.js";

const LOOK_MS = 1000;
const RECORDS_MS = 10000;
// Dates as the page's language writes them; in English, as the browser's own settings do.
const LOCALE = language === "en" ? undefined : language;

const desk = { vocabulary: null, cards: new Map(), link: null, panel: null, station: null, frame: null, attempts: [] };

for (const link of document.querySelectorAll("a[data-page]")) link.href = page(link.getAttribute("href"));
choice();
begin();

async function begin() {
  try {
    desk.vocabulary = await get("/api/vocabulary");
    learn(desk.vocabulary);
  } catch (error) {
    tellError(say("instructor-no-answer", { why: error.message }));
    return;
  }
  buildFaults();
  buildTime();
  buildRecords();
  const look = async () => {
    try {
      showCards(await get("/api/stations"));
      byId("page-error").hidden = true;
    } catch (error) {
      tellError(say("instructor-stations-unread", { why: error.message }));
    }
    setTimeout(look, LOOK_MS);
  };
  look();
  readRecords();
  setInterval(readRecords, RECORDS_MS);
}

function tellError(text) {
  byId("page-error").hidden = false;
  setText(byId("page-error"), text);
}

// --- stations -----------------------------------------------------------------------------------------------------------------------

function showCards(stations) {
  const root = byId("cards");
  const live = stations.filter((station) => !station.ended);
  const here = new Set(live.map((station) => station.station));
  for (const [name, card] of desk.cards) {
    if (!here.has(name)) {
      card.item.remove();
      desk.cards.delete(name);
    }
  }
  let none = root.querySelector(".none");
  if (!live.length && !none) {
    none = el("li", { class: "none", text: say("instructor-nobody") });
    root.append(none);
  } else if (live.length && none) {
    none.remove();
  }
  for (const station of live) {
    let card = desk.cards.get(station.station);
    if (!card) {
      card = makeCard(station.station);
      desk.cards.set(station.station, card);
      root.append(card.item);
    }
    fillCard(card, station);
  }
}

function makeCard(name) {
  const parts = {};
  for (const word of ["who", "state", "what", "phase", "told"]) parts[word] = el("span", { class: word });
  parts.fill = el("span");
  parts.button = el("button", { type: "button", on: { click: () => open(name) } }, parts.who, parts.state, parts.what, parts.phase,
    el("span", { class: "meter", "aria-hidden": "true" }, parts.fill), parts.told);
  parts.item = el("li", { class: "card", "data-station": name }, parts.button);
  return parts;
}

function fillCard(card, station) {
  setText(card.who, station.trainee);
  setText(card.state, stateName(station.state));
  setText(card.what, plain(station.title));
  setText(card.phase, `${phaseName(station.phase)} · ${clock(station.time_s)}`);
  setStyle(card.fill, "width", `${(100 * Math.min(1, Math.max(0, station.load_n / station.rated_load_n))).toFixed(1)}%`);
  const stop = isStop(station.response);
  const odd = station.alarms > 0 || station.response !== "none";
  setClass(card.item, "danger", stop);
  setClass(card.item, "odd", odd && !stop);
  setClass(card.item, "open", station.station === desk.station);
  const alarms = station.alarms
    ? `${stop ? "⬣" : "▲"} ${say("instructor-alarms", { n: station.alarms, response: responseName(station.response) })}`
    : say("instructor-no-alarm");
  const pages = station.control
    ? say("instructor-present", { n: station.present })
    : say("instructor-present-without-control", { n: station.present });
  const load = said("load", station.load_n, 0, station.units);
  setText(card.told, [load, alarms, pages, say("instructor-pace-of", { pace: station.pace })].join(" · "));
}

function open(station) {
  closeStation();
  desk.station = station;
  byId("opened").hidden = false;
  setText(byId("answer"), "");
  desk.link = new Link(station, "instructor", {
    connection: (state, text) => {
      setClass(byId("opened"), "lost", state !== "open");
      setText(byId("opened-link"), text);
    },
    welcome: (welcome) => {
      if (desk.panel) return;
      setText(byId("opened-title"), `${welcome.trainee}: ${plain(welcome.exercise.title)}`);
      desk.panel = new Panel(byId("panel"), welcome, desk.vocabulary);
    },
    frame: showFrame,
    news: (news) => desk.panel?.addNews(news),
    ended: ({ attempt }) => {
      setText(byId("answer"), say("instructor-recorded", { attempt: String(attempt) }));
      readRecords();
    },
    closing: ({ why }) => setText(byId("opened-link"), why),
  });
  byId("opened").scrollIntoView({ block: "start" });
}

function closeStation() {
  desk.link?.close();
  desk.link = null;
  desk.panel = null;
  desk.station = null;
  desk.frame = null;
  clear(byId("panel"));
  byId("opened").hidden = true;
}

function showFrame(frame) {
  if (!desk.panel) return;
  desk.frame = frame;
  desk.panel.frame(frame);
  for (const button of byId("pace").children) setAttr(button, "aria-pressed", String(button.dataset.pace === frame.pace));
  const slider = byId("moment");
  const now = Math.max(1, Math.floor(frame.time_s));
  if (Number(slider.max) !== now) {
    const atEnd = Number(slider.value) >= Number(slider.max) && document.activeElement !== slider;
    slider.max = String(now);
    if (atEnd) moment(now);
  }
}

// --- faults and time ----------------------------------------------------------------------------------------------------------------

function buildFaults() {
  const component = byId("component");
  component.append(...components().map(([word, text]) => el("option", { value: word, text })));
  component.addEventListener("change", fillModes);
  byId("mode").addEventListener("change", fillMagnitude);
  byId("close-station").addEventListener("click", closeStation);
  fillModes();
  byId("fault").addEventListener("submit", async (event) => {
    event.preventDefault();
    const text = byId("magnitude").value.trim().replace("\u2212", "-");
    const magnitude = text === "" ? null : readNumber(text);
    if (magnitude !== null && !Number.isFinite(magnitude)) {
      tell(say("instructor-fault"), { done: false, why: say("instructor-no-number", { text }) });
      return;
    }
    const ask = { ask: "inject", component: component.value, mode: byId("mode").value, magnitude };
    tell(say("instructor-fault-of", { component: ask.component, mode: modeWord(ask.mode) }), await desk.link.ask(ask));
  });
  byId("repair").addEventListener("click", async () => {
    tell(say("instructor-put-right", { component: component.value }), await desk.link.ask({ ask: "repair", component: component.value }));
  });
}

const chosenComponent = () => desk.vocabulary.components.find((entry) => entry.component === byId("component").value);
const modeWord = (mode) => say("instructor-mode", { mode });

function fillModes() {
  const mode = byId("mode");
  clear(mode);
  mode.append(...(chosenComponent()?.modes ?? []).map((entry) => el("option", { value: entry.mode, text: modeWord(entry.mode) })));
  fillMagnitude();
}

function fillMagnitude() {
  const entry = chosenComponent()?.modes.find((one) => one.mode === byId("mode").value);
  const has = entry && entry.magnitude !== null && entry.magnitude !== undefined;
  const field = byId("magnitude");
  field.disabled = !has;
  field.value = has ? digits(entry.magnitude, 6).replace("\u2212", "-") : "";
  setText(byId("unit"), has && entry.unit ? `, ${entry.unit}` : has ? "" : ` ${say("instructor-needs-none")}`);
  setText(byId("meaning"), entry ? meant(entry.meaning) : "");
}

// In English, what fails is "it" where the words about it do not name a part.
function meant(meaning) {
  return /^(reading|coil|contact|flow|pressure|gain|regulator|actuator)/.test(meaning)
    ? say("instructor-meaning-of-part", { meaning })
    : say("instructor-meaning", { meaning });
}

function buildTime() {
  for (const [word, name] of PACES) {
    const click = async () => tell(say("instructor-pace"), await desk.link.ask({ ask: "set-pace", pace: word }));
    byId("pace").append(el("button", { type: "button", text: name, "data-pace": word, "aria-pressed": "false", on: { click } }));
  }
  byId("moment").addEventListener("input", () => moment(Number(byId("moment").value)));
  byId("moment-text").addEventListener("input", () => {
    const seconds = parseClock(byId("moment-text").value);
    if (seconds !== null) byId("moment").value = String(seconds);
  });
  byId("go-back").addEventListener("click", async () => {
    const seconds = parseClock(byId("moment-text").value);
    if (seconds === null) {
      tell(say("instructor-go-back"), { done: false, why: say("instructor-no-moment") });
      return;
    }
    tell(say("instructor-back-to", { moment: clock(seconds) }), await desk.link.ask({ ask: "go-back", to_s: seconds }));
  });
  byId("finish").addEventListener("click", async () => tell(say("instructor-end"), await desk.link.ask({ ask: "finish" })));
}

function moment(seconds) {
  byId("moment").value = String(seconds);
  byId("moment-text").value = clock(seconds);
  byId("moment").setAttribute("aria-valuetext", clock(seconds));
}

function tell(what, told) {
  setText(byId("answer"), told.done ? say("instructor-done", { what }) : `✕ ${say("instructor-refused", { what, why: told.why })}`);
  setClass(byId("answer"), "bad", !told.done);
}

// --- records ------------------------------------------------------------------------------------------------------------------------

function buildRecords() {
  byId("filter").addEventListener("input", showRecords);
  byId("result").addEventListener("change", showRecords);
  for (const [id, path, name] of [["csv", "/api/attempts.csv", "attempts.csv"], ["csv-acts", "/api/acts.csv", "acts.csv"]]) {
    const unsaved = (error) => tellError(say("instructor-unsaved", { why: error.message }));
    byId(id).addEventListener("click", () => save(path, name).catch(unsaved));
  }
}

async function readRecords() {
  try {
    desk.attempts = await get("/api/attempts");
    showRecords();
  } catch (error) {
    tellError(say("instructor-records-unread", { why: error.message }));
  }
}

function showRecords() {
  const wanted = byId("filter").value.trim().toLowerCase();
  const result = byId("result").value;
  const kind = (attempt) => (!attempt.finished ? "open" : attempt.passed ? "passed" : "failed");
  const shown = desk.attempts.filter((attempt) => (!result || kind(attempt) === result)
    && (!wanted || `${attempt.trainee} ${attempt.title} ${attempt.exercise}`.toLowerCase().includes(wanted)));
  setText(byId("records-count"), say("instructor-of", { part: String(shown.length), whole: String(desk.attempts.length) }));
  byId("attempts").replaceChildren(...shown.map((attempt) => {
    const how = kind(attempt);
    const words = { passed: `✓ ${say("instructor-passed")}`, failed: `✕ ${say("instructor-not-passed")}`,
      open: attempt.state === "running" ? `▶ ${say("instructor-running")}` : `· ${say("instructor-not-finished")}` };
    const points = { part: String(attempt.points), whole: String(attempt.of) };
    return el("tr", { "data-attempt": attempt.attempt },
      el("td", { class: "right", text: String(attempt.attempt) }), el("td", { text: attempt.trainee }), el("td", { text: plain(attempt.title) }),
      el("td", { text: new Date(attempt.started).toLocaleString(LOCALE, { dateStyle: "medium", timeStyle: "short" }) }),
      // Of one that a crash cut off, too: as it stood.
      el("td", { class: "right", text: attempt.points === null ? "–" : say("instructor-of", points) }),
      el("td", { class: how === "passed" ? "passed" : how === "failed" ? "not-passed" : "", text: words[how] }),
      el("td", {}, attempt.state === "running" ? "–" : linked(attempt)));
  }));
}

const linked = ({ attempt, station }) =>
  el("a", { href: debriefOf(attempt, station), text: say("instructor-debrief-of", { attempt: String(attempt) }) });
