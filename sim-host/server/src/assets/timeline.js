// The one time line of the debrief: phases and load as in every cycle ribbon, below it what should have been done and what was done.

import { say } from "./say.js";
import { svg } from "./dom.js";
import { clock, inStep, inUnit, phaseName, phaseShort, unit } from "./words.js";

const WIDTH = 1200;
const LEFT = 52;
const RIGHT = 1180;
const TOP = 28;
const HEIGHT = 190;
const STRIP = 20;
const LANE = 24;
// Width of a letter of a label, px, on the generous side.
const LETTER = 6.6;

export function timeLine(debrief) {
  const expected = debrief.expected.filter((one) => one.from_s !== null || one.done_s !== null);
  const base = TOP + HEIGHT;
  const lanesTop = base + 62;
  const doneTop = lanesTop + expected.length * LANE + 26;
  const total = doneTop + 58;
  const picture = svg("svg", { viewBox: `0 0 ${WIDTH} ${total}`, class: "time-line", role: "img", "aria-label": say("line-picture") });
  const x = (time) => LEFT + ((RIGHT - LEFT) * Math.min(Math.max(time, 0), debrief.end_s)) / Math.max(debrief.end_s, 1);
  drawBands(picture, debrief, x, total - 20);
  drawLoad(picture, debrief, x);
  drawAxis(picture, debrief.end_s, x, base);
  drawEvents(picture, debrief, x, base);
  drawExpected(picture, expected, debrief, x, lanesTop);
  drawDone(picture, debrief, x, doneTop);
  return picture;
}

function drawBands(picture, debrief, x, bottom) {
  debrief.bands.forEach((band, index) => {
    const [from, to] = [x(band.start_s), x(band.end_s)];
    const kind = index % 2 ? "band-b" : "band-a";
    picture.append(svg("rect", { x: from, y: TOP - STRIP, width: Math.max(0, to - from), height: bottom - TOP + STRIP, class: kind }));
    const numbered = inStep(band.phase);
    const name = [phaseName(band.phase), phaseShort(band.phase)].map((text) => (numbered ? `${text} ${band.step + 1}` : text)).find((text) => text.length * LETTER + 4 < to - from);
    if (name) picture.append(svg("text", { x: (from + to) / 2, y: TOP - 6, class: "middle phase", text: name }));
  });
}

function drawLoad(picture, debrief, x) {
  const { time_s: time } = debrief.curve;
  const [load, reference, limit] = ["load_n", "reference_n", "limit_n"].map((name) => debrief.curve[name].map((value) => (value === null ? null : inUnit("load", value))));
  const top = 1.1 * Math.max(10, ...load, ...limit.filter((value) => value !== null));
  const y = (value) => TOP + HEIGHT - (HEIGHT * Math.max(0, value)) / top;
  const step = [5, 10, 20, 50, 100, 200, 250, 500, 1000, 2000, 5000, 10000].find((one) => top / one <= 5) ?? 20000;
  for (let value = 0; value <= top; value += step) {
    picture.append(svg("line", { x1: LEFT, x2: RIGHT, y1: y(value), y2: y(value), class: "grid" }), svg("text", { x: LEFT - 6, y: y(value) + 4, class: "end number", text: String(value) }));
  }
  picture.append(svg("text", { x: LEFT - 6, y: TOP - 8, class: "end number", text: unit("load") }));
  if (time.length) {
    picture.append(svg("path", { d: `M${x(time[0]).toFixed(1)} ${y(0)}${time.map((at, i) => `L${x(at).toFixed(1)} ${y(load[i]).toFixed(1)}`).join("")}L${x(time[time.length - 1]).toFixed(1)} ${y(0)}z`, class: "load-area" }));
  }
  for (const [values, kind] of [[limit, "limit"], [reference, "reference"], [load, "load"]]) picture.append(svg("path", { d: curve(time, values, x, y), class: kind }));
}

// A curve with a gap where there is no value.
function curve(time, values, x, y) {
  let path = "";
  let pen = false;
  time.forEach((at, i) => {
    const value = values[i];
    const there = value !== null && value !== undefined && (value !== 0 || values === time);
    if (there) path += `${pen ? "L" : "M"}${x(at).toFixed(1)} ${y(value).toFixed(1)}`;
    pen = there;
  });
  return path;
}

