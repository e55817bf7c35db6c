// The controls of a form, from what the server says it asks, and the text that they come to: one key a line.

import { say } from "./say.js";
import { el } from "./dom.js";

// Which alternative a new entry begins with, by the keys that lead it.
const USUAL = ["phase", "fault", "act", "start", "always", "shown"];
// Keys with names to choose from that no list of words holds.
const NAMES = { recipe: "recipe-ids", after: "expected-ids", before: "expected-ids", since: "expected-ids" };
// Keys that the page itself answers for, or that make no exercise.
const HIDDEN = ["operator", "assessment"];
// How the parts of an exercise are headed.
const HEADS = { events: say("form-events"), training: say("form-training"), expected: say("form-good"), forbidden: say("form-forbidden"),
  guide: say("form-guide"), stored: say("form-stored"), book: say("form-book"), statements: say("form-statements"),
  found: say("form-found"), harm: say("form-harm") };

// What a choice between alternatives is about, by the key that leads its first.
const CHOICES = { at: say("form-when"), command: say("form-what"), act: say("form-what"), start: say("form-from-when"),
  always: say("form-place") };

const spoken = (key) => (key === "id" ? say("form-identifier") : key.charAt(0).toUpperCase() + key.slice(1).replaceAll("-", " "));
const head = (key) => HEADS[key] ?? spoken(key);
const headed = ({ key, meaning }) => [el("h2", { text: head(key) }), el("p", { class: "soft", text: meaning })];
const kindOf = (holds) => (typeof holds === "string" ? holds : Object.keys(holds)[0]);
const of = (holds) => (typeof holds === "string" ? null : Object.values(holds)[0]);
let numbered = 0;

// `changed` is called when entries come or go, or an identifier changes.
export function formOf(told, values, changed) {
  const root = table(told.fields, values, { told, changed, path: "" });
  root.node.addEventListener("input", (event) => { if (event.target.dataset.key === "id") changed(); });
  return {
    node: root.node,
    text() {
      const lines = [[`format = ${JSON.stringify(told.format)}`, null]];
      root.write(lines, "");
      return { text: `${lines.map(([line]) => line).join("\n")}\n`, lines: lines.map(([, control]) => control) };
    },
  };
}

// A table: plain keys first, then what has a head of its own.
function table(fields, values, context) {
  const grouped = new Map();
  fields.choices.forEach((alternatives, group) => alternatives.flat().forEach((key) => grouped.set(key, group)));
  const parts = [];
  const plain = el("div", { class: "grid" });
  const below = [];
  const node = el("div", {}, plain);
  const made = new Set();
  for (const field of fields.keys) {
    const group = grouped.get(field.key);
    if (group === undefined) {
      const part = key(field, values?.[field.key], context);
      parts.push(part);
      if (part.headed) below.push(part.node);
      else plain.append(part.node);
    } else if (!made.has(group)) {
      made.add(group);
      const part = choice(fields, fields.choices[group], values, context);
      parts.push(part);
      plain.append(part.node);
    }
  }
  node.append(...below);
  return {
    node,
    write(lines, path) {
      for (const part of parts.filter((one) => !one.headed)) part.write(lines, path);
      for (const part of parts.filter((one) => one.headed)) part.write(lines, path);
    },
    // As an inline table, for a table within a list's entry; empty where nothing is filled in.
    inline() {
      const lines = [];
      for (const part of parts) part.write(lines, "");
      return lines.length ? [`{ ${lines.map(([line]) => line).join(", ")} }`, lines[0][1]] : null;
    },
  };
}

// One of several alternatives: a list of their leads, and the keys of the one that is chosen.
function choice(fields, alternatives, values, context) {
  const leads = alternatives.map((keys) => keys[0]);
  const there = leads.findIndex((lead) => values?.[lead] !== undefined);
  const usual = leads.findIndex((lead) => USUAL.includes(lead));
  let chosen = there >= 0 ? there : Math.max(0, usual);
  const id = `field-${(numbered += 1)}`;
  const select = el("select", { id, "data-key": leads.join("|") }, leads.map((lead, index) => el("option", { value: index, text: spoken(lead), selected: index === chosen })));
  const about = CHOICES[leads[0]] ?? leads.map(spoken).reduce((one, other) => say("form-or", { one, other }));
  const label = el("div", { class: "field" }, el("label", { for: id, text: about }), select);
  const node = el("div", { class: "grid long" });
  let parts = [];
  const fill = (from) => {
    parts = alternatives[chosen].map((name) => fields.keys.find((field) => field.key === name)).map((field) => ({ field, ...key(field, from?.[field.key], context) }));
    node.replaceChildren(label, ...parts.filter(({ field }) => field.holds !== "yes").map((part) => part.node));
    const act = parts.find(({ field }) => field.key === "act");
    if (act) {
      const fit = () => {
        const [, parameter] = context.told.acts.find(([word]) => word === act.control.value) ?? [];
        for (const part of parts.filter(({ field }) => field.parameter !== null)) {
          part.node.hidden = part.field.parameter !== parameter;
          part.off = part.node.hidden;
        }
      };
      act.control.addEventListener("change", fit);
      fit();
    }
  };
  select.addEventListener("change", () => {
    chosen = Number(select.value);
    fill(null);
  });
  fill(values);
  return {
    node,
    write(lines, path) {
      for (const part of parts.filter((one) => !one.off)) {
        if (part.field.holds === "yes") lines.push([`${part.field.key} = true`, select]);
        else part.write(lines, path);
      }
    },
  };
}

