// The operator's hands: everything of the machine's panel, its guard and the bench beside it, grouped by where the hand is.
//
// A control that is not legal now can still be pressed where a real one could: the controller refuses and says why, and the refusal is
// shown above the control's group. What only a watcher or a lost connection forbids is disabled.

import { say } from "./say.js";
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
    this.show(group.answer, say("controls-refused", { name, why }));
  }

  // What was seen, above the control that looked; several lines of one look stay together.
  seen(text) {
    if (!this.asked || performance.now() - this.asked.at > SEEN_MS) return;
    const { answer } = this.asked.group;
    const more = !answer.hidden && answer.classList.contains("told");
    setClass(answer, "told", true);
    this.show(answer, more ? `${answer.textContent} ${text}` : `◉ ${text}`);
  }

  // What the controller itself refuses comes a tick later, as news.
  refused(text) {
    if (!this.asked || performance.now() - this.asked.at > SEEN_MS) return;
    const { answer } = this.asked.group;
    setClass(answer, "told", false);
    this.show(answer, `✕ ${text}`);
  }

  // The newest answer alone: on an upright tablet they would lie on each other.
  show(answer, text) {
    for (const { answer: other } of this.groups) if (other !== answer) other.hidden = true;
    answer.hidden = false;
    setText(answer, text);
    clearTimeout(answer.timer);
    answer.timer = setTimeout(() => {
      answer.hidden = true;
    }, ANSWER_MS);
  }

  emergency(category) {
    const press = this.button("press-emergency-stop", "", { kind: "mushroom" });
    press.setAttribute("aria-label", say("controls-emergency-stop"));
    this.stopTold = el("p", { class: "stop-told" });
    this.category = category;
    this.releaseStop = this.button("release-emergency-stop", say("controls-release-stop"), { kind: "release" });
    this.stop = press;
    return this.group("emergency", say("controls-emergency-stop"), press, this.stopTold, this.releaseStop);
  }

  commands() {
    return this.group("commands", say("controls-operator-panel"), el("div", { class: "keys three" },
      ...this.commandKeys(),
      this.button("acknowledge", say("controls-acknowledge"), { kind: "two-wide" })));
  }

  // The keys of the commands in their order, and the raise between those that stop and the one that resets: they are not mistaken for
  // each other.
  commandKeys() {
    const key = ({ name, word, stop_category: category }) =>
      this.button(name, word, category === null ? {} : { kind: "stops", note: say("controls-category", { category }) });
    const all = commands();
    const resets = all.filter(({ name }) => name === "reset");
    return [...all.filter(({ name }) => name !== "reset").map(key), this.button("raise", say("controls-raise")), ...resets.map(key)];
  }

  // A field for a count, `least` to 999, and the button that does an act with it; Enter in the field presses the button.
  counted(word, name, { id, least, label, placeholder, parameter, missing }) {
    const whole = { type: "number", min: least, max: 999, step: 1, inputmode: "numeric" };
    const field = el("input", { ...whole, id, "aria-label": label, placeholder });
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
  // A list cuts what is longer than itself: what is chosen stands over it, on as many lines as it takes, or in `brief`.
  chosen(word, name, { id, label, none, options, parameter, missing, read = (value) => value, brief = (_, text) => text }) {
    const field = el("select", { id, "aria-label": label }, el("option", { value: "", text: none }),
      ...options.map(([value, text]) => el("option", { value, text })));
    const picked = el("span", { class: "picked", "aria-hidden": "true", text: none });
    field.addEventListener("change", () => setText(picked, field.value ? brief(field.value, field.selectedOptions[0].text) : none));
    const pick = el("span", { class: "pick" }, field, picked);
    return [pick, this.button(word, name, { make: () => (field.value ? { act: word, [parameter]: read(field.value) } : missing) })];
  }

  machine({ job, exercise }) {
    const counted = this.counted("confirm-parts", say("controls-confirm-count"), {
      id: "pieces", least: 0, label: say("controls-pieces"), placeholder: say("controls-pieces-short"), parameter: "pieces",
      missing: say("controls-pieces-missing"),
    });
    const unload = exercise.inspected ? say("controls-unload") : say("controls-unload-and-measure");
    return this.group("machine", say("controls-machine", { carriers: job.carriers }),
      el("div", { class: "keys four" },
        this.button("unlock-guard", say("controls-unlock-guard")),
        this.button("open-guard", say("controls-open-guard")),
        this.button("close-guard", say("controls-close-guard")),
        this.button("lock-guard", say("controls-lock-guard")),
        this.button("load-carriers", say("controls-load-carriers")),
        this.button("count-parts", say("controls-count-parts")),
        el("span", { class: "joined two-wide" }, ...counted),
        this.button("unload-carriers", unload, { kind: "four-wide" })));
  }

  // What is done at the machine between cycles: only where the exercise is about it.
  tending(welcome) {
    if (!welcome.exercise.tended) return [];
    const work = this.chosen("work", say("controls-work"), {
      id: "tending", label: say("controls-tending"), none: say("controls-tending-none"), options: tasks(), parameter: "task",
      missing: say("controls-tending-missing"),
    });
    return [this.group("bench", say("controls-at-machine"), el("div", { class: "keys tend-keys" }, ...work))];
  }

  // What can be said to whoever takes the machine over, true or not.
  handover(welcome) {
    const { statements } = welcome.exercise;
    if (statements.length === 0) return [];
    const handOver = this.chosen("hand-over", say("controls-hand-over"), {
      id: "statement", label: say("controls-statement"), none: say("controls-statement-none"), options: statements, parameter: "statement",
      missing: say("controls-statement-missing"),
    });
    return [this.group("bench", say("controls-handover"), el("div", { class: "keys tend-keys" }, ...handOver))];
  }

  // Gauge and optical flat beside the machine: only where the operator inspects the parts.
  bench(welcome) {
    if (!welcome.exercise.inspected) return [];
    const measured = this.counted("measure-parts", say("controls-measure"), {
      id: "measured-parts", least: 1, label: say("controls-measured"), placeholder: say("controls-measured-short"), parameter: "parts",
      missing: say("controls-measured-missing"),
    });
    return [this.group("bench", say("controls-inspection"), el("div", { class: "keys bench-keys" },
      el("span", { class: "joined" }, ...measured),
      this.button("lay-flat", say("controls-lay-flat")),
      ...this.chosen("judge-parts", say("controls-judge"), {
        id: "verdict", label: say("controls-verdict"), none: say("controls-verdict-none"), options: verdicts(), parameter: "verdict",
        missing: say("controls-verdict-missing"),
      })))];
  }

  stores(welcome) {
    const [pick, recall] = this.chosen("recall-recipe", say("controls-recall"), {
      id: "slot", label: say("controls-slot"), none: say("controls-slot-none"), parameter: "slot", read: Number, brief: (slot) => slot,
      options: welcome.stored.map((stored) => [stored.slot, `${stored.slot} ${stored.title}`]),
      missing: say("controls-slot-missing"),
    });
    const slot = pick.firstChild;
    slot.addEventListener("change", () => {
      const stored = welcome.stored.find((one) => String(one.slot) === slot.value);
      const { answer } = slot.closest(".group");
      setClass(answer, "told", true);
      if (!stored) return;
      const { title, batch, pieces } = stored;
      const steps = stored.steps.map(([name, load]) => `${name} ${tell("load", load, 0)}`).join(", ");
      this.show(answer, say("controls-stored", { slot: stored.slot, title, batch, pieces, steps }));
    });
    const named = new Map(components());
    const diagnosis = () => this.chosen("diagnose", say("controls-diagnose"), {
      id: "diagnosis", label: say("controls-diagnosis"), none: say("controls-diagnosis-none"), parameter: "component",
      options: [["nothing", say("controls-nothing-wrong")], ...components()], missing: say("controls-diagnosis-missing"),
    });
    return this.group("stores", say("controls-stores"),
      el("div", { class: "keys stores-keys" },
        this.button("check-slurry", say("controls-check-slurry"), { kind: "two-wide" }),
        pick, recall,
        ...(welcome.exercise.assessed ? diagnosis() : []),
        ...this.chosen("remedy", say("controls-have-done"), {
          id: "remedy", label: say("controls-remedy"), none: say("controls-remedy-none"), options: welcome.remedies, parameter: "component",
          missing: say("controls-remedy-missing"), brief: (component) => named.get(component),
        })));
  }

  // The form of the plates: only where a stored recipe keeps them flat. What it reckons in is what it is told.
  form(welcome) {
    const kept = welcome.stored.find((stored) => stored.form_by);
    if (!kept) return [];
    this.form_by = kept.form_by;
    this.formTold = el("p", { class: "form-told" });
    this.formUnit = el("span", { class: "form-unit" });
    const field = (plate, label, placeholder) =>
      el("input", { type: "number", id: `form-${plate}`, step: "any", inputmode: "decimal", "aria-label": label, placeholder });
    const fields = [
      field("lower", say("controls-form-lower"), say("controls-form-lower-short")),
      field("upper", say("controls-form-upper"), say("controls-form-upper-short")),
    ];
    const report = this.button("report-form", say("controls-report-form"), {
      make: () => {
        const empty = fields.find((one) => one.value === "" || !Number.isFinite(Number(one.value)));
        if (empty) {
          empty.focus();
          return say("controls-form-missing");
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
    const form = el("span", { class: "form-fields" }, this.formUnit, ...fields, report);
    return [this.group("form", say("controls-form"), this.formTold, form)];
  }

  formShown(form) {
    if (!this.formTold) return;
    this.form_by = form?.by ?? this.form_by;
    const read = this.form_by === "bands" ? say("controls-by-bands") : say("controls-by-straightedge", { unit: unit("form") });
    setText(this.formUnit, read);
    setText(this.formTold, form ? this.formText(form) : say("controls-recall-first"));
  }

  formText({ rings, age, longest, plates_m: [lower, upper] }) {
    if (age === null) return say("controls-form-unreported", { rings });
    const plate = (metres) => `${metres < 0 ? "−" : "+"}${amount("form", Math.abs(metres), 1)}`;
    const known = { rings, lower: plate(lower), upper: plate(upper), unit: unit("form"), age, longest };
    return age > longest ? say("controls-form-too-old", known) : say("controls-form-reported", known);
  }

  setup() {
    this.keyButton = this.button("setup-key", say("controls-setup-key"), {
      note: say("controls-key-off"),
      make: () => ({ act: "setup-key", on: this.keyButton.getAttribute("aria-pressed") !== "true" }),
    });
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
    const movements = el("div", { class: "keys five", role: "group", "aria-label": phaseName("manual") }, ...this.moves);
    return this.group("setup", say("controls-setup"),
      el("div", { class: "keys four" }, this.keyButton, ...this.modes),
      el("div", { class: "moving" }, movements, this.holdButton()));
  }

  // Press and hold, by pointer or by space or enter; anything that takes the hand away lets go.
  holdButton() {
    const button = el("button", { type: "button", class: "key hold", "data-act": "hold-to-run", "data-mark": "hold-to-run" },
      el("span", { text: say("controls-hold") }), el("small", { text: say("controls-hold-note") }));
    this.buttons.set("hold-to-run", [button]);
    this.hold = button;
    button.addEventListener("pointerdown", (event) => {
      if (event.button !== 0) return;
      button.setPointerCapture(event.pointerId);
      this.holdOn();
    });
    const handTaken = ["pointerup", "pointercancel", "lostpointercapture", "blur", "contextmenu"];
    for (const event of handTaken) button.addEventListener(event, () => this.letGo());
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
    this.press(this.hold, say("controls-hold"), { act: "hold-to-run", on: true });
  }

  async sayHeld() {
    const told = await this.stillHeld();
    if (told.done || !this.handOff()) return;
    this.answer(this.hold.closest(".group"), say("controls-hold"), told.why);
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
    setText(this.stopTold, frame.switches.estop ? say("controls-pressed") : say("controls-category", { category: this.category }));
    setAttr(this.keyButton, "aria-pressed", String(frame.switches.setup_key));
    setText(this.keyButton.lastChild, frame.switches.setup_key ? say("controls-key-on") : say("controls-key-off"));
    for (const button of this.modes) setAttr(button, "aria-pressed", String(button.dataset.mode === frame.mode));
    if (frame.mode !== "setup") this.moved("");
    // What was under way is not any more.
    const atWork = frame.at_work_s !== null;
    if (this.atWork && !atWork) for (const { answer } of this.groups) answer.hidden ||= answer.classList.contains("told");
    this.atWork = atWork;
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
        setAttr(button, "data-here", mark === word ? say("controls-here") : null);
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
