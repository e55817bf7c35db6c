// The operator's hands: everything of the machine's panel, its guard and the bench beside it, grouped by where the hand is.
//
// A control that is not legal now can still be pressed where a real one could: the controller refuses and says why, and the refusal is
// shown above the control's group. What only a watcher or a lost connection forbids is disabled.

import { clear, el, setAttr, setClass, setText } from "./dom.js";
import { amount, commands, components, inSi, modes, moves, phaseName, tasks, tell, unit, verdicts } from "./words.js";

const ANSWER_MS = 9000;
// What is seen this long after a control was pressed is its answer, ms.
const SEEN_MS = 2000;

export class Controls {
  // `operate(act)` promises `{done, why}`; so does `stillHeld()`, which says that the hold-to-run control is still held.
  constructor(root, welcome, operate, stillHeld) {
    this.operate = operate;
    this.stillHeld = stillHeld;
    this.heldEvery = welcome.held_every_ms;
    this.buttons = new Map();
    this.groups = [];
    this.holding = false;
    clear(root);
    root.append(
      this.emergency(welcome.job.estop_category),
      this.commands(),
      this.machine(welcome),
      ...this.bench(welcome),
      ...this.tending(welcome),
      ...this.handover(welcome),
      this.stores(welcome),
      this.setup(),
      ...this.form(welcome),
    );
    this.leave = () => this.letGo();
    addEventListener("blur", this.leave);
    document.addEventListener("visibilitychange", this.leave);
  }

  group(name, title, ...children) {
    const answer = el("p", { class: "answer", role: "status", hidden: true });
    const group = el("section", { class: `group ${name}`, "aria-label": title }, el("h2", { text: title }), answer, ...children);
    answer.addEventListener("click", () => {
      answer.hidden = true;
    });
    group.answer = answer;
    this.groups.push(group);
    return group;
  }

  // A button for one act; `make` gives the act when it is pressed, or a string: what is wrong with what was typed.
  button(word, name, { note, make, kind = "", mark = word } = {}) {
    const button = el("button", { type: "button", class: `key ${kind}`, "data-act": word, "data-mark": mark },
      el("span", { text: name }), note ? el("small", { text: note }) : null);
    button.addEventListener("click", () => this.press(button, name, make ? make() : { act: word }));
    if (!this.buttons.has(mark)) this.buttons.set(mark, []);
    this.buttons.get(mark).push(button);
    return button;
  }

  async press(button, name, act) {
    const group = button.closest(".group");
    if (typeof act === "string") {
      this.answer(group, name, act);
      return;
    }
    group.answer.hidden = true;
    // What a look, a count or a measurement shows comes as news; it is shown here too.
    this.asked = { group, name, at: performance.now() };
    button.setAttribute("aria-busy", "true");
    const told = await this.operate(act);
    button.removeAttribute("aria-busy");
    if (told.done) {
      // The frame does not tell the chosen movement: what was last taken is it.
      if (act.act === "select-move") this.moved(act.movement);
      button.classList.add("taken");
      setTimeout(() => button.classList.remove("taken"), 500);
    } else {
      this.answer(group, name, told.why);
    }
    return told;
  }

  answer(group, name, why) {
    setClass(group.answer, "told", false);
    this.say(group.answer, `✕ ${name} refused: ${why}`);
  }

  // What was seen, above the control that looked; several lines of one look stay together.
  seen(text) {
    if (!this.asked || performance.now() - this.asked.at > SEEN_MS) return;
    const { answer } = this.asked.group;
    const more = !answer.hidden && answer.classList.contains("told");
    setClass(answer, "told", true);
    this.say(answer, more ? `${answer.textContent} ${text}` : `◉ ${text}`);
  }

  // What the controller itself refuses comes a tick later, as news.
  refused(text) {
    if (!this.asked || performance.now() - this.asked.at > SEEN_MS) return;
    const { answer } = this.asked.group;
    setClass(answer, "told", false);
    this.say(answer, `✕ ${text}`);
  }

  say(answer, text) {
    answer.hidden = false;
    setText(answer, text);
    clearTimeout(answer.timer);
    answer.timer = setTimeout(() => {
      answer.hidden = true;
    }, ANSWER_MS);
  }

