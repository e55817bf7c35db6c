// The debrief of one attempt: for reading on the page and on paper.

import { get, page } from "./api.js";
import { byId, el, setText, svg } from "./dom.js";
import { happened, letter, timeLine } from "./timeline.js";
import { adopt, amount, clock, clockTenths, digits, fixed, learn, plain, tell } from "./words.js";

for (const link of document.querySelectorAll("a[data-page]")) link.href = page(link.getAttribute("href"));
byId("print").addEventListener("click", () => print());
show();

async function show() {
  const attempt = location.pathname.split("/").filter(Boolean).pop();
  try {
    learn(await get("/api/vocabulary"));
    const { record, debrief, run } = await get(`/api/attempts/${encodeURIComponent(attempt)}`);
    if (!debrief) throw new Error("this attempt has none, because it was not ended properly. Its actions are in the records.");
    adopt(debrief.units);
    document.title = `Debrief ${attempt}: ${debrief.exercise.title}, ${record.trainee}`;
    byId("debrief").append(...sheets(record, debrief), signatures(record, run));
  } catch (error) {
    byId("page-error").hidden = false;
    setText(byId("page-error"), `The debrief of attempt ${attempt} could not be read: ${error.message}`);
  }
}

function sheets(record, debrief) {
  return [head(record, debrief), practise(debrief), line(debrief), expectedTable(debrief), lostTable(debrief), results(debrief), doneTable(debrief)];
}

const sheet = (title, ...children) => el("section", { class: "sheet" }, el("h2", { text: title }), ...children);

function head(record, debrief) {
  const { points, of, pass, passed } = debrief.score;
  const began = new Date(record.started).toLocaleString();
  return el("section", { class: `verdict ${passed ? "good" : "not"}` },
    el("div", { class: "verdict-score" }, el("p", { class: "verdict-sign", text: passed ? "✓ passed" : "✕ not passed" }),
      el("p", { class: "verdict-points", text: `${digits(points, 4)} of ${digits(of, 4)}` }), el("p", { class: "soft", text: `points; passed from ${digits(pass, 4)}` })),
    el("div", {}, el("h2", { class: "title", text: plain(debrief.exercise.title) }),
      el("p", { text: `${record.trainee} · attempt ${record.attempt} · ${began} · ${clock(debrief.end_s)} of machine time${debrief.finished ? "" : " · not finished"}` }),
      debrief.clock ? el("p", { class: "by-clock", text: byClock(debrief.clock) }) : null,
      debrief.drawn ? el("p", { text: `Drawn for this attempt: ${plain(debrief.drawn)}.` }) : null,
      el("p", { class: "soft", text: debrief.exercise.brief })));
}

// What the paper is about, so that it can be had again, and who stands for it. On paper only.
function signatures(record, run) {
  const line = (who) => el("p", { class: "sign" }, el("span", { text: who }));
  return el("section", { class: "signatures", "aria-label": "Signatures" },
    el("p", { text: `Attempt ${record.attempt}, exercise ${record.exercise}, seed ${record.seed}${run ? `, run ${run}` : ""}. Printed ${new Date().toLocaleDateString()}.` }),
    line(`Trainee: ${record.trainee}`), line("Instructor, date"));
}

// How long it took whoever was there, and whether time stood still for thinking or raced.
function byClock({ lasted_s: lasted, pauses, paused_s: paused, fast_s: fast }) {
  const stopped = pauses ? `time stopped ${pauses === 1 ? "once" : `${pauses} times`}, for ${clock(paused)}` : "time never stopped";
  return `${clock(lasted)} by the clock; ${stopped}${fast > 0 ? `; faster than the clock for ${clock(fast)}` : ""}.`;
}

function practise(debrief) {
  const list = debrief.practise.length ? el("ul", { class: "practise" }, ...debrief.practise.map((text) => el("li", { text }))) : el("p", { text: "Nothing in particular: go on to the next exercise." });
  return sheet("What to practise next", list);
}

function line(debrief) {
  const key = el("p", { class: "key" }, ...[["load", "measured load"], ["reference", "reference"], ["limit", "step limit"]].flatMap(([kind, name]) => [sample(kind), ` ${name}   `]),
    "▭ from when it was due to when it had to be done   ● done   ✕ not done, or wrong   ▲ what happened");
  const events = happened(debrief).length ? el("ol", { class: "marks" }, ...happened(debrief).map((event, index) => el("li", {}, el("b", { text: letter(index) }), ` ${clockTenths(event.time_s)}  ${event.text}`))) : null;
  return sheet("What was done, beside what should have been done", timeLine(debrief), key, events);
}

const sample = (kind) => svg("svg", { viewBox: "0 0 26 8", class: "sample", "aria-hidden": "true" }, svg("path", { d: "M0 4h26", class: kind }));

