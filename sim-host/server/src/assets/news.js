// The log: what was done, what moved, what was refused, what was seen; the newest on top.

import { clear, el } from "./dom.js";
import { say } from "./say.js";
import { clock } from "./words.js";

const KEPT = 120;

// A letter-like sign and a word for each kind; the word is read out, the sign is seen.
const KINDS = {
  "operated": ["›", say("news-done")],
  "moved": ["→", say("news-moved")],
  "interlock": ["▲", say("news-interlock")],
  "refused": ["✕", say("news-refused")],
  "seen": ["◉", say("news-seen")],
  "instructor": ["⚑", say("news-instructor")],
  "exercise": ["◆", say("news-exercise")],
  "found": ["▣", say("news-found")],
};

export class NewsLog {
  constructor(root) {
    this.list = el("ol", { class: "news-list", tabindex: "0", "aria-label": say("news-list") });
    clear(root);
    root.append(el("h2", { text: say("news-title") }), this.list);
  }

  add(news) {
    const [sign, word] = KINDS[news.kind] ?? ["·", news.kind];
    this.list.prepend(el("li", { class: `news kind-${news.kind}`, "data-kind": news.kind, "data-number": news.number },
      el("span", { class: "news-time", text: clock(news.time_s) }),
      el("span", { class: "news-sign", "aria-hidden": "true", text: sign }),
      el("span", {}, el("span", { class: "unseen", text: `${word}: ` }), el("span", { text: news.text }))));
    while (this.list.children.length > KEPT) this.list.lastChild.remove();
  }
}
