// The section: a cut through the two plates with carriers and parts between them, moving with the machine.
//
// Across it is not to scale. Heights stand on the scale at its left, which is not linear: a tenth of a millimetre must be seen as
// well as a hand's breadth. The weight on the plate grows with the load.

import { clear, setAttr, setClass, setText, svg } from "./dom.js";
import { say } from "./say.js";
import { asMass, digits, inSi, inUnit, tell, unit } from "./words.js";

const FLOOR = 172;
const PART = 20;
const PLATE = 24;
const MIDDLE = 164;
const LEFT = [66, 146];
const RIGHT = [182, 262];
// Marks round the rim of each plate that are seen to travel while it turns.
const RIM = 7;
// Farthest a mark may travel between two frames, rad: faster would look like standing still or going back.
const STEP = 0.35;
const still = matchMedia("(prefers-reduced-motion: reduce)");

// Height in the picture of a gap, px: 0.1 mm is 12 px, 1 mm 34, 10 mm 60, 100 mm 86.
const rise = (gap) => (gap >= 0 ? 26 * Math.log10(1 + gap / 5e-5) : Math.max(-PART, gap * 4e4));

// Gaps with a number at the scale: powers of ten of the unit that is shown, from a tenth of a millimetre to a tenth of a metre or so.
function decades() {
  const powers = [-4, -3, -2, -1, 0, 1, 2, 3].map((power) => inSi("length", 10 ** power));
  return powers.filter((gap) => gap > 0.9e-4 && gap < 0.11);
}

export class Section {
  constructor(root, job) {
    this.job = job;
    this.turned = [0, 0];
    this.time = null;
    const picture = svg("svg", { viewBox: "0 0 300 206", class: "cut-picture", role: "img", "aria-label": say("section-picture") });
    this.build(picture);
    clear(root);
    root.append(picture);
  }

  build(picture) {
    picture.append(svg("text", { x: 4, y: 15, class: "cut-note", text: say("section-scale", { unit: unit("length") }) }));
    for (const gap of [0, ...decades()]) {
      const y = FLOOR - PART - rise(gap);
      const number = svg("text", { x: 34, y: y + (gap ? 3 : 11), class: "cut-number", text: digits(inUnit("length", gap), 1) });
      picture.append(svg("line", { x1: 38, x2: 46, y1: y, y2: y, class: "cut-axis" }), number);
    }
    picture.append(svg("line", { x1: 46, x2: 46, y1: FLOOR - PART - rise(0.12), y2: FLOOR - PART, class: "cut-axis" }));
    this.film = [LEFT, RIGHT].map(([from, to]) => svg("rect", { x: from - 5, y: FLOOR - PART, width: to - from + 10, height: PART, class: "cut-film" }));
    picture.append(...this.film);
    this.lower = plate(FLOOR);
    picture.append(this.lower.group);
    this.carriers = svg("g");
    for (const [from, to] of [LEFT, RIGHT]) {
      this.carriers.append(svg("rect", { x: from + 4, y: FLOOR - 15, width: to - from - 8, height: 10, class: "cut-carrier" }));
      for (const x of [from + 9, (from + to) / 2 + 4]) this.carriers.append(svg("rect", { x, y: FLOOR - PART, width: 27, height: PART, class: "cut-part" }));
    }
    picture.append(this.carriers);
    this.upper = plate(0);
    this.rod = svg("rect", { x: MIDDLE - 6, y: -200, width: 12, height: 200, class: "cut-rod" });
    this.pin = svg("path", { d: `M${MIDDLE + 10} -8h26v8h-26z`, class: "cut-pin" });
    this.weight = svg("path", { class: "cut-weight" });
    this.weightText = [svg("text", { y: -22, class: "cut-load" }), svg("text", { y: -7, class: "cut-load" })];
    this.upper.group.prepend(this.rod);
    this.upper.group.append(this.pin, this.weight, ...this.weightText);
    picture.append(this.upper.group);
    this.guard = [svg("line", { x1: 56, x2: 56, y1: 26, y2: 196, class: "cut-guard" }), svg("line", { x1: 272, x2: 272, y1: 26, y2: 196, class: "cut-guard" })];
    picture.append(...this.guard);
    this.gap = svg("text", { x: 296, y: 15, class: "cut-gap" });
    picture.append(this.gap);
  }

