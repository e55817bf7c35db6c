// The sound of alarms, off until it is asked for. It goes on while one waits for acknowledgement: the key that acknowledges silences it.

import { el, setAttr, setText } from "./dom.js";
import { say } from "./say.js";

// Tones, Hz, and the time from one pattern to the next, ms, by how grave the gravest waiting alarm is (invented: a shop has its own).
const PATTERNS = {
  stop: { tones: [880, 660, 880], every: 2000 },
  odd: { tones: [660, 660], every: 5000 },
};
// Of a tone and of the gap behind it, s.
const LONG = 0.16;
const GAP = 0.06;
const LOUD = 0.2;

export class Sound {
  constructor() {
    this.wanted = null;
    this.context = null;
    this.timer = null;
    this.key = el("button", { type: "button", class: "quiet sound", on: { click: () => this.turn() } });
    this.show();
  }

  get on() {
    return this.context !== null;
  }

  // A browser plays nothing that nobody asked for: the sound begins with a press.
  turn() {
    if (this.on) {
      this.context.close();
      this.context = null;
    } else {
      this.context = new AudioContext();
    }
    this.show();
    this.again();
  }

  show() {
    setText(this.key, this.on ? say("sound-on") : say("sound-off"));
    setAttr(this.key, "aria-label", this.on ? say("sound-named-on") : say("sound-named-off"));
    setAttr(this.key, "aria-pressed", String(this.on));
  }

  // "stop", "odd", or null where no alarm waits.
  want(grave) {
    if (grave === this.wanted) return;
    this.wanted = grave;
    this.again();
  }

  again() {
    clearTimeout(this.timer);
    const pattern = PATTERNS[this.wanted];
    if (!this.on || !pattern) return;
    pattern.tones.forEach((pitch, index) => this.tone(pitch, this.context.currentTime + index * (LONG + GAP)));
    this.timer = setTimeout(() => this.again(), pattern.every);
  }

  tone(pitch, from) {
    const tone = new OscillatorNode(this.context, { frequency: pitch });
    const volume = new GainNode(this.context, { gain: LOUD });
    // Without a slope at the end it clicks.
    volume.gain.setValueAtTime(LOUD, from + LONG * 0.8);
    volume.gain.linearRampToValueAtTime(0, from + LONG);
    tone.connect(volume).connect(this.context.destination);
    tone.start(from);
    tone.stop(from + LONG);
  }
}
