// The debrief of one attempt: for reading on the page and on paper.

import { language, say } from "./say.js";
import { get, page, token } from "./api.js";
import { byId, el, setText, svg } from "./dom.js";
import { happened, letter, timeLine } from "./timeline.js";
import { choice } from "./tongue.js";
import { adopt, amount, clock, clockTenths, digits, fixed, learn, plain, tell } from "./words.js";

// Dates as the page's language writes them; in English, as the browser's own settings do.
const LOCALE = language === "en" ? undefined : language;

for (const link of document.querySelectorAll("a[data-page]")) link.href = page(link.getAttribute("href"));
byId("print").addEventListener("click", () => print());
choice();
// Of the two tokens that open this page, one in the address that is not the class's is the instructors'.
const address = new URLSearchParams(location.search);
const given = address.get("token");
byId("to-instructor").hidden = given !== null && given === token;
show();

async function show() {
  const attempt = location.pathname.split("/").filter(Boolean).pop();
  try {
    learn(await get("/api/vocabulary"));
    const { record, debrief, run } = await get(`/api/attempts/${encodeURIComponent(attempt)}?station=${encodeURIComponent(address.get("station") ?? "")}`);
    if (!debrief) throw new Error(say("debrief-none"));
    adopt(debrief.units);
    document.title = say("debrief-title-of", { attempt, title: debrief.exercise.title, trainee: record.trainee });
    byId("debrief").append(...sheets(record, debrief), signatures(record, run));
  } catch (error) {
    byId("page-error").hidden = false;
    setText(byId("page-error"), say("debrief-unread", { attempt, why: error.message }));
  }
}

function sheets(record, debrief) {
  return [head(record, debrief), practise(debrief), line(debrief), expectedTable(debrief), lostTable(debrief), results(debrief), doneTable(debrief)];
}

const sheet = (title, ...children) => el("section", { class: "sheet" }, el("h2", { text: title }), ...children);

function head(record, debrief) {
  const { points, of, pass, passed } = debrief.score;
  const began = new Date(record.started).toLocaleString(LOCALE, { dateStyle: "medium", timeStyle: "short" });
  const about = [record.trainee, say("debrief-attempt", { attempt: String(record.attempt) }), began,
    say("debrief-machine-time", { time: clock(debrief.end_s) })];
  if (!debrief.finished) about.push(say("debrief-not-finished"));
  const verdict = passed ? `✓ ${say("debrief-passed")}` : `✕ ${say("debrief-not-passed")}`;
  return el("section", { class: `verdict ${passed ? "good" : "not"}` },
    el("div", { class: "verdict-score" }, el("p", { class: "verdict-sign", text: verdict }),
      el("p", { class: "verdict-points", text: share(points, of) }),
      el("p", { class: "soft", text: say("debrief-pass", { pass: digits(pass, 4) }) })),
    el("div", {}, el("h2", { class: "title", text: plain(debrief.exercise.title) }),
      el("p", { text: about.join(" · ") }),
      debrief.clock ? el("p", { class: "by-clock", text: byClock(debrief.clock) }) : null,
      debrief.drawn ? el("p", { text: say("debrief-drawn", { drawn: plain(debrief.drawn) }) }) : null,
      el("p", { class: "soft", text: debrief.exercise.brief })));
}

// What the paper is about, so that it can be had again, and who stands for it. On paper only.
function signatures(record, run) {
  const line = (who) => el("p", { class: "sign" }, el("span", { text: who }));
  const { exercise, trainee } = record;
  const about = { attempt: String(record.attempt), exercise, seed: String(record.seed), date: new Date().toLocaleDateString(LOCALE) };
  return el("section", { class: "signatures", "aria-label": say("debrief-signatures") },
    el("p", { text: run ? say("debrief-paper-of-run", { ...about, run: String(run) }) : say("debrief-paper", about) }),
    line(say("debrief-trainee", { trainee })), line(say("debrief-instructor")));
}

