// Load: the gauge with reference and limit, and the cycle ribbon as it grows: phases behind the load curve.

import uPlot from "./uplot.js";
import { clear, el, setClass, setText, svg } from "./dom.js";
import { language, say } from "./say.js";
import { amount, asMass, clock, fixed, inSi, inStep, inUnit, loadModeName, phaseShort, tell, unit } from "./words.js";

const WINDOWS = [["60", "1 min"], ["300", "5 min"], ["0", say("load-all")]];
// Points that are kept; then the older half is thinned to every second, keeping least and most.
const POINTS = 6000;
// Least time between two drawings, ms: the eye needs no more and the processor has other work.
const DRAW_MS = 100;
// Height of the names of the phases in the ribbon, px.
const NAMES_PX = 20;
const FONT = '12px system-ui, "DejaVu Sans", sans-serif';
const BAND = ["--n1", "--n2"];

// A colour of the page's theme, as it stands when something is drawn.
const colour = (name) => getComputedStyle(document.documentElement).getPropertyValue(name).trim();
const inColour = (name) => () => colour(name);

const load = (newtons) => inUnit("load", newtons);
const onAxis = new Intl.NumberFormat(language);

export class Load {
  constructor(root, job) {
    this.job = job;
    this.time = [];
    this.load = [];
    this.least = [];
    this.most = [];
    this.reference = [];
    this.limit = [];
    this.bands = [];
    this.marks = [];
    this.window = 300;
    this.drawn = 0;
    this.build(root);
  }

  build(root) {
    clear(root);
    this.value = el("span", { class: "big" });
    this.mass = el("span", { class: "soft" });
    this.held = el("p", { class: "load-held" });
    this.reading = { reference: el("dd"), limit: el("dd") };
    const windows = el("div", { class: "segments", role: "group", "aria-label": say("load-windows") });
    for (const [seconds, name] of WINDOWS) {
      const pressed = String(Number(seconds) === this.window);
      const button = el("button", { type: "button", text: name, "aria-pressed": pressed, "data-window": seconds });
      button.addEventListener("click", () => {
        this.window = Number(seconds);
        for (const other of windows.children) other.setAttribute("aria-pressed", String(other === button));
        this.draw(true);
      });
      windows.append(button);
    }
    this.gauge = this.buildGauge();
    this.since = el("span");
    this.chart = el("div", { class: "ribbon", role: "img", "aria-label": say("load-chart") });
    root.append(
      el("div", { class: "load-figures" },
        el("h2", { text: say("load-title") }),
        el("p", { class: "load-value" }, this.value, el("span", { class: "unit", text: ` ${unit("load")}` })),
        this.mass,
        el("dl", { class: "pairs" },
          el("dt", {}, sample("reference"), say("load-reference")), this.reading.reference,
          el("dt", {}, sample("limit"), say("load-limit")), this.reading.limit),
        this.held),
      this.gauge,
      el("div", { class: "ribbon-box" },
        el("div", { class: "ribbon-head" }, el("span", { class: "soft" }, say("load-ribbon"), this.since), windows), this.chart),
    );
    this.plot = null;
    this.observer = new ResizeObserver(() => this.resize());
    this.observer.observe(this.chart);
  }

  // A vertical scale: fill to the measured load, an arrow at the reference, a dashed line at the limit.
  buildGauge() {
    // The hanging plate reads less than nothing on some machines; the gauge is for what presses.
    const [low, high] = [0, this.job.load_scale_n[1]];
    this.y = (load) => 150 - 140 * Math.min(1, Math.max(0, (load - low) / (high - low)));
    const picture = svg("svg", { viewBox: "0 0 84 160", class: "gauge", role: "img", "aria-label": say("load-gauge") });
    picture.append(svg("rect", { x: 8, y: 10, width: 20, height: 140, class: "gauge-tube" }));
    this.fill = svg("rect", { x: 8, y: 150, width: 20, height: 0, class: "gauge-fill" });
    this.pointer = svg("path", { d: "M28 0l9 -5v10z", class: "gauge-reference" });
    this.bar = svg("g", { class: "gauge-limit" }, svg("line", { x1: 3, x2: 36, y1: 0, y2: 0 }));
    picture.append(this.fill, this.bar, this.pointer);
    // The numbers are round in the unit that is shown.
    for (const tick of ticks(load(low), load(high))) {
      const y = this.y(inSi("load", tick));
      const number = svg("text", { x: 48, y: y + 4, class: "gauge-number", text: fixed(tick, 0) });
      picture.append(svg("line", { x1: 40, x2: 45, y1: y, y2: y, class: "gauge-tick" }), number);
    }
    return picture;
  }

