// The class at a glance: trainees beside each other, exercises below each other, and who is ready by the trainer's own rule.

import { say } from "./say.js";
import { debriefOf, get, page, post } from "./api.js";
import { byId, el, setText } from "./dom.js";
import { choice } from "./tongue.js";
import { digits, plain } from "./words.js";

const LOOK_MS = 10000;

for (const link of document.querySelectorAll("a[data-page]")) link.href = page(link.getAttribute("href"));
choice();
byId("print").addEventListener("click", () => print());
byId("rule").addEventListener("submit", keep);
byId("rule").addEventListener("change", changed);
byId("class").addEventListener("change", changed);

// The rule was changed here and is not kept yet: what the server says of it waits.
let open = false;
// The class as it was shown last: a table that stays as it is keeps focus and place.
let shown = "";
look();

async function look() {
  try {
    await read();
    byId("page-error").hidden = true;
  } catch (error) {
    byId("page-error").hidden = false;
    setText(byId("page-error"), say("class-unread", { why: error.message }));
  }
  setTimeout(look, LOOK_MS);
}

async function read() {
  const found = await get("/api/class");
  const text = JSON.stringify(found);
  if (text !== shown && !open) {
    shown = text;
    show(found);
  }
}

function show({ exercises, trainees, rule, most_passes: most }) {
  byId("nobody").hidden = trainees.length > 0;
  const passes = Array.from({ length: most }, (_, index) => index + 1);
  byId("passes").replaceChildren(...passes.map((n) => el("option", { value: n, text: say("class-times", { n }),
    selected: n === rule.passes })));
  const head = byId("class").tHead;
  head.replaceChildren(el("tr", {}, el("th", { scope: "col", text: say("class-exercise") }),
    el("th", { scope: "col", class: "counts", text: say("class-counts") }),
    ...trainees.map((one) => el("th", { scope: "col", text: one.trainee }))));
  byId("class").tBodies[0].replaceChildren(
    el("tr", { class: "ready" }, el("th", { scope: "row", text: say("class-ready") }), el("td", {}), ...trainees.map(readiness)),
    ...exercises.map(({ exercise, title }) => el("tr", { "data-exercise": exercise },
      el("th", { scope: "row", text: plain(title) }),
      el("td", { class: "counts" }, el("input", { type: "checkbox", value: exercise, checked: rule.exercises.includes(exercise),
        "aria-label": say("class-exercise-counts", { title: plain(title) }) })),
      ...trainees.map((one) => cell(one.cells[exercise])))));
}

function readiness({ lacks }) {
  if (lacks === null) return el("td", { text: say("class-no-rule") });
  return el("td", { class: lacks ? "" : "is-ready", text: lacks ? say("class-to-go", { n: lacks }) : `✓ ${say("class-is-ready")}` });
}

function cell(one) {
  if (!one) return el("td", { text: "–" });
  const last = one.marks.at(-1);
  const before = one.marks.at(-2);
  const trend = !before ? "" : last.points > before.points ? " ↗" : last.points < before.points ? " ↘" : " →";
  return el("td", { title: one.marks.map((mark) => digits(mark.points, 4)).join(", ") },
    el("a", { href: debriefOf(last.attempt, last.station), class: last.passed ? "points" : "points not-passed",
      text: `${last.passed ? "✓" : "✕"} ${digits(last.points, 4)}${trend}` }),
    el("span", { class: "more", text: say("class-best", { best: digits(one.best, 4), n: one.attempts }) }));
}

function changed(event) {
  if (event.target.closest("#passes, .counts")) {
    open = true;
    setText(byId("answer"), say("class-changed"));
  }
}

async function keep(event) {
  event.preventDefault();
  const exercises = [...document.querySelectorAll("#class .counts input:checked")].map((box) => box.value);
  try {
    await post("/api/class/rule", { exercises, passes: Number(byId("passes").value) });
    open = false;
    setText(byId("answer"), say("class-kept"));
    await read();
  } catch (error) {
    setText(byId("answer"), `✕ ${say("class-not-kept", { why: error.message })}`);
  }
}
