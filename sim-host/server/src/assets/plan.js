// The plan: the machine from above, with the upper plate as an outline, so that the carriers are seen under it. Everything turns as it
// does on the machine, counter-clockwise for a positive speed, and at its own speed also while time runs faster.

import { clear, el, setAttr, setClass, setText, svg } from "./dom.js";
import { say } from "./say.js";
import { fixed } from "./words.js";

// Half of the picture's side.
const HALF = 103;
// Below this a speed is the noise of its sensor, rpm.
const STILL = 0.3;
// A frame that is older than this is no picture of now, ms.
const OLD = 1000;
const still = matchMedia("(prefers-reduced-motion: reduce)");
const RAD = Math.PI / 180;

export class Plan {
  constructor(root, job) {
    this.job = job;
    const { plate_m: plate, pins_m: pins } = job.plan;
    this.scale = 94 / Math.max(plate[1], pins[1]);
    // Turned since the page was opened, degrees: inner ring, outer ring, lower plate, upper plate, the carriers round the machine and
    // about themselves.
    this.turned = [0, 0, 0, 0, 0, 0];
    this.rpm = [0, 0, 0, 0, 0, 0];
    const viewBox = `${-HALF} ${-HALF} ${2 * HALF} ${2 * HALF}`;
    this.picture = svg("svg", { viewBox, class: "plan-picture", role: "img", "aria-label": say("plan-picture") });
    this.told = el("p", { class: "cut-legend plan-told" });
    this.build(job.plan);
    clear(root);
    root.append(this.picture, this.told);
    this.draw();
  }

  build(plan) {
    const s = this.scale;
    const [inside, outside] = plan.plate_m.map((radius) => radius * s);
    this.wet = svg("path", { d: annulus(inside, outside), class: "plan-wet", display: "none" });
    this.lower = svg("g", {}, marks(outside - 7, outside - 1, 8, "plan-mark"));
    this.rings = [0, 1].map((ring) => pins(plan.pins_m[ring] * s, plan.pins[ring]));
    this.pieces = svg("g", { class: "plan-pieces" });
    this.carriers = [];
    for (let k = 0; k < plan.carriers; k += 1) {
      const pieces = plan.pieces.filter((piece) => piece.carrier === k).map((piece) => this.piece(plan, piece));
      const rim = plan.carrier_m * s - 1.5;
      const carrier = svg("g", {}, svg("circle", { r: rim, class: "plan-carrier" }),
        svg("line", { x1: plan.carrier_m * s - 7, x2: rim, class: "plan-mark" }), pieces);
      this.carriers.push(carrier);
      this.pieces.append(carrier);
    }
    this.upper = svg("g", {}, svg("circle", { r: outside + 3, class: "plan-upper" }), marks(outside + 1, outside + 7, 3, "plan-upper-mark"));
    this.picture.append(svg("path", { d: annulus(inside, outside), class: "plan-plate" }), this.wet, this.lower, ...this.rings, this.pieces, this.upper);
  }

  piece(plan, { at_m: [along, across], turned }) {
    const s = this.scale;
    const place = `translate(${(along * s).toFixed(2)} ${(-across * s).toFixed(2)}) rotate(${(-turned / RAD).toFixed(2)})`;
    if (plan.round_m) return svg("path", { d: annulus(plan.round_m[0] * s, plan.round_m[1] * s), transform: place, class: "plan-piece" });
    const corners = plan.corners_m.map(([x, y]) => `${(x * s).toFixed(2)},${(-y * s).toFixed(2)}`);
    return svg("polygon", { points: corners.join(" "), transform: place, class: "plan-piece" });
  }