  frame(frame) {
    const over = frame.limit_n > 0 && frame.load_n > frame.limit_n;
    setText(this.value, amount("load", frame.load_n, 0));
    setClass(this.value, "bad", over);
    setText(this.mass, over ? say("load-over") : say("load-weight", { mass: asMass(Math.max(0, frame.load_n)) }));
    setText(this.reading.reference, frame.load_mode === "safe" ? say("load-no-reference") : tell("load", frame.reference_n, 0));
    setText(this.reading.limit, frame.limit_n > 0 ? tell("load", frame.limit_n, 0) : say("load-no-limit"));
    setText(this.held, loadModeName(frame.load_mode));
    const y = this.y(frame.load_n);
    this.fill.setAttribute("y", y.toFixed(1));
    this.fill.setAttribute("height", (150 - y).toFixed(1));
    setClass(this.fill, "bad", over);
    place(this.pointer, this.y(frame.reference_n), frame.load_mode !== "safe");
    place(this.bar, this.y(frame.limit_n), frame.limit_n > 0);
    this.take(frame);
    this.draw(false);
  }

  take(frame) {
    const last = this.time.length - 1;
    if (last >= 0 && frame.time_s < this.time[last]) this.forgetAfter(frame.time_s);
    if (this.time.length && frame.time_s <= this.time[this.time.length - 1]) return;
    this.time.push(frame.time_s);
    this.load.push(load(frame.load_n));
    this.least.push(load(Math.min(frame.load_range_n[0], frame.load_n)));
    this.most.push(load(Math.max(frame.load_range_n[1], frame.load_n)));
    this.reference.push(frame.load_mode === "safe" ? null : load(frame.reference_n));
    this.limit.push(frame.limit_n > 0 ? load(frame.limit_n) : null);
    this.band(frame.time_s, frame.phase, frame.step);
    if (this.time.length === 1) setText(this.since, frame.time_s > 3 ? ` · ${say("load-since", { time: clock(frame.time_s) })}` : "");
    if (this.time.length > POINTS) this.thin();
  }

  // An instructor went back: what comes after has not happened.
  forgetAfter(time) {
    const found = this.time.findIndex((at) => at > time);
    const keep = found < 0 ? this.time.length : found;
    for (const column of this.columns()) column.length = keep;
    this.bands = this.bands.filter((band) => band.from <= time);
    this.marks = this.marks.filter((mark) => mark <= time);
  }

  columns() {
    return [this.time, this.load, this.least, this.most, this.reference, this.limit];
  }

  thin() {
    const half = POINTS / 2;
    for (let i = 0; i < half; i += 2) {
      this.least[i] = Math.min(this.least[i], this.least[i + 1]);
      this.most[i] = Math.max(this.most[i], this.most[i + 1]);
    }
    const kept = (_, i) => i >= half || i % 2 === 0;
    [this.time, this.load, this.least, this.most, this.reference, this.limit] = this.columns().map((column) => column.filter(kept));
  }

  // A page that comes late learns from the log which phases there were; the load it draws from now on.
  moved(time, { phase, step }) {
    const last = this.bands[this.bands.length - 1];
    if (last && time < last.from) this.forgetAfter(time);
    this.band(time, phase, step ?? last?.step ?? 0);
  }

  band(time, phase, step) {
    const last = this.bands[this.bands.length - 1];
    if (!last || last.phase !== phase || last.step !== step) this.bands.push({ phase, step, from: time });
  }

  // A mark on the ribbon: an interlock, or what an instructor did.
  mark(time) {
    this.marks.push(time);
    if (this.marks.length > 200) this.marks.shift();
  }

  resize() {
    const { clientWidth: width, clientHeight: height } = this.chart;
    if (width < 40 || height < 40) return;
    if (this.plot) this.plot.setSize({ width, height });
    else this.plot = new uPlot(this.options(width, height), this.data(), this.chart);
    this.draw(true);
  }

  data() {
    return [this.time, this.most, this.least, this.load, this.reference, this.limit];
  }