// How long it took whoever was there, and whether time stood still for thinking or raced.
function byClock({ lasted_s: lasted, pauses, paused_s: paused, fast_s: fast }) {
  const told = { lasted: clock(lasted), pauses, paused: clock(paused) };
  return fast > 0 ? say("debrief-clock-fast", { ...told, fast: clock(fast) }) : say("debrief-clock", told);
}

function practise(debrief) {
  const list = debrief.practise.length
    ? el("ul", { class: "practise" }, ...debrief.practise.map((text) => el("li", { text })))
    : el("p", { text: say("debrief-nothing") });
  return sheet(say("debrief-practise"), list);
}

function line(debrief) {
  const curves = [["load", say("debrief-load")], ["reference", say("debrief-reference")], ["limit", say("debrief-limit")]];
  const signs = [["▭", say("debrief-due")], ["●", say("debrief-done")], ["✕", say("debrief-undone")], ["▲", say("debrief-happened")]];
  const key = el("p", { class: "key" }, ...curves.flatMap(([kind, name]) => [sample(kind), ` ${name}   `]),
    signs.map(([sign, name]) => `${sign} ${name}`).join("   "));
  const mark = (event, index) => el("li", {}, el("b", { text: letter(index) }), ` ${clockTenths(event.time_s)}  ${event.text}`);
  const events = happened(debrief).length ? el("ol", { class: "marks" }, ...happened(debrief).map(mark)) : null;
  return sheet(say("debrief-line"), timeLine(debrief), key, events);
}

const sample = (kind) => svg("svg", { viewBox: "0 0 26 8", class: "sample", "aria-hidden": "true" }, svg("path", { d: "M0 4h26", class: kind }));

function table(name, heads, rows) {
  return el("div", { class: "scroll", tabindex: "0", role: "region", "aria-label": name }, el("table", {},
    el("thead", {}, el("tr", {}, ...heads.map(([text, kind]) => el("th", { scope: "col", class: kind, text })))),
    el("tbody", {}, ...rows)));
}

const right = (text) => el("td", { class: "right", text });
const share = (points, of) => say("debrief-points-of", { points: digits(points, 4), of: digits(of, 4) });
const moment = (time) => (time === null || time === undefined ? "–" : clockTenths(time));

function expectedTable(debrief) {
  const rows = debrief.expected.map((one, index) => el("tr", { class: one.got < one.points ? "bad-row" : "" },
    right(String(index + 1)), el("td", { text: one.text }),
    right(moment(one.from_s)), right(moment(one.until_s)), right(moment(one.done_s)),
    right(one.done_s !== null && one.from_s !== null ? `${fixed(one.done_s - one.from_s, 1)} s` : "–"),
    el("td", { text: judged(one) }), right(share(one.got, one.points))));
  const heads = [[say("debrief-number"), "right"], [say("debrief-good"), ""], [say("debrief-due-at"), "right"],
    [say("debrief-by"), "right"], [say("debrief-done"), "right"], [say("debrief-took"), "right"], [say("debrief-judged"), ""], [say("debrief-points"), "right"]];
  return sheet(say("debrief-steps"), table(say("debrief-table-steps"), heads, rows), ...reactions(debrief));
}

function judged({ from_s: from, until_s: until, done_s: done }) {
  if (done === null) return from === null ? say("debrief-not-called-for") : `✕ ${say("debrief-not-done")}`;
  return until !== null && done > until ? `✕ ${say("debrief-late")}` : `✓ ${say("debrief-done")}`;
}

function reactions(debrief) {
  if (!debrief.reactions.length) return [];
  const lasted = ({ seconds, stopped_s: stopped }) => (stopped > 0
    ? say("debrief-reaction-stopped", { seconds: fixed(seconds, 1), stopped: fixed(stopped, 0) })
    : `${fixed(seconds, 1)} s`);
  const rows = debrief.reactions.map((one) => el("tr", {}, el("td", { text: one.cause }), el("td", { text: one.text }),
    right(moment(one.from_s)), right(moment(one.done_s)), right(lasted(one))));
  const heads = [[say("debrief-cause"), ""], [say("debrief-answer"), ""], [say("debrief-seen"), "right"],
    [say("debrief-answered"), "right"], [say("debrief-reaction"), "right"]];
  return [el("h3", { text: say("debrief-reactions") }), table(say("debrief-table-reactions"), heads, rows)];
}

