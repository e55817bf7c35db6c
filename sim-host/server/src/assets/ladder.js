// The phase ladder: where the cycle is, what it has passed, and what stands beside the ladder.

import { clear, el, setAttr, setClass, setText } from "./dom.js";
import { say } from "./say.js";
import { clock, ladder, phaseName, stateLook, stateName } from "./words.js";

export class Ladder {
  constructor(root) {
    this.rungs = new Map();
    this.ladder = ladder();
    this.beside = el("p", { class: "beside" });
    this.list = el("ol", { class: "rungs" });
    for (const phase of this.ladder) this.list.append(this.rung(phase));
    this.complete = el("li", { class: "rung" }, el("span", { class: "rung-sign", "aria-hidden": "true" }),
      el("span", { class: "rung-name", text: stateName("complete") }), el("span", { class: "rung-time" }));
    this.list.append(this.complete);
    clear(root);
    root.append(el("h2", { text: say("ladder-title") }), this.list, this.beside);
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
    const at = this.ladder.indexOf(phase);
    if (at >= 0 && stateLook(state) === "run") this.reached = at;
  }

  frame(frame) {
    const at = this.ladder.indexOf(frame.phase);
    const running = stateLook(frame.state) === "run";
    // Where the cycle left the ladder stays marked through a stop or a hold.
    if (at >= 0 && running) this.reached = at;
    if (frame.state === "idle") this.reached = -1;
    const complete = frame.state === "complete";
    if (complete) this.reached = this.ladder.length;
    this.ladder.forEach((phase, index) => {
      const { item, sign, time } = this.rungs.get(phase);
      const here = index === at;
      const left = !here && index === this.reached && !running;
      setClass(item, "here", here);
      setClass(item, "left", left);
      setAttr(item, "aria-current", here ? "step" : null);
      setText(sign, here ? "▶" : left ? "◁" : index < this.reached ? "✓" : "·");
      setText(time, here ? clock(frame.phase_s) : left ? say("ladder-left") : "");
    });
    setClass(this.complete, "here", complete);
    setAttr(this.complete, "aria-current", complete ? "step" : null);
    setText(this.complete.firstChild, complete ? "▶" : "·");
    setText(this.beside, at < 0 && !complete ? say("ladder-beside", { phase: phaseName(frame.phase) }) : "");
  }
}
