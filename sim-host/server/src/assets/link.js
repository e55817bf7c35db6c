// The websocket to a station: joins, comes back after a loss with its seat and the last news seen, and asks.
//
// Nothing is queued while the connection is down: what was pressed then has not happened, and the page says so.

import { token } from "./api.js";
import { say } from "./say.js";

export const PROTOCOL = 8;
const BACK_OFF_MS = [250, 500, 1000, 2000, 4000];
// A frame comes at least twice a second, paused or not; this long without one is a lost connection.
const SILENCE_MS = 6000;

// Reasons for closing that do not go away by trying again. `replaced`: the seat was taken on another page, and two would fight.
const FINAL = ["protocol", "token", "instructor", "no-station", "replaced", "station-closed", "full", "join-first", "joined-already", "not-understood"];

export class Link {
  // `hear` has: welcome, frame, news, seats, ended, closing, connection(state, text); all optional.
  constructor(station, role, hear) {
    this.station = station;
    this.role = role;
    this.hear = hear;
    this.pending = new Map();
    this.nextId = 1;
    this.seen = 0;
    this.tries = 0;
    this.over = false;
    this.open = false;
    this.heard = performance.now();
    this.seatKey = `twinplate-seat-${station}-${role}`;
    this.watch = setInterval(() => this.silence(), 1000);
    this.connect();
  }

  connect() {
    this.tell("connection", "connecting", this.tries ? say("link-again") : say("link-connecting"));
    const scheme = location.protocol === "https:" ? "wss" : "ws";
    const socket = new WebSocket(`${scheme}://${location.host}/ws/${encodeURIComponent(this.station)}`);
    this.socket = socket;
    this.heard = performance.now();
    socket.addEventListener("open", () => {
      const seat = sessionStorage.getItem(this.seatKey);
      this.send({ ask: "join", protocol: PROTOCOL, role: this.role, token, seat, seen: this.seen });
    });
    socket.addEventListener("message", (event) => {
      if (socket === this.socket) this.receive(event.data);
    });
    socket.addEventListener("close", () => {
      if (socket === this.socket) this.lost();
    });
  }

  receive(data) {
    this.heard = performance.now();
    let told;
    try {
      told = JSON.parse(data);
    } catch {
      return;
    }
    switch (told.tell) {
      case "welcome":
        this.open = true;
        this.tries = 0;
        sessionStorage.setItem(this.seatKey, told.seat);
        this.tell("connection", "open", "");
        this.tell("welcome", told);
        break;
      case "done":
      case "refused": {
        const settle = this.pending.get(told.id);
        this.pending.delete(told.id);
        if (settle) settle(told.tell === "done" ? { done: true } : { done: false, code: told.code, why: told.why });
        break;
      }
      case "frame":
        if (this.open) this.tell("frame", told);
        break;
      case "news":
        // After a reconnection the server sends from `seen`; an overlap is dropped here.
        if (told.number > this.seen) {
          this.seen = told.number;
          this.tell("news", told);
        }
        break;
      case "seats":
        this.tell("seats", told);
        break;
      case "ended":
        this.tell("ended", told);
        break;
      case "closing":
        if (FINAL.includes(told.code)) this.over = true;
        this.last = told.why;
        this.tell("closing", told);
        break;
      default:
    }
  }

  send(ask) {
    const id = this.nextId;
    this.nextId += 1;
    this.socket.send(JSON.stringify({ id, ask }));
    return id;
  }

  // Asks and promises `{done: true}` or `{done: false, code, why}`; never rejects.
  ask(ask) {
    if (!this.open || this.socket.readyState !== WebSocket.OPEN) {
      return Promise.resolve({ done: false, code: "not-connected", why: say("link-not-connected") });
    }
    const id = this.send(ask);
    return new Promise((settle) => this.pending.set(id, settle));
  }

  operate(act) {
    return this.ask({ ask: "operate", act });
  }

  lost() {
    this.open = false;
    for (const settle of this.pending.values()) {
      settle({ done: false, code: "not-connected", why: say("link-no-answer") });
    }
    this.pending.clear();
    if (this.over) {
      this.tell("connection", "over", this.last ?? say("link-closed"));
      return;
    }
    const wait = BACK_OFF_MS[Math.min(this.tries, BACK_OFF_MS.length - 1)];
    this.tries += 1;
    this.tell("connection", "lost", say("link-lost"));
    this.timer = setTimeout(() => this.connect(), wait);
  }

  silence() {
    if (this.over || performance.now() - this.heard < SILENCE_MS) return;
    if (this.socket && this.socket.readyState <= WebSocket.OPEN) {
      const socket = this.socket;
      // A dead line may never say that it is closed.
      this.socket = null;
      socket.close();
      this.lost();
    }
  }

  close() {
    this.over = true;
    clearInterval(this.watch);
    clearTimeout(this.timer);
    const socket = this.socket;
    this.socket = null;
    this.open = false;
    if (socket) socket.close();
  }

  tell(what, ...given) {
    const listener = this.hear[what];
    if (listener) listener(...given);
  }
}