function table(name, heads, rows) {
  return el("div", { class: "scroll", tabindex: "0", role: "region", "aria-label": `Table: ${name}` }, el("table", {},
    el("thead", {}, el("tr", {}, ...heads.map(([text, kind]) => el("th", { scope: "col", class: kind, text })))),
    el("tbody", {}, ...rows)));
}

const moment = (time) => (time === null || time === undefined ? "–" : clockTenths(time));

function expectedTable(debrief) {
  const reactions = new Map(debrief.reactions.map((reaction) => [reaction.cause, reaction]));
  const rows = debrief.expected.map((one, index) => {
    const late = one.done_s !== null && one.until_s !== null && one.done_s > one.until_s;
    const judged = one.from_s === null && one.done_s === null ? "was not called for" : one.done_s === null ? "✕ not done" : late ? "✕ late" : "✓ done";
    const took = one.done_s !== null && one.from_s !== null ? `${fixed(one.done_s - one.from_s, 1)} s` : "–";
    return el("tr", { class: one.got < one.points ? "bad-row" : "" },
      el("td", { class: "right", text: String(index + 1) }), el("td", { text: one.text }), el("td", { class: "right", text: moment(one.from_s) }),
      el("td", { class: "right", text: moment(one.until_s) }), el("td", { class: "right", text: moment(one.done_s) }), el("td", { class: "right", text: took }),
      el("td", { text: judged }), el("td", { class: "right", text: `${digits(one.got, 4)} of ${digits(one.points, 4)}` }));
  });
  const parts = [table("step by step", [["No.", "right"], ["What a good operator does", ""], ["due", "right"], ["by", "right"], ["done", "right"], ["took", "right"], ["", ""], ["points", "right"]].map(([text, kind]) => [text || "judged", kind]), rows)];
  if (reactions.size) {
    parts.push(el("h3", { text: "Reaction times" }), table("reaction times", [["Cause", ""], ["Answer", ""], ["seen", "right"], ["answered", "right"], ["reaction", "right"]],
      debrief.reactions.map((one) => el("tr", {}, el("td", { text: one.cause }), el("td", { text: one.text }), el("td", { class: "right", text: moment(one.from_s) }),
        el("td", { class: "right", text: moment(one.done_s) }), el("td", { class: "right", text: `${fixed(one.seconds, 1)} s${one.stopped_s > 0 ? `, and ${fixed(one.stopped_s, 0)} s with time stopped` : ""}` })))));
  }
  return sheet("Step by step", ...parts);
}

function lostTable(debrief) {
  if (!debrief.lost.length) return sheet("Points lost", el("p", { text: "None." }));
  return sheet("Points lost", table("points lost", [["when", "right"], ["what", ""], ["why it matters", ""], ["points", "right"]],
    debrief.lost.map((one) => el("tr", {}, el("td", { class: "right", text: moment(one.time_s) }), el("td", { text: one.text }), el("td", { text: one.why }), el("td", { class: "right", text: `\u2212${digits(one.points, 4)}` })))));
}

// Harm, and every measured part against the tolerance.
function results(debrief) {
  const harm = debrief.harm.length ? el("ul", { class: "harm" }, ...debrief.harm.map((one) => el("li", { text: `✕ ${one.text}${one.points ? ` (\u2212${digits(one.points, 4)} points)` : ""}` }))) : el("p", { text: "No harm to parts, plates or carriers was found." });
  const { parts } = debrief;
  if (!parts || !parts.measured_m.length) return sheet("Harm and parts", harm, el("p", { class: "soft", text: "No parts were measured: they were not unloaded." }));
  const mean = parts.measured_m.reduce((sum, one) => sum + one, 0) / parts.measured_m.length;
  return sheet("Harm and parts", harm, el("p", { text: `${parts.measured_m.length} parts measured, mean ${tell("size", mean, 1)}; wanted ${amount("size", parts.target_m, 1)} ± ${tell("size", parts.tolerance_m, 1)}${parts.broken ? `; ${parts.broken} broken` : ""}.` }), sizes(parts));
}

function sizes(parts) {
  const sorted = [...parts.measured_m].sort((a, b) => a - b);
  const widest = Math.max(1.4 * parts.tolerance_m, ...sorted.map((one) => Math.abs(one - parts.target_m))) * 1.1;
  const y = (value) => 75 - (65 * (value - parts.target_m)) / widest;
  const picture = svg("svg", { viewBox: "0 0 600 150", class: "sizes", role: "img", "aria-label": "Measured parts, sorted, against the tolerance" });
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
  return sheet("Everything that was done", table("everything that was done", [["when", "right"], ["what", ""], ["judged", ""]],
    debrief.done.map((one) => el("tr", { class: one.wrong ? "bad-row" : "" }, el("td", { class: "right", text: moment(one.time_s) }), el("td", { text: one.text }),
      el("td", { text: one.wrong ? `✕ ${one.wrong}` : one.refused ? `refused: ${one.refused}` : "" })))));
}
