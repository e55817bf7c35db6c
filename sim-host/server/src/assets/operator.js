// The operator's page: choosing an exercise, then the machine.

import { say } from "./say.js";
import { debriefOf, get, page, post } from "./api.js";
import { Controls } from "./controls.js";
import { byId, clear, closes, el, setAttr, setClass, setText } from "./dom.js";
import { flats } from "./fringes.js";
import { Link } from "./link.js";
import { Panel } from "./panel.js";
import { choice } from "./tongue.js";
import { PACES, learn, phaseName, plain, stateName } from "./words.js";

const NAME_KEY = "twinplate-trainee";

for (const link of document.querySelectorAll("a[data-page]")) link.href = page(link.getAttribute("href"));
choice();

const wanted = new URLSearchParams(location.search).get("station");
if (wanted) openStation(wanted);
else openLobby();

// --- choosing -----------------------------------------------------------------------------------------------------------------------

async function openLobby() {
  byId("lobby").hidden = false;
  byId("trainee").value = localStorage.getItem(NAME_KEY) ?? "";
  byId("begin").addEventListener("submit", begin);
  try {
    const exercises = await get("/api/exercises");
    showExercises(exercises);
    learn(await get("/api/vocabulary"));
    showStations(await get("/api/stations"));
  } catch (error) {
    lobbyError(say("lobby-unread", { why: error.message }));
  }
}

function showExercises(exercises) {
  const root = byId("exercises");
  clear(root);
  for (const exercise of exercises) {
    const radio = el("input", { type: "radio", name: "exercise", value: exercise.id, required: true, id: `exercise-${exercise.id}` });
    radio.addEventListener("change", () => choose(exercise));
    root.append(el("label", { class: "exercise", for: radio.id }, radio,
      el("span", { class: "exercise-title", text: plain(exercise.title) }),
      exercise.guided ? el("span", { class: "guided", text: say("lobby-guided") }) : null,
      exercise.assessed ? el("span", { class: "guided", text: say("lobby-assessment") }) : null));
  }
  const first = exercises.find((exercise) => exercise.guided) ?? exercises[0];
  if (first) {
    byId(`exercise-${first.id}`).checked = true;
    choose(first);
  } else {
    lobbyError(say("lobby-no-exercise"));
  }
}

function choose(exercise) {
  setText(byId("chosen-title"), plain(exercise.title));
  const facts = [
    exercise.guided ? say("lobby-guided-fact") : null,
    exercise.assessed ? say("lobby-assessment-fact") : null,
    say("lobby-facts", { machine: plain(exercise.machine), points: exercise.points, pass: exercise.pass }),
  ];
  setText(byId("chosen-facts"), facts.filter(Boolean).join(" "));
  setText(byId("chosen-brief"), exercise.brief);
}

function showStations(stations) {
  const live = stations.filter((station) => !station.ended);
  byId("running").hidden = live.length === 0;
  clear(byId("stations"));
  for (const station of live) {
    const stands = { state: stateName(station.state), phase: phaseName(station.phase) };
    const told = station.control ? say("lobby-station-held", stands) : say("lobby-station-free", stands);
    byId("stations").append(el("li", {},
      el("a", {
        href: page(`/?station=${encodeURIComponent(station.station)}`),
        text: say("lobby-station", { trainee: station.trainee, title: plain(station.title) }),
      }),
      el("span", { class: "soft", text: ` ${told}` })));
  }
}

async function begin(event) {
  event.preventDefault();
  const chosen = document.querySelector('input[name="exercise"]:checked');
  const trainee = byId("trainee").value.trim();
  if (!chosen) return lobbyError(say("lobby-choose-first"));
  if (!trainee) return lobbyError(say("lobby-name-first"));
  localStorage.setItem(NAME_KEY, trainee);
  const seed = new URLSearchParams(location.search).get("seed");
  try {
    const { station } = await post("/api/stations", { exercise: chosen.value, trainee, ...(seed ? { seed: Number(seed) } : {}) });
    location.assign(page(`/?station=${encodeURIComponent(station)}`));
  } catch (error) {
    lobbyError(say("lobby-not-set-up", { why: error.message }));
  }
}

function lobbyError(text) {
  const error = byId("lobby-error");
  error.hidden = false;
  setText(error, text);
}

// --- at the machine -----------------------------------------------------------------------------------------------------------------

async function openStation(station) {
  byId("station").hidden = false;
  const bench = { panel: null, controls: null, seats: null, connected: false, welcome: null, waiting: [] };
  let vocabulary;
  try {
    vocabulary = await get("/api/vocabulary");
    learn(vocabulary);
  } catch (error) {
    banner("over", say("station-no-answer", { why: error.message }));
    return;
  }
  const link = new Link(station, "operator", {
    connection: (state, text) => connection(bench, state, text),
    welcome: (welcome) => arrive(bench, link, welcome, vocabulary),
    frame: (frame) => show(bench, frame),
    news: (news) => tellNews(bench, news),
    seats: (seats) => seat(bench, seats),
    ended: ({ attempt }) => ended(bench, attempt),
    closing: ({ why }) => banner("lost", why),
  });
  buildTools(bench, link);
}

function arrive(bench, link, welcome, vocabulary) {
  // After a reconnection the page stands as it was; only who sits where may differ.
  if (!bench.panel) {
    bench.welcome = welcome;
    document.title = say("station-title", { title: welcome.exercise.title });
    bench.panel = new Panel(byId("panel"), welcome, vocabulary);
    bench.controls = new Controls(byId("deck"), welcome, (act) => link.operate(act), () => link.ask({ ask: "still-held" }));
    bench.controls.stop.id = "emergency";
    task(bench, null);
  }
  seat(bench, welcome.seats);
  if (!welcome.seats.control) link.ask({ ask: "take-control" });
}