  options(width, height) {
    const high = load(this.job.load_scale_n[1]);
    const low = Math.max(load(this.job.load_scale_n[0]), -0.06 * high);
    const axis = { stroke: inColour("--n8"), font: FONT, ticks: { stroke: inColour("--n5"), size: 4 } };
    return {
      width,
      height,
      legend: { show: false },
      cursor: { show: false },
      scales: {
        x: { time: false, range: () => this.range() },
        y: { range: (plot) => [low, high + (high - low) * this.headroom(plot)] },
      },
      axes: [
        { ...axis, size: 24, grid: { show: false }, values: (_, all) => all.map((value) => `${value} s`) },
        {
          ...axis,
          size: 42,
          space: 34,
          grid: { stroke: inColour("--raised"), width: 1 },
          values: (_, all) => all.map((value) => (value === null ? "" : onAxis.format(value))),
        },
      ],
      series: [
        {},
        { width: 0, points: { show: false } },
        { width: 0, points: { show: false } },
        { stroke: inColour("--n9"), width: 1.6, fill: "rgba(120,130,138,.35)", points: { show: false } },
        { stroke: inColour("--n10"), width: 1.4, dash: [7, 4], points: { show: false } },
        { stroke: inColour("--n8"), width: 1.4, dash: [2, 3], points: { show: false } },
      ],
      bands: [{ series: [1, 2], fill: "rgba(120,130,138,.5)" }],
      hooks: { drawClear: [(plot) => this.drawBands(plot)], draw: [(plot) => this.drawMarks(plot)] },
    };
  }

  // Room over the scale for the names of the phases, as a share of the scale.
  headroom(plot) {
    const tall = plot.bbox?.height / devicePixelRatio || 150;
    return NAMES_PX / Math.max(20, tall - NAMES_PX);
  }

  range() {
    const now = this.time.length ? this.time[this.time.length - 1] : 0;
    // It grows from a minute to its full length before it begins to travel.
    return [this.window === 0 ? 0 : Math.max(0, now - this.window), Math.max(60, now)];
  }

  drawBands(plot) {
    const { ctx, bbox } = plot;
    const scale = devicePixelRatio;
    const [from, to] = this.range();
    const end = this.time.length ? this.time[this.time.length - 1] : 0;
    const x = (time) => plot.valToPos(Math.min(to, Math.max(from, time)), "x", true);
    ctx.save();
    ctx.font = `${12 * scale}px system-ui, "DejaVu Sans", sans-serif`;
    ctx.textAlign = "center";
    this.bands.forEach((band, index) => {
      const next = this.bands[index + 1];
      const until = next ? next.from : end;
      if (until < from) return;
      const [left, right] = [x(band.from), x(until)];
      ctx.fillStyle = colour(BAND[index % 2]);
      ctx.fillRect(left, bbox.top, right - left, bbox.height);
      const name = inStep(band.phase) ? `${phaseShort(band.phase)} ${band.step + 1}` : phaseShort(band.phase);
      if (ctx.measureText(name).width + 8 * scale < right - left) {
        ctx.fillStyle = colour("--n8");
        ctx.fillText(name, (left + right) / 2, bbox.top + 14 * scale);
      }
    });
    ctx.restore();
  }

  drawMarks(plot) {
    const { ctx, bbox } = plot;
    const scale = devicePixelRatio;
    const [from, to] = this.range();
    ctx.save();
    ctx.fillStyle = colour("--bad");
    ctx.strokeStyle = colour("--n8");
    ctx.setLineDash([scale, 3 * scale]);
    for (const mark of this.marks) {
      if (mark < from || mark > to) continue;
      const x = plot.valToPos(mark, "x", true);
      const y = bbox.top + bbox.height;
      ctx.beginPath();
      ctx.moveTo(x, bbox.top + 18 * scale);
      ctx.lineTo(x, y);
      ctx.stroke();
      ctx.beginPath();
      ctx.moveTo(x, y - 10 * scale);
      ctx.lineTo(x + 5 * scale, y);
      ctx.lineTo(x - 5 * scale, y);
      ctx.fill();
    }
    ctx.restore();
  }

  draw(now) {
    if (!this.plot || document.hidden) return;
    const at = performance.now();
    if (!now && at - this.drawn < DRAW_MS) return;
    this.drawn = at;
    this.plot.setData(this.data());
  }
}

// A sample of a line of the ribbon, for its key.
function sample(name) {
  const line = svg("line", { x1: 0, x2: 24, y1: 4, y2: 4, class: `line-${name}` });
  return svg("svg", { viewBox: "0 0 24 8", class: "sample", "aria-hidden": "true" }, line);
}

function place(node, y, shown) {
  node.setAttribute("transform", `translate(0 ${y.toFixed(1)})`);
  if (shown) node.removeAttribute("display");
  else node.setAttribute("display", "none");
}

// Round numbers for a scale, about four of them.
function ticks(low, high) {
  const rough = (high - low) / 4;
  const decade = 10 ** Math.floor(Math.log10(rough));
  const step = decade * [1, 2, 5, 10].find((factor) => factor * decade >= rough);
  const all = [];
  for (let value = Math.ceil(low / step) * step; value <= high; value += step) all.push(value);
  return all;
}
