// Speeds, slurry, size, air, temperatures: a row each, number first, bar behind it, markers for what is asked and what is least.

import { clear, el, setClass, setStyle, setText } from "./dom.js";
import { say } from "./say.js";
import { amount, drives, fixed, tell, unit } from "./words.js";

// A row: name, number, unit, and a bar from `low` to `high` with zero where it belongs.
class Row {
  constructor(parent, name, unit, low, high) {
    this.low = low;
    this.span = high - low;
    this.zero = Math.min(1, Math.max(0, -low / this.span));
    this.number = el("span", { class: "row-number" });
    this.fill = el("span", { class: "bar-fill" });
    this.marker = el("span", { class: "bar-marker", hidden: true });
    this.band = el("span", { class: "bar-band", hidden: true });
    this.note = el("span", { class: "row-note" });
    this.row = el("div", { class: "row" },
      el("span", { class: "row-name", text: name }), this.note,
      el("span", { class: "row-value" }, this.number, el("span", { class: "unit", text: ` ${unit}` })),
      el("span", { class: "bar", "aria-hidden": "true" }, this.band, this.fill, this.marker));
    if (this.zero > 0) {
      const line = el("span", { class: "bar-zero" });
      setStyle(line, "left", percent(this.zero));
      this.row.lastChild.append(line);
    }
    parent.append(this.row);
  }

  at(value) {
    return Math.min(1, Math.max(0, (value - this.low) / this.span));
  }

  show(value, text, note = "") {
    const at = this.at(value);
    setText(this.number, text);
    setText(this.note, note);
    setStyle(this.fill, "left", percent(Math.min(at, this.zero)));
    setStyle(this.fill, "width", percent(Math.abs(at - this.zero)));
  }

  mark(value) {
    if (this.marker.hidden !== (value === null)) this.marker.hidden = value === null;
    if (value !== null) setStyle(this.marker, "left", percent(this.at(value)));
  }

  setBand(from, to) {
    this.band.hidden = false;
    setStyle(this.band, "left", percent(this.at(from)));
    setStyle(this.band, "width", percent(this.at(to) - this.at(from)));
  }

  // A point on the bar in place of a fill from zero.
  dot(value, text, note) {
    const at = this.at(value);
    setText(this.number, text);
    setText(this.note, note);
    setStyle(this.fill, "left", percent(Math.max(0, at - 0.015)));
    setStyle(this.fill, "width", value > 0 ? "3%" : "0%");
  }

  odd(on) {
    setClass(this.row, "odd", on);
  }
}

// Litres a minute, as the wire has them.
const flowed = (litres) => amount("flow", litres / 60e3, 2);
const percent = (share) => `${(100 * share).toFixed(1)}%`;

export class Instruments {
  constructor(root, job) {
    this.job = job;
    clear(root);
    const rows = (title) => {
      const box = el("div", { class: "rows" }, el("h2", { text: title }));
      root.append(box);
      return box;
    };
    const speeds = rows(say("instruments-speeds"));
    // In the order of the drives.
    const turning = [say("instruments-inner"), say("instruments-outer"), say("instruments-lower"), say("instruments-upper")];
    this.speeds = turning.map((name, index) => new Row(speeds, name, "", -job.speed_scale_rpm[index], job.speed_scale_rpm[index]));
    const slurry = rows(say("instruments-slurry"));
    this.flow = new Row(slurry, say("instruments-flow"), unit("flow"), 0, job.flow_scale_l_min);
    this.rinse = new Row(slurry, say("instruments-rinse"), unit("flow"), 0, 2 * job.flow_scale_l_min);
    this.tank = new Row(slurry, say("instruments-tank"), "%", 0, 1);
    const [target, tolerance] = job.size_m;
    const size = rows(say("instruments-size", { target: amount("size", target, 1), tolerance: tell("size", tolerance, 1) }));
    const low = target - 3 * tolerance;
    this.size = new Row(size, say("instruments-gauge"), unit("size"), low, Math.max(job.incoming_m + tolerance, target + 3 * tolerance));
    this.size.setBand(target - tolerance, target + tolerance);
    const services = rows(say("instruments-services"));
    this.air = new Row(services, say("instruments-air"), unit("air"), 0, 10e5);
    // The plates are the last two of the drives.
    this.plates = drives().slice(-2).map(([, plate]) => new Row(services, plate, unit("temperature"), 0, 80));
  }

  frame(frame) {
    this.speeds.forEach((row, index) => {
      const asked = frame.speeds_asked_rpm[index];
      const torque = Math.round(Math.abs(frame.torques[index]) * 100);
      row.show(frame.speeds_rpm[index], fixed(frame.speeds_rpm[index], 1), torque > 0 ? `${torque} %` : "");
      row.mark(asked === 0 ? null : asked);
    });
    const [slurry, rinse] = frame.flow_l_min;
    this.flow.show(slurry, flowed(slurry), frame.switches.pump ? say("instruments-pump-on") : say("instruments-pump-off"));
    this.flow.mark(this.job.flow_min_l_min);
    this.rinse.show(rinse, flowed(rinse), frame.switches.rinse ? say("instruments-valve-open") : "");
    const stirred = frame.switches.agitator ? say("instruments-stirred") : say("instruments-not-stirred");
    this.tank.show(frame.tank, fixed(frame.tank * 100, 0), stirred);
    const [target, tolerance] = this.job.size_m;
    const known = frame.size_m > 0;
    const low = known && frame.size_m < target - tolerance;
    const reached = frame.size_m <= target + tolerance ? say("instruments-in-size") : say("instruments-above");
    const note = !known ? say("instruments-unknown") : low ? say("instruments-under") : reached;
    this.size.dot(frame.size_m, known ? amount("size", frame.size_m, 1) : "–", note);
    this.size.odd(low);
    this.air.show(frame.supply_pa, amount("air", frame.supply_pa, 1));
    this.plates.forEach((row, index) => row.show(frame.plates_c[index], amount("temperature", frame.plates_c[index], 0)));
  }
}

// Lamps: filled when on, hollow when off, each with its name. What has a control of its own is shown on that.
const LAMPS = [
  ["guard_open", say("instruments-guard-open")],
  ["guard_locked", say("instruments-guard-locked")],
  ["loaded", say("instruments-loaded")],
  ["pin", say("instruments-pin")],
  ["drives", say("instruments-drives")],
  ["standstill", say("instruments-standstill")],
  ["pump", say("instruments-pump")],
  ["agitator", say("instruments-agitator")],
];

export class Lamps {
  constructor(root) {
    clear(root);
    const list = el("ul", { class: "lamps" });
    this.lamps = LAMPS.map(([key, name]) => {
      const state = el("span", { class: "lamp-state" });
      const named = el("span", { text: name });
      const lamp = el("li", { class: "lamp", "data-lamp": key }, el("span", { class: "lamp-dot", "aria-hidden": "true" }), named, state);
      list.append(lamp);
      return { key, lamp, name, named, state };
    });
    root.append(el("h2", { text: say("instruments-lamps") }), list);
  }

  frame(frame) {
    for (const { key, lamp, name, named, state } of this.lamps) {
      // While the own lock hangs the drives cannot be powered: their lamp says why.
      const locked = key === "drives" && frame.switches.own_lock;
      const on = frame.switches[key];
      setClass(lamp, "locked", locked);
      setText(named, locked ? `\u{1F512}\uFE0E ${say("instruments-own-lock")}` : name);
      setClass(lamp, "on", on);
      setText(state, `: ${on ? say("instruments-yes") : say("instruments-no")}`);
    }
  }
}
