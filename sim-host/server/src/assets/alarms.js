// Alarms in the states of ANSI/ISA-18.2, the first-out marked, and the list of all interlock rows.

import { clear, closes, el, setText, svg } from "./dom.js";
import { say } from "./say.js";
import { Sound } from "./sound.js";
import { alarmStateName, categoryName, clock, isStop, responseName } from "./words.js";

// One shape a state, so that colour is never needed: filled triangle, outlined square, outlined circle with its way out, padlock.
const SHAPES = {
  "unacknowledged": () => [svg("path", { d: "M12 2l11 20h-22z", class: "shape-fill" }), svg("path", { d: "M12 8v7M12 18v2", class: "shape-cut" })],
  "acknowledged": () => [svg("rect", { x: 3, y: 3, width: 18, height: 18, class: "shape-line" }), svg("path", { d: "M12 7v6M12 16v2", class: "shape-line" })],
  "returned-unacknowledged": () => [svg("circle", { cx: 12, cy: 12, r: 9, class: "shape-line dashed" }), svg("path", { d: "M8 12h8M13 9l3 3l-3 3", class: "shape-line" })],
  "latched": () => [svg("path", { d: "M7 11v-4a5 5 0 0 1 10 0v4", class: "shape-line" }), svg("rect", { x: 4, y: 11, width: 16, height: 11, class: "shape-fill" })],
};

const RANK = ["unacknowledged", "returned-unacknowledged", "latched", "acknowledged"];

export function shape(state) {
  return svg("svg", { viewBox: "0 0 24 24", class: "shape", "aria-hidden": "true" }, ...(SHAPES[state] ?? SHAPES.acknowledged)());
}

export class Alarms {
  // `rows` maps a row's number to its entry in the vocabulary.
  constructor(root, rows) {
    this.rows = rows;
    this.shown = "";
    this.known = new Set();
    this.heading = el("h2", { text: say("alarms-title") });
    this.tally = el("span", { class: "soft" });
    this.list = el("ul", { class: "alarm-list", tabindex: "0", "aria-label": say("alarms-title") });
    this.live = el("p", { class: "unseen", role: "status" });
    this.all = el("button", { type: "button", class: "quiet", text: say("alarms-all") });
    this.all.addEventListener("click", () => this.openAll());
    this.sound = new Sound();
    clear(root);
    root.append(el("div", { class: "heading" }, this.heading, this.tally, this.sound.key, this.all), this.list, this.live);
    this.active = [];
    this.cause = 0;
  }

  frame(frame) {
    // The list is made again only when an alarm or its state changed.
    const now = frame.alarms.map((alarm) => `${alarm.row}:${alarm.state}:${alarm.first_out}`).join() + `|${frame.cause}`;
    if (now === this.shown) return;
    this.shown = now;
    this.active = frame.alarms;
    this.cause = frame.cause;
    const order = (a, b) => Number(b.first_out) - Number(a.first_out) || RANK.indexOf(a.state) - RANK.indexOf(b.state) || a.since_s - b.since_s;
    const sorted = [...frame.alarms].sort(order);
    this.list.replaceChildren(...sorted.map((alarm) => this.item(alarm)));
    if (!sorted.length) this.list.append(el("li", { class: "none", text: say("alarms-no-alarm") }));
    const fresh = sorted.filter((alarm) => alarm.state === "unacknowledged");
    setText(this.tally, sorted.length ? say("alarms-tally", { all: sorted.length, fresh: fresh.length }) : say("alarms-none"));
    const grave = fresh.some((alarm) => isStop(this.rows.get(alarm.row)?.response));
    this.sound.want(!fresh.length ? null : grave ? "stop" : "odd");
    const told = fresh.filter((alarm) => !this.known.has(alarm.row));
    const line = ({ row }) => say("alarms-line", { row: String(row), happened: this.rows.get(row)?.happened ?? "" });
    if (told.length) setText(this.live, told.map(line).join(" "));
    this.known = new Set(fresh.map((alarm) => alarm.row));
    if (this.dialog?.open) this.fillAll();
  }

  item(alarm) {
    const row = this.rows.get(alarm.row) ?? unknown(String(alarm.row));
    const grave = isStop(row.response) ? "danger" : "odd";
    const first = alarm.first_out ? el("span", { class: "first-out", text: say("alarms-first") }) : null;
    const answered = row.stop_category === null ? responseName(row.response) : categoryName(row.stop_category);
    return el("li", { class: `alarm ${grave} ${alarm.state}`, "data-row": alarm.row, "data-name": row.name, "data-state": alarm.state },
      shape(alarm.state),
      el("div", {},
        el("p", { class: "alarm-what" }, first, el("span", { text: row.happened })),
        // What is known already takes a line less.
        alarm.first_out || alarm.state === "unacknowledged" ? el("p", { class: "alarm-cure", text: row.cure }) : null,
        el("p", { class: "alarm-meta", text: [alarm.row, clock(alarm.since_s), answered, alarmStateName(alarm.state)].join(" · ") })));
  }

  openAll() {
    if (!this.dialog) this.buildAll();
    this.fillAll();
    this.dialog.show();
  }

  buildAll() {
    const heads = [say("alarms-state"), say("alarms-interlock"), say("alarms-watched"), say("alarms-response"), say("alarms-released"),
      say("alarms-what")];
    this.table = el("tbody");
    this.dialog = el("dialog", { class: "wide", "aria-labelledby": "all-interlocks" },
      el("div", { class: "heading" }, el("h2", { id: "all-interlocks", text: say("alarms-all") }),
        el("button", { type: "button", text: say("alarms-close"), on: { click: () => this.dialog.close() } })),
      el("div", { class: "scroll", tabindex: "0", role: "region", "aria-label": say("alarms-table") },
        el("table", {}, el("thead", {}, el("tr", {}, ...heads.map((text) => el("th", { scope: "col", text })))), this.table)));
    closes(this.dialog);
    document.body.append(this.dialog);
  }

  fillAll() {
    const states = new Map(this.active.map((alarm) => [alarm.row, alarm]));
    // What is not normal stands on top.
    const sorted = [...this.rows.values()].sort((a, b) => Number(states.has(b.id)) - Number(states.has(a.id)) || a.id - b.id);
    const rows = sorted.map((row) => {
      const alarm = states.get(row.id);
      const first = row.id === this.cause;
      return el("tr", { class: alarm ? (isStop(row.response) ? "danger" : "odd") : "" },
        el("td", { class: "state-cell" },
          alarm ? shape(alarm.state) : null, el("span", { text: alarmStateName(alarm?.state ?? "normal") }),
          first ? el("span", { class: "first-out", text: say("alarms-first") }) : null),
        el("td", { text: `${row.id} ${row.name}` }),
        el("td", { text: row.watched }),
        el("td", { text: responseText(row) }),
        el("td", { text: row.released }),
        el("td", { text: `${row.happened} ${row.cure}` }));
    });
    this.table.replaceChildren(...rows);
  }
}

// A row that the server has not told of.
function unknown(row) {
  const name = say("alarms-unknown-name", { row });
  return { name, happened: say("alarms-unknown", { row }), cure: "", response: "alarm", stop_category: null };
}

function responseText(row) {
  return [responseName(row.response), categoryName(row.stop_category)].filter(Boolean).join(", ");
}