function key(field, value, context) {
  const kind = kindOf(field.holds);
  if (HIDDEN.includes(field.key)) {
    return { node: el("span", { hidden: true }), write: (lines) => { if (typeof value === "string") lines.push([`${field.key} = ${JSON.stringify(value)}`, null]); } };
  }
  if (kind === "table") return inner(field, value, context);
  if (kind === "list") return list(field, value, context);
  return single(field, kind, value);
}

// A key with one value.
function single(field, kind, value) {
  const id = `field-${(numbered += 1)}`;
  const about = { id, "data-key": field.key, "data-parameter": field.parameter };
  const inside = of(field.holds);
  const long = kind === "text" && inside.longest > 100;
  let control;
  if (kind === "word") {
    const none = field.required && value !== undefined ? [] : [el("option", { value: "", text: field.required ? "" : "–" })];
    control = el("select", about, none, inside.map((word) => el("option", { value: word, text: word, selected: word === value })));
  } else if (kind === "flag") {
    control = el("select", about, ["", "true", "false"].map((word) => el("option", { value: word, text: word || "–", selected: String(value) === word })));
  } else if (long) {
    control = el("textarea", { ...about, rows: inside.longest > 500 ? 5 : 2, maxlength: inside.longest });
  } else {
    const names = kind === "identifier" ? NAMES[field.key] : null;
    control = el("input", { ...about, type: "text", list: names, placeholder: inside?.example ?? field.default, inputmode: kind === "integer" ? "numeric" : null });
  }
  if (value !== undefined && control.tagName !== "SELECT") control.value = value;
  const hints = [field.meaning];
  if (inside?.range) hints.push(say("form-range", { least: String(inside.range[0]), most: String(inside.range[1]) }));
  if (field.default) hints.push(say("form-left-out", { usual: String(field.default) }));
  const node = el("div", { class: long ? "field long" : "field" }, el("label", { for: id, text: spoken(field.key) }), control,
    el("small", { text: hints.join(" ") }));
  const write = (lines) => {
    const typed = control.value.trim();
    if (!typed) return;
    const bare = (kind === "integer" && /^[0-9]+$/.test(typed)) || kind === "flag" || (kind === "any-quantity" && /^[-+]?[0-9]+(\.[0-9]+)?$/.test(typed));
    lines.push([`${field.key} = ${bare ? typed : JSON.stringify(typed.replace(/\s+/g, " "))}`, control]);
  };
  return { node, control, write };
}

// A table with a head of its own.
function inner(field, value, context) {
  const within = context.entry;
  const body = table(of(field.holds), value, context);
  const node = el("section", { class: "part" }, ...headed(field), body.node);
  return {
    node,
    headed: true,
    write(lines, path) {
      if (within) {
        const text = body.inline();
        if (text) lines.push([`${field.key} = ${text[0]}`, text[1]]);
        return;
      }
      const at = `${path}${field.key}`;
      const inside = [];
      body.write(inside, `${at}.`);
      if (inside.length) lines.push([`[${at}]`, node.querySelector("input, select, textarea")], ...inside);
    },
  };
}

// A list of tables: each can go up, down and out.
function list(field, value, context) {
  const { item } = of(field.holds);
  const root = el("div", { "data-list": field.key });
  let entries = [];
  const draw = () => {
    entries.forEach((entry, index) => { entry.legend.textContent = String(index + 1); });
    root.replaceChildren(...entries.map((entry) => entry.node));
    context.changed();
  };
  const move = (entry, by) => {
    const at = entries.indexOf(entry);
    const to = at + by;
    if (to < 0 || to >= entries.length) return;
    entries.splice(at, 1);
    entries.splice(to, 0, entry);
    draw();
    touched();
  };
  const touched = () => root.dispatchEvent(new Event("input", { bubbles: true }));
  const make = (from) => {
    const body = table(item, from, { ...context, entry: true });
    const legend = el("legend");
    const entry = { body, legend };
    const button = (text, act) => el("button", { type: "button", text, on: { click: act } });
    entry.node = el("fieldset", { class: "entry" }, legend, body.node,
      el("div", { class: "entry-keys" }, button(say("form-up"), () => move(entry, -1)), button(say("form-down"), () => move(entry, 1)),
        button(say("form-take-out"), () => { entries = entries.filter((one) => one !== entry); draw(); touched(); })));
    entries.push(entry);
    return entry;
  };
  for (const from of value ?? []) make(from);
  draw();
  const add = el("button", { type: "button", class: "add", "data-add": field.key, text: say("form-add", { list: head(field.key) }) });
  add.addEventListener("click", () => {
    const entry = make(null);
    draw();
    touched();
    entry.node.querySelector("input, select, textarea")?.focus();
  });
  const node = el("section", { class: "part" }, ...headed(field), root, add);
  return {
    node,
    headed: true,
    write(lines, path) {
      for (const { body, node: at } of entries) {
        lines.push([`[[${path}${field.key}]]`, at.querySelector("input, select, textarea")]);
        body.write(lines, `${path}${field.key}.`);
      }
    },
  };
}
