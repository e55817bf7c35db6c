// The phase ladder: where the cycle is, what it has passed, and what stands beside the ladder.

import { clear, el, setAttr, setClass, setText } from "./dom.js";
import { LADDER, clock, phaseName } from "./words.js";

const BESIDE = { "rest": "at rest", "coast": "coasting, power off", "manual": "Setup movement" };

export class Ladder {
  constructor(root) {
    this.rungs = new Map();
    this.beside = el("p", { class: "beside" });
    this.list = el("ol", { class: "rungs" });
    for (const phase of LADDER) this.list.append(this.rung(phase));
    this.complete = el("li", { class: "rung" }, el("span", { class: "rung-sign", "aria-hidden": "true" }), el("span", { class: "rung-name", text: "complete" }),
      el("span", { class: "rung-time" }));
    this.list.append(this.complete);
    clear(root);
    root.append(el("h2", { text: "Phase ladder" }), this.list, this.beside);
    this.reached = -1;
  }

  rung(phase) {
    const sign = el("span", { class: "rung-sign", "aria-hidden": "true" });
    const time = el("span", { class: "rung-time" });
    const item = el("li", { class: "rung" }, sign, el("span", { class: "rung-name", text: phaseName(phase) }), time);
    this.rungs.set(phase, { item, sign, time });
    return item;
  }

  // A page that comes late learns from the log how far the cycle was.
  moved({ state, phase }) {
    const at = LADDER.indexOf(phase);
    if (at >= 0 && (state === "Running" || state === "Restarting")) this.reached = at;
  }

  frame(frame) {
    const at = LADDER.indexOf(frame.phase);
    // Where the cycle left the ladder stays marked through a stop or a hold.
    if (at >= 0 && (frame.state === "Running" || frame.state === "Restarting")) this.reached = at;
    if (frame.state === "Idle") this.reached = -1;
    const complete = frame.state === "Complete";
    if (complete) this.reached = LADDER.length;
    LADDER.forEach((phase, index) => {
      const { item, sign, time } = this.rungs.get(phase);
      const here = index === at;
      const left = !here && index === this.reached && !["Running", "Restarting", "Complete", "Idle"].includes(frame.state);
      setClass(item, "here", here);
      setClass(item, "left", left);
      setAttr(item, "aria-current", here ? "step" : null);
      setText(sign, here ? "▶" : left ? "◁" : index < this.reached ? "✓" : "·");
      setText(time, here ? clock(frame.phase_s) : left ? "left" : "");
    });
    setClass(this.complete, "here", complete);
    setAttr(this.complete, "aria-current", complete ? "step" : null);
    setText(this.complete.firstChild, complete ? "▶" : "·");
    setText(this.beside, at < 0 && !complete ? `Off the ladder: ${BESIDE[frame.phase] ?? phaseName(frame.phase)}` : "");
  }
}