function lostTable(debrief) {
  if (!debrief.lost.length) return sheet(say("debrief-lost"), el("p", { text: say("debrief-lost-none") }));
  const heads = [[say("debrief-when"), "right"], [say("debrief-what"), ""], [say("debrief-why"), ""], [say("debrief-points"), "right"]];
  const rows = debrief.lost.map((one) => el("tr", {}, right(moment(one.time_s)), el("td", { text: one.text }), el("td", { text: one.why }),
    right(`\u2212${digits(one.points, 4)}`)));
  return sheet(say("debrief-lost"), table(say("debrief-table-lost"), heads, rows));
}

// Harm, and every measured part against the tolerance.
function results(debrief) {
  const costs = ({ text, points }) => (points ? say("debrief-harm-points", { text, points: digits(points, 4) }) : text);
  const harm = debrief.harm.length
    ? el("ul", { class: "harm" }, ...debrief.harm.map((one) => el("li", { text: `✕ ${costs(one)}` })))
    : el("p", { text: say("debrief-no-harm") });
  const { parts } = debrief;
  const title = say("debrief-harm");
  if (!parts || !parts.measured_m.length) return sheet(title, harm, el("p", { class: "soft", text: say("debrief-unmeasured") }));
  const mean = parts.measured_m.reduce((sum, one) => sum + one, 0) / parts.measured_m.length;
  const told = { n: parts.measured_m.length, mean: tell("size", mean, 1), target: amount("size", parts.target_m, 1),
    tolerance: tell("size", parts.tolerance_m, 1) };
  const text = parts.broken ? say("debrief-measured-broken", { ...told, broken: parts.broken }) : say("debrief-measured", told);
  return sheet(title, harm, el("p", { text }), sizes(parts));
}

function sizes(parts) {
  const sorted = [...parts.measured_m].sort((a, b) => a - b);
  const widest = Math.max(1.4 * parts.tolerance_m, ...sorted.map((one) => Math.abs(one - parts.target_m))) * 1.1;
  const y = (value) => 75 - (65 * (value - parts.target_m)) / widest;
  const picture = svg("svg", { viewBox: "0 0 600 150", class: "sizes", role: "img", "aria-label": say("debrief-picture") });
  picture.append(svg("rect", { x: 60, y: y(parts.target_m + parts.tolerance_m), width: 530, height: y(parts.target_m - parts.tolerance_m) - y(parts.target_m + parts.tolerance_m), class: "tolerance" }));
  for (const value of [parts.target_m + parts.tolerance_m, parts.target_m, parts.target_m - parts.tolerance_m]) picture.append(svg("text", { x: 54, y: y(value) + 4, class: "end number", text: amount("size", value, 1) }));
  const wide = Math.min(24, 530 / sorted.length);
  sorted.forEach((value, index) => {
    const out = Math.abs(value - parts.target_m) > parts.tolerance_m;
    const [a, b] = [y(value), y(parts.target_m)];
    picture.append(svg("rect", { x: 64 + index * wide, y: Math.min(a, b), width: 0.8 * wide, height: Math.max(1, Math.abs(a - b)), class: out ? "bar bad-bar" : "bar" }));
  });
  picture.append(svg("line", { x1: 60, x2: 590, y1: y(parts.target_m), y2: y(parts.target_m), class: "axis" }));
  return picture;
}

function doneTable(debrief) {
  const heads = [[say("debrief-when"), "right"], [say("debrief-what"), ""], [say("debrief-judged"), ""]];
  const found = ({ wrong, refused }) => (wrong ? `✕ ${wrong}` : refused ? say("debrief-refused", { why: refused }) : "");
  const rows = debrief.done.map((one) => el("tr", { class: one.wrong ? "bad-row" : "" },
    right(moment(one.time_s)), el("td", { text: one.text }), el("td", { text: found(one) })));
  return sheet(say("debrief-all"), table(say("debrief-table-all"), heads, rows));
}