  frame(frame) {
    const speeds = [...frame.speeds_rpm, ...frame.carriers_rpm];
    // The carriers turn with their rings, and not by the noise of two sensors.
    const turning = [0, 1].some((ring) => Math.abs(frame.speeds_rpm[ring]) > STILL);
    this.rpm = speeds.map((rpm, index) => (index < 4 ? Math.abs(rpm) > STILL : turning) ? rpm : 0);
    this.stopped = frame.pace === "paused";
    this.seen = performance.now();
    setAttr(this.pieces, "display", frame.switches.loaded ? null : "none");
    const wet = frame.flow_l_min[0] > 0.5 * this.job.flow_min_l_min || frame.switches.rinse;
    setAttr(this.wet, "display", wet ? null : "none");
    setClass(this.upper, "down", frame.plate === "contact");
    // Load as shade: what lies under a heavy plate is dark.
    const share = frame.plate === "contact" ? Math.max(0, frame.load_n) / this.job.load_scale_n[1] : 0;
    setAttr(this.pieces, "data-shade", Math.min(4, Math.round(share * 4.8)));
    setText(this.told, this.words(frame, turning));
    this.go();
  }

  words(frame, turning) {
    if (!this.rpm.some(Boolean)) return say("plan-nothing-turns");
    const carriers = frame.switches.loaded && turning ? say("plan-carriers", { orbit: way(this.rpm[4]), spin: way(this.rpm[5]) }) : say("plan-from-above");
    const fast = frame.pace === "paused" || frame.pace === "1x" ? "" : ` ${say("plan-slowed")}`;
    return `${carriers}${fast}`;
  }

  // Between frames it turns on by the clock, as long as frames come.
  go() {
    if (this.running || still.matches || this.stopped || !this.rpm.some(Boolean)) return;
    this.running = true;
    let last = performance.now();
    const next = (now) => {
      const passed = Math.min(100, Math.max(0, now - last)) / 1000;
      last = now;
      // 1 rpm is six degrees a second.
      this.turned = this.turned.map((angle, index) => (angle + 6 * this.rpm[index] * passed) % 360);
      this.draw();
      this.running = !still.matches && !this.stopped && this.rpm.some(Boolean) && now - this.seen < OLD;
      if (this.running) requestAnimationFrame(next);
    };
    requestAnimationFrame(next);
  }

  draw() {
    const [inner, outer, lower, upper, round, about] = this.turned;
    turn(this.rings[0], inner);
    turn(this.rings[1], outer);
    turn(this.lower, lower);
    turn(this.upper, upper);
    const { carriers, orbit_m: orbit } = this.job.plan;
    this.carriers.forEach((carrier, k) => {
      const laid = (360 * k) / carriers;
      const at = (laid + round) * RAD;
      const r = orbit * this.scale;
      setAttr(carrier, "transform", `translate(${(r * Math.cos(at)).toFixed(2)} ${(-r * Math.sin(at)).toFixed(2)}) rotate(${(-laid - about).toFixed(2)})`);
    });
  }
}

const turn = (node, degrees) => setAttr(node, "transform", `rotate(${(-degrees).toFixed(2)})`);

// A speed with its way round.
const way = (rpm) => `${rpm > 0 ? "↺" : rpm < 0 ? "↻" : ""} ${fixed(Math.abs(rpm), 1)}`.trim();

// A disc with a bore; none where that is nought.
function annulus(inside, outside) {
  const circle = (r, sweep) => `M${r.toFixed(2)} 0A${r.toFixed(2)} ${r.toFixed(2)} 0 1 ${sweep} ${(-r).toFixed(2)} 0A${r.toFixed(2)} ${r.toFixed(2)} 0 1 ${sweep} ${r.toFixed(2)} 0Z`;
  return circle(outside, 1) + (inside > 0 ? circle(inside, 0) : "");
}

function marks(from, to, count, name) {
  return Array.from({ length: count }, (_, k) => {
    const at = (2 * Math.PI * k) / count;
    return svg("line", { x1: (from * Math.cos(at)).toFixed(2), y1: (from * Math.sin(at)).toFixed(2), x2: (to * Math.cos(at)).toFixed(2), y2: (to * Math.sin(at)).toFixed(2), class: name });
  });
}

// A ring of pins, one of them large, so that the ring is seen to turn.
function pins(radius, count) {
  const each = (2 * Math.PI * radius) / count;
  const ring = svg("circle", { r: radius.toFixed(2), class: "plan-pins", "stroke-dasharray": `${(0.45 * each).toFixed(3)} ${(0.55 * each).toFixed(3)}` });
  return svg("g", {}, ring, svg("circle", { cx: radius.toFixed(2), cy: 0, r: 3, class: "plan-pin" }));
}