function drawAxis(picture, end, x, base) {
  const step = [10, 20, 30, 60, 120, 300, 600, 1200].find((one) => end / one <= 12) ?? 3600;
  picture.append(svg("line", { x1: LEFT, x2: RIGHT, y1: base, y2: base, class: "axis" }));
  for (let at = 0; at <= end; at += step) {
    picture.append(svg("line", { x1: x(at), x2: x(at), y1: base, y2: base + 4, class: "axis" }), svg("text", { x: x(at), y: base + 16, class: "middle number", text: clock(at) }));
  }
}

// Moves from phase to phase are the bands; the rest is marked.
export const happened = (debrief) => debrief.events.filter((event) => event.kind !== "moved");

// What happened: a numbered triangle for each, red where an interlock came.
function drawEvents(picture, debrief, x, base) {
  let last = -100;
  let row = 0;
  happened(debrief).forEach((event, index) => {
    const at = x(event.time_s);
    row = at - last < 24 ? (row + 1) % 2 : 0;
    last = at;
    const y = base + 20 + 12 * row;
    const kind = event.kind === "interlock" ? "mark bad-mark" : "mark";
    picture.append(svg("line", { x1: at, x2: at, y1: TOP + 4, y2: base, class: "mark-line" }), svg("path", { d: `M${at} ${y}l5 9h-10z`, class: kind }),
      svg("text", { x: at + 7, y: y + 9, class: "number", text: letter(index) }));
  });
}

export const letter = (index) => (index < 26 ? String.fromCharCode(97 + index) : `${String.fromCharCode(96 + Math.floor(index / 26))}${String.fromCharCode(97 + (index % 26))}`);

// A bar from when it was due to when it had to be done, and a sign where it was done; hollow bar and cross where it was not.
function drawExpected(picture, expected, debrief, x, top) {
  picture.append(svg("text", { x: 4, y: top - 4, class: "lane", text: say("line-should") }));
  expected.forEach((one, index) => {
    const y = top + 2 + index * LANE;
    const from = x(one.from_s ?? one.done_s);
    const until = x(one.until_s ?? debrief.end_s);
    const late = one.done_s !== null && one.until_s !== null && one.done_s > one.until_s;
    const good = one.done_s !== null && !late;
    const mark = one.done_s === null ? until : x(one.done_s);
    picture.append(svg("rect", { x: from, y, width: Math.max(3, until - from), height: 16, class: good ? "due" : "due missed" }),
      svg("text", { x: from - 5, y: y + 12, class: "end number", text: String(debrief.expected.indexOf(one) + 1) }),
      one.done_s === null ? svg("path", { d: cross(mark, y + 8), class: "cross" }) : svg("circle", { cx: mark, cy: y + 8, r: 5, class: late ? "dot late" : "dot" }));
    const judged = one.done_s === null ? ` ${say("line-not-done")}` : late ? ` ${say("line-late")}` : "";
    const place = room(one.text, judged, { from, until, mark });
    if (place) picture.append(svg("text", { x: place.x, y: y + 12, class: `lane-text ${place.end ? "end" : ""} ${good ? "" : "bad-text"}`, text: place.words }));
  });
}

// Where the words fit beside or on their bar: all of them, else their first sentence; null where there is no room.
function room(text, judged, { from, until, mark }) {
  const right = Math.max(until, mark) + 10;
  for (const short of [text, text.split(". ")[0]]) {
    const words = `${short}${judged}`;
    const wide = words.length * LETTER;
    if (right + wide < RIGHT) return { x: right, words };
    if (from - 24 - wide > LEFT) return { x: from - 22, words, end: true };
    if (mark + 10 + wide < until) return { x: mark + 10, words };
    if (from + 6 + wide < mark - 8) return { x: from + 6, words };
  }
  return null;
}

function drawDone(picture, debrief, x, top) {
  picture.append(svg("text", { x: 4, y: top - 2, class: "lane", text: say("line-done") }),
    svg("line", { x1: LEFT, x2: RIGHT, y1: top + 16, y2: top + 16, class: "axis" }));
  for (const act of debrief.done) {
    const at = x(act.time_s);
    if (act.wrong) picture.append(svg("path", { d: cross(at, top + 16), class: "cross" }));
    else if (act.refused) picture.append(svg("circle", { cx: at, cy: top + 16, r: 4, class: "refused-dot" }));
    else picture.append(svg("line", { x1: at, x2: at, y1: top + 9, y2: top + 23, class: "act" }));
  }
}

const cross = (x, y) => `M${x - 5} ${y - 5}l10 10M${x + 5} ${y - 5}l-10 10`;
