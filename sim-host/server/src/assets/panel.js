// What the machine shows: state, ladder, load, section, instruments, lamps, alarms, log. The operator and the instructor see the same.

import { clear, el, setAttr, setClass, setText } from "./dom.js";
import { Alarms } from "./alarms.js";
import { Instruments, Lamps } from "./instruments.js";
import { Ladder } from "./ladder.js";
import { Load } from "./load.js";
import { NewsLog } from "./news.js";
import { Plan } from "./plan.js";
import { say } from "./say.js";
import { Section } from "./section.js";
import { adopt, categoryName, categoryText, clock, clockTenths, fixed, inStep, modeName, phaseName, plateName } from "./words.js";
import { responseLook, responseName, stateLook, stateName, stopCategory } from "./words.js";

const part = (name, label) => el("section", { class: `box ${name}`, "aria-label": label });

// A row's response on this machine: it may hang on the category of the emergency stop.
function onMachine(row, job) {
  const response = row.responses[job.estop_category];
  return { ...row, response, stop_category: stopCategory(response) };
}

export class Panel {
  constructor(root, welcome, vocabulary) {
    this.welcome = welcome;
    adopt(welcome.job.units);
    this.root = root;
    this.rows = new Map(vocabulary.rows.map((row) => [row.id, onMachine(row, welcome.job)]));
    const boxes = {
      now: part("now", say("panel-state")),
      ladder: part("ladder", say("ladder-title")),
      load: part("load", say("load-title")),
      cut: part("cut", say("panel-cut")),
      lamps: part("lamp-box", say("panel-lamps")),
      instruments: part("instruments", say("panel-instruments")),
      alarms: part("alarms", say("alarms-title")),
      news: part("log", say("news-title")),
    };
    const { alarms, news, ...rest } = boxes;
    clear(root);
    root.append(...Object.values(rest), el("div", { class: "side" }, alarms, news));
    this.buildNow(boxes.now);
    this.ladder = new Ladder(boxes.ladder);
    this.load = new Load(boxes.load, welcome.job);
    this.buildViews(boxes.cut, welcome.job);
    this.lamps = new Lamps(boxes.lamps);
    this.instruments = new Instruments(boxes.instruments, welcome.job);
    this.alarms = new Alarms(boxes.alarms, this.rows);
    this.news = new NewsLog(boxes.news);
  }

  // The machine from the side and from above. Where there is room for one of them only, a pair of keys chooses.
  buildViews(root, job) {
    const side = el("div", { class: "view view-side" });
    const above = el("div", { class: "view view-above" });
    this.section = new Section(side, job);
    side.append(el("p", { class: "cut-legend", text: say("panel-scale") }));
    this.plan = new Plan(above, job);
    const keys = [["side", say("panel-section")], ["above", say("panel-plan")]].map(([view, text]) =>
      el("button", { type: "button", text, "aria-pressed": String(view === "side"), on: { click: () => choose(view) } }));
    const choose = (view) => {
      root.dataset.view = view;
      keys.forEach((key, index) => setAttr(key, "aria-pressed", String(index === (view === "side" ? 0 : 1))));
    };
    choose("side");
    root.append(el("div", { class: "segments view-keys", role: "group", "aria-label": say("panel-view") }, keys), side, above);
  }

  buildNow(root) {
    this.state = el("span", { class: "state-name", "aria-live": "polite" });
    this.sign = el("span", { class: "state-sign", "aria-hidden": "true" });
    this.sub = el("span", { class: "state-sub" });
    this.where = el("p", { class: "where" });
    this.waits = el("p", { class: "waits" });
    this.force = el("p", { class: "force" });
    this.stateBox = el("div", { class: "state-box" }, this.sign, el("div", {}, this.state, this.sub));
    this.time = el("span", { class: "time-value" });
    this.kept = el("span", { class: "soft" });
    this.story = el("div", { class: "story" }, this.where, this.waits, this.force);
    root.append(this.stateBox, this.story, el("div", { class: "time-box" }, this.time, this.kept));
  }

  frame(frame) {
    setAttr(this.root, "data-state", frame.state);
    setAttr(this.root, "data-phase", frame.phase);
    setAttr(this.root, "data-at-work", frame.at_work_s === null ? "no" : "yes");
    setAttr(this.root, "data-step", frame.step + 1);
    this.showNow(frame);
    this.ladder.frame(frame);
    this.load.frame(frame);
    this.section.frame(frame);
    this.plan.frame(frame);
    this.lamps.frame(frame);
    this.instruments.frame(frame);
    this.alarms.frame(frame);
  }