  frame(frame) {
    const thickness = frame.size_m > 0 ? frame.size_m : this.job.incoming_m;
    const gap = frame.height_m - thickness;
    const y = FLOOR - PART - rise(gap) - PLATE;
    setAttr(this.upper.group, "transform", `translate(0 ${y.toFixed(1)})`);
    const height = tell("length", Math.max(0, gap), gap < 0.01 ? 2 : 0);
    setText(this.gap, frame.plate === "contact" ? say("section-on-parts") : say("section-gap", { height }));
    shown(this.carriers, frame.switches.loaded);
    shown(this.pin, frame.switches.pin);
    const wet = frame.flow_l_min[0] > 0.5 * this.job.flow_min_l_min || frame.switches.rinse;
    for (const film of this.film) shown(film, wet);
    for (const line of this.guard) {
      setAttr(line, "y2", frame.switches.guard_open ? 60 : 196);
      setClass(line, "locked", frame.switches.guard_locked);
    }
    this.load(frame);
    this.turn(frame);
  }

  // Load as the weight that it is: area in proportion.
  load(frame) {
    const share = Math.max(0, frame.load_n) / this.job.load_scale_n[1];
    const pressed = frame.plate === "contact" && share > 0.004;
    shown(this.weight, pressed);
    for (const line of this.weightText) shown(line, pressed);
    if (!pressed) return;
    const half = 12 + 30 * Math.sqrt(Math.min(1, share));
    const tall = 10 + 34 * Math.sqrt(Math.min(1, share));
    setAttr(this.weight, "d", `M${(MIDDLE - half).toFixed(1)} 0l${(half * 0.3).toFixed(1)} ${-tall.toFixed(1)}h${(half * 1.4).toFixed(1)}l${(half * 0.3).toFixed(1)} ${tall.toFixed(1)}z`);
    [tell("load", frame.load_n, 0), asMass(frame.load_n)].forEach((text, index) => {
      setAttr(this.weightText[index], "x", (MIDDLE + 6 + half).toFixed(1));
      setText(this.weightText[index], text);
    });
  }

  turn(frame) {
    const passed = this.time === null ? 0 : Math.max(0, frame.time_s - this.time);
    this.time = frame.time_s;
    [this.lower, this.upper].forEach((plate, index) => {
      const speed = (frame.speeds_rpm[2 + index] * Math.PI) / 30;
      const travel = Math.min(STEP, Math.max(-STEP, speed * passed));
      if (!still.matches && Math.abs(travel) > 1e-4) {
        this.turned[index] += travel;
        rim(plate.marks, this.turned[index]);
      }
      const turning = Math.abs(frame.speeds_rpm[2 + index]) > 0.3;
      shown(plate.arrow, turning);
      if (turning) setText(plate.arrow, speed > 0 ? "⟶" : "⟵");
    });
  }
}

// One plate with its top at y: two cut halves, marks on the rim, an arrow for the way it turns.
function plate(y) {
  const group = svg("g");
  if (y) group.setAttribute("transform", `translate(0 ${y})`);
  for (const [from, to] of [LEFT, RIGHT]) group.append(svg("rect", { x: from, y: 0, width: to - from, height: PLATE, class: "cut-plate" }));
  group.append(svg("rect", { x: LEFT[1], y: 6, width: RIGHT[0] - LEFT[1], height: 12, class: "cut-hub" }));
  const marks = [];
  for (let i = 0; i < RIM; i += 1) {
    const mark = svg("line", { y1: 3, y2: PLATE - 3, class: "cut-rim" });
    marks.push(mark);
    group.append(mark);
  }
  rim(marks, 0);
  const arrow = svg("text", { x: 276, y: 17, class: "cut-arrow", display: "none" });
  group.append(arrow);
  return { group, marks, arrow };
}

// Marks on a drum seen from the side: those on the far half are hidden.
function rim(marks, angle) {
  marks.forEach((mark, index) => {
    const at = angle + (2 * Math.PI * index) / marks.length;
    const x = MIDDLE + 95 * Math.sin(at);
    const near = Math.cos(at) > 0 && (x < LEFT[1] - 2 || x > RIGHT[0] + 2);
    setAttr(mark, "x1", x.toFixed(1));
    setAttr(mark, "x2", x.toFixed(1));
    shown(mark, near);
  });
}

function shown(node, on) {
  setAttr(node, "display", on ? null : "none");
}
