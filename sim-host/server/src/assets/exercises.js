// The form in which exercises are made and changed. What it asks and what is right comes from the server, which reads the text made here
// as it reads a file; each line of the text knows the control that it came from.

import { say } from "./say.js";
import { get, page, post } from "./api.js";
import { byId, clear, el, setText } from "./dom.js";
import { formOf } from "./fields.js";
import { choice } from "./tongue.js";

// A new exercise begins with these.
const BLANK = { longest: "20 min", training: { order: 500, start: "loaded", pass: 0, expected: [{}] } };
// The words of a file's text that the page itself answers for.
const FIXED = { operator: "scripted" };

const desk = { told: null, form: null, lines: [], hash: null, from: null, changed: false };

for (const link of document.querySelectorAll("a[data-page]")) link.href = page(link.getAttribute("href"));
choice();
byId("begin").addEventListener("submit", open);
byId("exercise").addEventListener("submit", (event) => { event.preventDefault(); send("check"); });
byId("keep").addEventListener("click", () => send("keep"));
byId("exercise").addEventListener("input", () => { desk.changed = true; });
addEventListener("beforeunload", (event) => { if (desk.changed) event.preventDefault(); });
read();

async function read() {
  try {
    desk.told = await get("/api/exercises/form");
    byId("page-error").hidden = true;
  } catch (error) {
    byId("page-error").hidden = false;
    setText(byId("page-error"), say("form-unread", { why: error.message }));
    return;
  }
  const { exercises, broken, recipes, passing } = desk.told;
  const chosen = byId("from").value;
  byId("from").replaceChildren(el("option", { value: "", text: say("form-blank") }),
    ...exercises.map((one) => el("option", { value: one.exercise, text: one.title, selected: one.exercise === chosen })));
  byId("recipe-ids").replaceChildren(...recipes.map((id) => el("option", { value: id })));
  byId("broken").hidden = !broken.length;
  byId("broken-list").replaceChildren(...broken.map(({ file, errors }) => el("li", {}, el("strong", { text: file }),
    el("ul", {}, errors.map((one) => el("li", { text: say("form-line", { line: String(one.line), told: sentence(one) }) }))))));
  byId("open").disabled = passing !== null;
  if (passing) setText(byId("where"), `${passing.charAt(0).toUpperCase()}${passing.slice(1)}.`);
}

function sentence({ message, expected, nearest }) {
  const told = expected ? say("form-expected", { message, expected }) : message;
  return nearest ? say("form-nearest", { told, nearest }) : told;
}

function answer(text, wrong = false) {
  setText(byId("answer"), text);
  byId("answer").classList.toggle("bad", wrong);
}

async function open(event) {
  event.preventDefault();
  if (desk.changed && !confirm(say("form-leave"))) return;
  const id = byId("from").value;
  try {
    const begun = id ? await get(`/api/exercises/${encodeURIComponent(id)}/text`) : { values: structuredClone(BLANK), own: false, hash: null };
    if (id && !begun.own) {
      begun.values.id = `${id.slice(0, 22)}-2`;
      begun.hash = null;
    }
    desk.hash = begun.hash;
    desk.from = begun.values.id ?? null;
    show(begun.values);
    answer(begun.own ? say("form-own") : id ? say("form-copy") : "");
  } catch (error) {
    answer(`✕ ${say("form-not-opened", { why: error.message })}`, true);
  }
}

function show(values) {
  desk.form = formOf(desk.told, { ...values, ...FIXED }, expectedIds);
  byId("fields").replaceChildren(desk.form.node);
  byId("exercise").hidden = false;
  clear(byId("errors"));
  desk.changed = false;
  expectedIds();
}

// Identifiers that another expectation can wait for.
function expectedIds() {
  const ids = [...document.querySelectorAll('#fields [data-list="expected"] [data-key="id"]')].map((input) => input.value).filter(Boolean);
  byId("expected-ids").replaceChildren(...ids.map((id) => el("option", { value: id })));
}

async function send(what) {
  const { text, lines } = desk.form.text();
  desk.lines = lines;
  const id = document.querySelector('#fields [data-key="id"]').value;
  const body = { text };
  if (what === "keep" && desk.hash && id === desk.from) body.replaces = desk.hash;
  try {
    const judged = await post(`/api/exercises/${what}`, body);
    mark(judged.errors);
    if (judged.errors.length) {
      answer(`✕ ${say("form-wrong", { n: judged.errors.length })}`, true);
    } else if (judged.kept) {
      desk.changed = false;
      answer(say("form-kept", { id: judged.kept, points: String(judged.points) }));
      const kept = await get(`/api/exercises/${encodeURIComponent(judged.kept)}/text`);
      desk.hash = kept.hash;
      desk.from = judged.kept;
      await read();
    } else {
      answer(say("form-right", { points: String(judged.points) }));
    }
  } catch (error) {
    answer(`✕ ${error.message}`, true);
  }
}

// Each error beside its control, and all of them in a list that leads there.
function mark(errors) {
  for (const old of document.querySelectorAll("#fields .wrong")) old.remove();
  for (const old of document.querySelectorAll("#fields [aria-invalid]")) {
    old.removeAttribute("aria-invalid");
    old.removeAttribute("aria-describedby");
  }
  byId("errors").replaceChildren(...errors.map((error, index) => {
    const control = desk.lines[error.line - 1];
    const told = sentence(error);
    if (!control) return el("li", { text: told });
    control.setAttribute("aria-invalid", "true");
    control.setAttribute("aria-describedby", `wrong-${index}`);
    control.closest(".field, .entry, .part").append(el("p", { class: "wrong", id: `wrong-${index}`, text: told }));
    return el("li", {}, el("button", { type: "button", class: "quiet", text: told, on: { click: () => control.focus() } }));
  }));
}