  showNow(frame) {
    const looks = [stateLook(frame.state), responseLook(frame.response)];
    const stop = looks.includes("stop");
    const wait = looks.includes("wait");
    setText(this.state, stateName(frame.state));
    setText(this.sub, `${modeName(frame.mode)} · ${plateName(frame.plate)}`);
    setText(this.sign, stop ? "⬣" : wait ? "‖" : looks.includes("run") ? "▶" : "■");
    setClass(this.stateBox, "danger", stop);
    setClass(this.stateBox, "odd", !stop && wait);
    this.place(this.whereTexts(frame));
    const missing = frame.missing.length ? ` ${say("panel-missing", { what: frame.missing.join(", ") })}` : "";
    this.advise(`${frame.waits}${missing}`);
    this.showForce(frame, stop);
    setText(this.time, clockTenths(frame.time_s));
    const pace = fixed(frame.kept, frame.kept < 10 ? 1 : 0);
    setText(this.kept, frame.pace === "paused" ? say("panel-time-stopped") : say("panel-kept", { pace }));
  }

  // The line that says what comes next is never cut: where it is long it takes two lines, or three.
  advise(text) {
    const shown = `${text} ${innerWidth}`;
    if (shown === this.advised) return;
    this.advised = shown;
    setText(this.waits, text);
    for (const fit of ["one", "two", "three"]) {
      this.story.dataset.fit = fit;
      if (this.waits.scrollWidth <= this.waits.clientWidth + 1 && this.waits.scrollHeight <= this.waits.clientHeight + 1) break;
    }
  }

  // Where the cycle is: the longest way of saying it that is not cut.
  place(texts) {
    const shown = `${texts[0]} ${innerWidth}`;
    if (shown === this.placed) return;
    this.placed = shown;
    for (const text of texts) {
      setText(this.where, text);
      if (this.where.scrollWidth <= this.where.clientWidth) break;
    }
  }

  // From all that there is to say to the phase and its time alone.
  whereTexts(frame) {
    const recipe = this.welcome.stored.find((stored) => stored.slot === frame.recipe);
    const name = recipe?.steps[frame.step]?.[0] ?? "";
    const inRecipe = recipe && inStep(frame.phase);
    const step = inRecipe ? say("panel-step", { n: String(frame.step + 1), all: String(recipe.steps.length), name }) : "";
    const spent = this.spentText(frame);
    const chosen = recipe ? say("panel-recipe", { slot: String(recipe.slot), id: recipe.id }) : say("panel-no-recipe");
    const slot = recipe ? say("panel-recipe-slot", { slot: String(recipe.slot) }) : "";
    const confirmed = frame.state === "running" ? "" : say("panel-confirmed", { n: frame.confirmed, all: this.welcome.job.pieces });
    const cycle = (...parts) => [phaseName(frame.phase), ...parts].filter(Boolean).join(", ");
    const line = (...parts) => parts.filter(Boolean).join(" · ");
    return [line(cycle(step, spent), chosen, confirmed), line(cycle(step, spent), slot, confirmed), line(cycle(step, spent), slot),
      cycle(step, spent), cycle(spent)];
  }

  spentText(frame) {
    const [spent, asked] = frame.step_s;
    if (frame.phase !== "dwell") return "";
    if (asked > 0) return say("panel-spent-of", { spent: clock(spent), asked: clock(asked) });
    return spent > 0 ? say("panel-spent", { spent: clock(spent) }) : "";
  }

  // The response in force, with the category of a stop and the first cause. What does not fit is left out from the middle: the cause and
  // the category are never cut.
  showForce(frame, stop) {
    const name = this.rows.get(frame.cause)?.name ?? say("panel-row");
    const cause = frame.cause ? say("panel-cause", { name, row: String(frame.cause) }) : "";
    const category = categoryText(frame.stop_category);
    const response = frame.response === "none" ? "" : responseName(frame.response);
    const said = response || (category ? say("panel-stop") : "");
    const forms = [[said, category], [category || said], [categoryName(frame.stop_category) || said]].map((parts) =>
      [cause, parts.filter(Boolean).join(", ")].filter(Boolean).join(" · "));
    const shown = `${forms[0]} ${innerWidth}`;
    setClass(this.force, "danger", stop && forms[0] !== "");
    setClass(this.force, "odd", !stop && forms[0] !== "");
    if (shown === this.forced) return;
    this.forced = shown;
    for (const form of forms) {
      setText(this.force, form || say("panel-no-force"));
      if (this.force.scrollWidth <= this.force.clientWidth + 1) break;
    }
  }

  addNews(news) {
    this.news.add(news);
    if (news.place) {
      this.ladder.moved(news.place);
      this.load.moved(news.time_s, news.place);
    }
    if (news.kind === "interlock" || news.kind === "instructor") this.load.mark(news.time_s);
  }
}