  emergency(category) {
    const press = this.button("press-emergency-stop", "", { kind: "mushroom" });
    press.setAttribute("aria-label", "Emergency stop");
    this.stopTold = el("p", { class: "stop-told" });
    this.category = category;
    this.releaseStop = this.button("release-emergency-stop", "Turn to release", { kind: "release" });
    this.stop = press;
    return this.group("emergency", "Emergency stop", press, this.stopTold, this.releaseStop);
  }

  commands() {
    return this.group("commands", "Operator panel", el("div", { class: "keys three" },
      ...this.commandKeys(),
      this.button("acknowledge", "Acknowledge alarms", { kind: "two-wide" })));
  }

  // The keys of the commands in their order, and the raise between those that stop and the one that resets: they are not mistaken for
  // each other.
  commandKeys() {
    const key = ({ name, word, stop_category: category }) =>
      this.button(name, word, category === null ? {} : { kind: "stops", note: `category ${category}` });
    const all = commands();
    const resets = all.filter(({ name }) => name === "reset");
    return [...all.filter(({ name }) => name !== "reset").map(key), this.button("raise", "Raise plate"), ...resets.map(key)];
  }

  // A field for a count, `least` to 999, and the button that does an act with it; Enter in the field presses the button.
  counted(word, name, { id, least, label, placeholder, parameter, missing }) {
    const field = el("input", { type: "number", id, min: least, max: 999, step: 1, inputmode: "numeric", "aria-label": label, placeholder });
    const button = this.button(word, name, {
      make: () => {
        const value = Number(field.value);
        if (field.value === "" || !Number.isInteger(value) || value < least || value > 999) {
          field.focus();
          return missing;
        }
        return { act: word, [parameter]: value };
      },
    });
    field.addEventListener("keydown", (event) => {
      if (event.key === "Enter") button.click();
    });
    return [field, button];
  }

  // A choice, nothing at first, and the button that does an act with it.
  chosen(word, name, { id, label, none, options, parameter, missing, read = (value) => value }) {
    const field = el("select", { id, "aria-label": label }, el("option", { value: "", text: none }),
      ...options.map(([value, text]) => el("option", { value, text })));
    return [field, this.button(word, name, { make: () => (field.value ? { act: word, [parameter]: read(field.value) } : missing) })];
  }

  machine({ job, exercise }) {
    const counted = this.counted("confirm-parts", "Confirm count", {
      id: "pieces", least: 0, label: "Pieces counted", placeholder: "count", parameter: "pieces",
      missing: "type the number of pieces that you counted, 0 to 999.",
    });
    return this.group("machine", `Guard and parts (${job.carriers} carriers)`,
      el("div", { class: "keys four" },
        this.button("unlock-guard", "Unlock guard"),
        this.button("open-guard", "Open guard"),
        this.button("close-guard", "Close guard"),
        this.button("lock-guard", "Lock guard"),
        this.button("load-carriers", "Load carriers"),
        this.button("count-parts", "Count parts"),
        el("span", { class: "joined two-wide" }, ...counted),
        this.button("unload-carriers", exercise.inspected ? "Unload" : "Unload and measure", { kind: "four-wide" })));
  }

  // What is done at the machine between cycles: only where the exercise is about it.
  tending(welcome) {
    if (!welcome.exercise.tended) return [];
    return [this.group("bench", "At the machine", el("div", { class: "keys tend-keys" }, ...this.chosen("work", "Do it", {
      id: "tending", label: "What to do at the machine", none: "at the machine…", options: tasks(), parameter: "task",
      missing: "choose what to do at the machine first.",
    })))];
  }

  // What can be said to whoever takes the machine over, true or not.
  handover(welcome) {
    const { statements } = welcome.exercise;
    if (statements.length === 0) return [];
    return [this.group("bench", "Handover", el("div", { class: "keys tend-keys" }, ...this.chosen("hand-over", "Say it", {
      id: "statement", label: "What to hand over", none: "hand over…", options: statements, parameter: "statement",
      missing: "choose what to hand over first.",
    })))];
  }

  // Gauge and optical flat beside the machine: only where the operator inspects the parts.
  bench(welcome) {
    if (!welcome.exercise.inspected) return [];
    const measured = this.counted("measure-parts", "Measure at five places", {
      id: "measured-parts", least: 1, label: "Parts to measure", placeholder: "parts", parameter: "parts",
      missing: "type how many parts to measure, from 1.",
    });
    return [this.group("bench", "Inspection of the parts", el("div", { class: "keys bench-keys" },
      el("span", { class: "joined" }, ...measured),
      this.button("lay-flat", "Lay optical flat on"),
      ...this.chosen("judge-parts", "Judge", {
        id: "verdict", label: "What you find of the parts", none: "these parts are…", options: verdicts(), parameter: "verdict",
        missing: "choose what you find of the parts first.",
      })))];
  }