function tellNews(bench, news) {
  if (!bench.panel) return;
  bench.panel.addNews(news);
  // What came before this page is in the log and nowhere else.
  if (!bench.live) return;
  if (news.kind === "seen") bench.controls.seen(news.text);
  if (news.kind === "refused") bench.controls.refused(news.text);
  if (news.kind === "found") {
    if (byId("found").hidden) clear(byId("found-list"));
    byId("found").hidden = false;
    const line = el("li", { text: news.text }, news.seen ? flats(news.seen) : null);
    byId("found-list").append(line);
    line.scrollIntoView({ block: "nearest" });
  }
}

function buildTools(bench, link) {
  byId("task-more").addEventListener("click", () => {
    setText(byId("task-whole-title"), byId("task-mark").textContent);
    setText(byId("task-whole-text"), byId("task-text").textContent);
    byId("task-whole").show();
    byId("task-close").focus();
  });
  byId("task-close").addEventListener("click", () => byId("task-whole").close());
  closes(byId("task-whole"));
  byId("found-close").addEventListener("click", () => {
    byId("found").hidden = true;
  });
  const pace = byId("pace");
  for (const [word, name] of PACES) {
    const button = el("button", { type: "button", text: name, "data-pace": word, "aria-pressed": "false" });
    button.addEventListener("click", async () => toolsAnswer(say("station-pace"), await link.ask({ ask: "set-pace", pace: word })));
    pace.append(button);
  }
  byId("control").addEventListener("click", async () => {
    toolsAnswer(say("station-control"), await link.ask({ ask: bench.seats?.yours ? "release-control" : "take-control" }));
  });
  byId("finish").addEventListener("click", async () => toolsAnswer(say("station-finish"), await link.ask({ ask: "finish" })));
  const understood = byId("understood");
  understood.addEventListener("click", async () => toolsAnswer(say("station-understood"), await link.operate({ act: "understood" })));
}

function toolsAnswer(name, told) {
  const answer = byId("tools-answer");
  answer.hidden = told.done;
  if (!told.done) setText(answer, say("controls-refused", { name, why: told.why }));
  clearTimeout(answer.timer);
  answer.timer = setTimeout(() => {
    answer.hidden = true;
  }, 9000);
}

function show(bench, frame) {
  if (!bench.panel) return;
  bench.live = true;
  bench.panel.frame(frame);
  bench.controls.frame(frame);
  for (const button of byId("pace").children) setAttr(button, "aria-pressed", String(button.dataset.pace === frame.pace));
  setClass(byId("finish"), "ready", frame.can_finish);
  task(bench, frame.guide);
}

// The task stands always in the same place: the guided step, or the work order.
function task(bench, guide) {
  const exercise = bench.welcome.exercise;
  setClass(byId("task"), "guiding", Boolean(guide));
  setText(byId("task-mark"), guide ? say("station-step", { number: guide.number, of: guide.of }) : say("station-work-order"));
  setText(byId("task-text"), guide ? guide.text : exercise.brief);
  taskRoom();
  const understood = byId("understood");
  const meant = guide?.control === "understood";
  if (understood.hidden === meant) understood.hidden = !meant;
  setClass(understood, "meant", meant);
  setAttr(understood, "data-here", meant ? say("controls-here") : null);
  bench.controls.guide(guide?.control ?? "");
}

// Where the text is longer than its place, all of it can be read.
let measured = "";
function taskRoom() {
  const text = byId("task-text");
  const now = `${text.textContent.length} ${text.clientWidth} ${text.clientHeight}`;
  if (now === measured) return;
  setClass(text, "long", text.textContent.length > 240);
  const whole = text.scrollHeight <= text.clientHeight + 2;
  byId("task-more").hidden = whole;
  // What scrolls can be reached by the keyboard.
  setAttr(text, "tabindex", whole ? null : "0");
  measured = `${text.textContent.length} ${text.clientWidth} ${text.clientHeight}`;
}

function seat(bench, seats) {
  bench.seats = seats;
  byId("seat").hidden = seats.yours;
  setText(byId("seat"), seats.control ? say("station-watching", { seat: seats.control }) : say("station-watching-free"));
  setText(byId("control"), seats.yours ? say("station-release-control") : say("station-take-control"));
  enable(bench);
}

function enable(bench) {
  const { seats, controls } = bench;
  const connected = bench.connected && !bench.over;
  const mine = connected && Boolean(seats?.yours);
  controls?.enable({ all: mine, stop: connected });
  const assessed = Boolean(bench.welcome?.exercise.assessed);
  for (const button of byId("pace").children) button.disabled = !mine || assessed;
  byId("control").disabled = !connected;
  byId("finish").disabled = !mine;
  byId("understood").disabled = !mine;
}

function connection(bench, state, text) {
  bench.connected = state === "open";
  setClass(byId("station"), "lost", state !== "open");
  if (state === "open") byId("banner").hidden = true;
  else banner(state, text);
  enable(bench);
}

function banner(state, text) {
  const box = byId("banner");
  box.hidden = false;
  box.dataset.state = state;
  setText(box, state === "connecting" ? text : `⚠ ${text}`);
}

function ended(bench, attempt) {
  const dialog = byId("ended");
  const number = String(attempt);
  setText(byId("ended-text"), bench.welcome
    ? say("station-recorded", { title: plain(bench.welcome.exercise.title), attempt: number })
    : say("station-recorded-untitled", { attempt: number }));
  byId("to-debrief").href = debriefOf(attempt, wanted);
  // The debrief has it too; and nothing acts on a machine whose attempt is over.
  byId("found").hidden = true;
  bench.over = true;
  enable(bench);
  if (!dialog.open) dialog.show();
  byId("to-debrief").focus();
}