  stores(welcome) {
    const [slot, recall] = this.chosen("recall-recipe", "Recall", {
      id: "slot", label: "Stored recipe", none: "recipe…", parameter: "slot", read: Number,
      options: welcome.stored.map((stored) => [stored.slot, `${stored.slot} ${stored.title}`]),
      missing: "choose a stored recipe first.",
    });
    slot.addEventListener("change", () => {
      const stored = welcome.stored.find((one) => String(one.slot) === slot.value);
      const { answer } = slot.closest(".group");
      setClass(answer, "told", true);
      if (stored) this.say(answer, `◉ Slot ${stored.slot}, ${stored.title}, for ${stored.batch}, ${stored.pieces} pieces: ${stored.steps.map(([name, load]) => `${name} ${tell("load", load, 0)}`).join(", ")}.`);
    });
    const diagnosis = () => this.chosen("diagnose", "Say so", {
      id: "diagnosis", label: "What you think is wrong", none: "diagnosis…", parameter: "component",
      options: [["nothing", "nothing is wrong"], ...components()], missing: "choose what you think is wrong first.",
    });
    return this.group("stores", "Slurry and stores",
      el("div", { class: "keys stores-keys" },
        this.button("check-slurry", "Check tank, agitator, line", { kind: "two-wide" }),
        slot, recall,
        ...(welcome.exercise.assessed ? diagnosis() : []),
        ...this.chosen("remedy", "Have it done", {
          id: "remedy", label: "What to put right", none: "put right…", options: welcome.remedies, parameter: "component",
          missing: "choose what to put right first.",
        })));
  }

  // The form of the plates: only where a stored recipe keeps them flat. What it reckons in is what it is told.
  form(welcome) {
    const kept = welcome.stored.find((stored) => stored.form_by);
    if (!kept) return [];
    this.form_by = kept.form_by;
    this.formTold = el("p", { class: "form-told" });
    this.formUnit = el("span", { class: "form-unit" });
    const field = (plate) => el("input", { type: "number", id: `form-${plate}`, step: "any", inputmode: "decimal", "aria-label": `Form of the ${plate} plate, + convex`, placeholder: plate });
    const fields = [field("lower"), field("upper")];
    const report = this.button("report-form", "Report form", {
      make: () => {
        const empty = fields.find((one) => one.value === "" || !Number.isFinite(Number(one.value)));
        if (empty) {
          empty.focus();
          return "type what you read of both plates, + for a convex plate, − for a hollow one.";
        }
        // On the wire a straightedge reads in micrometres, and bands are counted.
        const read = (one) => (this.form_by === "bands" ? Number(one.value) : inSi("form", Number(one.value)) * 1e6);
        return { act: "report-form", by: this.form_by, lower: read(fields[0]), upper: read(fields[1]) };
      },
    });
    for (const one of fields) one.addEventListener("keydown", (event) => {
      if (event.key === "Enter") report.click();
    });
    this.formShown(null);
    return [this.group("form", "Form of the plates", this.formTold, el("span", { class: "form-fields" }, this.formUnit, ...fields, report))];
  }

  formShown(form) {
    if (!this.formTold) return;
    this.form_by = form?.by ?? this.form_by;
    setText(this.formUnit, this.form_by === "bands" ? "light bands, + hollow face:" : `straightedge, ${unit("form")}, + inner edge high:`);
    if (!form) {
      setText(this.formTold, "Recall the recipe first.");
      return;
    }
    const plate = (metres) => `${metres < 0 ? "−" : "+"}${amount("form", Math.abs(metres), 1)}`;
    const [lower, upper] = form.plates_m;
    const known = form.age === null ? "⚠ Not reported" : `Lower ${plate(lower)}, upper ${plate(upper)} ${unit("form")}${form.age > form.longest ? ", ⚠ too old" : ""}, ${form.age} of ${form.longest} batches old`;
    setText(this.formTold, `Rings: ${form.rings}. ${known}.`);
  }

  setup() {
    this.keyButton = this.button("setup-key", "Setup key", { note: "off", make: () => ({ act: "setup-key", on: this.keyButton.getAttribute("aria-pressed") !== "true" }) });
    this.keyButton.setAttribute("aria-pressed", "false");
    this.modes = modes().map(([mode, name]) => {
      const button = this.button("set-mode", name, { make: () => ({ act: "set-mode", mode }) });
      button.dataset.mode = mode;
      return button;
    });
    this.moves = moves().map(([movement, name]) => {
      const button = this.button("select-move", name, { kind: "slim", make: () => ({ act: "select-move", movement }) });
      button.dataset.move = movement;
      return button;
    });
    return this.group("setup", "Setup, hold-to-run",
      el("div", { class: "keys four" }, this.keyButton, ...this.modes),
      el("div", { class: "moving" }, el("div", { class: "keys five", role: "group", "aria-label": phaseName("manual") }, ...this.moves), this.holdButton()));
  }

  // Press and hold, by pointer or by space or enter; anything that takes the hand away lets go.
  holdButton() {
    const button = el("button", { type: "button", class: "key hold", "data-act": "hold-to-run", "data-mark": "hold-to-run" },
      el("span", { text: "Hold to run" }), el("small", { text: "moves only while held" }));
    this.buttons.set("hold-to-run", [button]);
    this.hold = button;
    button.addEventListener("pointerdown", (event) => {
      if (event.button !== 0) return;
      button.setPointerCapture(event.pointerId);
      this.holdOn();
    });
    for (const event of ["pointerup", "pointercancel", "lostpointercapture", "blur", "contextmenu"]) button.addEventListener(event, this.letGo.bind(this));
    button.addEventListener("keydown", (event) => {
      if (event.key !== " " && event.key !== "Enter") return;
      event.preventDefault();
      if (!event.repeat) this.holdOn();
    });
    button.addEventListener("keyup", (event) => {
      if (event.key === " " || event.key === "Enter") this.letGo();
    });
    return button;
  }

  holdOn() {
    if (this.holding || this.hold.disabled) return;
    this.holding = true;
    // A page that hangs says nothing any more, and the server lets go.
    this.word = setInterval(() => this.sayHeld(), this.heldEvery);
    this.press(this.hold, "Hold to run", { act: "hold-to-run", on: true });
  }

  async sayHeld() {
    const told = await this.stillHeld();
    if (told.done || !this.handOff()) return;
    this.answer(this.hold.closest(".group"), "Hold to run", told.why);
  }

  letGo() {
    if (this.handOff()) this.operate({ act: "hold-to-run", on: false });
  }

  // The control is no longer held; whether it was.
  handOff() {
    const held = this.holding;
    this.holding = false;
    clearInterval(this.word);
    return held;
  }

  // The last movement that the controller took.
  moved(movement) {
    for (const button of this.moves) button.setAttribute("aria-pressed", String(button.dataset.move === movement));
  }

  frame(frame) {
    setClass(this.stop, "pressed", frame.switches.estop);
    setAttr(this.stop, "aria-pressed", String(frame.switches.estop));
    setText(this.stopTold, frame.switches.estop ? "PRESSED" : `category ${this.category}`);
    setAttr(this.keyButton, "aria-pressed", String(frame.switches.setup_key));
    setText(this.keyButton.lastChild, frame.switches.setup_key ? "on" : "off");
    for (const button of this.modes) setAttr(button, "aria-pressed", String(button.dataset.mode === frame.mode));
    if (frame.mode !== "setup") this.moved("");
    setClass(this.hold, "held", frame.switches.hold_to_run);
    this.formShown(frame.form);
  }

  // Marks the controls that a guided step means: by an outline, a sign and a word.
  guide(word) {
    if (word === this.guided) return;
    this.guided = word;
    for (const [mark, buttons] of this.buttons) {
      for (const button of buttons) {
        setClass(button, "meant", mark === word);
        setAttr(button, "aria-describedby", mark === word ? "task-text" : null);
      }
    }
  }

  // An operator without control still reaches the emergency stop: a real one does not ask who presses it.
  enable({ all, stop }) {
    if (!all) this.letGo();
    for (const buttons of this.buttons.values()) {
      for (const button of buttons) button.disabled = button === this.stop ? !stop : !all;
    }
    for (const group of this.groups) {
      for (const field of group.querySelectorAll("select, input")) field.disabled = !all;
    }
  }

  dispose() {
    removeEventListener("blur", this.leave);
    document.removeEventListener("visibilitychange", this.leave);
  }
}
