// What the browser tests share: a server of their own, pages that fail a test by any console error, and hands for every control.

import assert from "node:assert/strict";
import { spawn } from "node:child_process";
import { cp, mkdtemp, readFile, rm } from "node:fs/promises";
import { createRequire } from "node:module";
import { tmpdir } from "node:os";
import path from "node:path";
import { fileURLToPath } from "node:url";
import { chromium } from "playwright-core";
import { judge } from "./contrast.mjs";

const here = path.dirname(fileURLToPath(import.meta.url));
export const root = path.resolve(here, "../..");
export const binary = process.env.TWINPLATE ?? path.join(root, "target/release/twinplate");
const axeSource = await readFile(createRequire(import.meta.url).resolve("axe-core/axe.min.js"), "utf8");

// Longest that a page may take to show what it should, ms. Generous: the machine may be busy with other tests.
export const PATIENCE = 15000;

const ARGUMENTS = ["--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run", "--disable-background-networking", "--disable-component-update", "--disable-sync"];

// Starts `twinplate train` with its own records and a browser; `end` stops both. With `own` the exercises are a copy, in the folder of
// that name, and may get new ones.
export async function begin({ own = false } = {}) {
  const folder = await mkdtemp(path.join(tmpdir(), "twinplate-browser-"));
  const copy = path.join(folder, "exercises");
  if (own) {
    for (const part of ["exercises", "training", "machines"]) await cp(path.join(root, "recipes", part), path.join(folder, part), { recursive: true });
  }
  // On a port, 0 for a free one; gives the program and its address.
  const serve = async (port) => {
    const server = spawn(binary, ["train", "--port", port, "--records", path.join(folder, "records.sqlite"), ...(own ? ["--exercises", copy] : [])], { cwd: root, stdio: ["ignore", "pipe", "pipe"] });
    let complaints = "";
    server.stderr.on("data", (data) => {
      complaints += data;
    });
    const url = await new Promise((resolve, reject) => {
      let told = "";
      const timer = setTimeout(() => reject(new Error(`the server named no address: ${told}${complaints}`)), PATIENCE);
      server.stdout.on("data", (data) => {
        told += data;
        const found = told.match(/http:\/\/[^\s/]+/);
        if (found) {
          clearTimeout(timer);
          resolve(found[0]);
        }
      });
      server.on("error", reject);
      server.on("exit", (code) => reject(new Error(`the server ended with ${code}: ${complaints}`)));
    });
    return { server, url };
  };
  const ended = (server, signal) => {
    server.removeAllListeners("exit");
    const gone = new Promise((resolve) => server.on("exit", resolve));
    server.kill(signal);
    return gone;
  };
  let { server, url } = await serve("0");
  const browser = await chromium.launch({ executablePath: process.env.CHROMIUM ?? "/usr/bin/chromium", args: ARGUMENTS });
  const faults = [];
  return {
    url,
    browser,
    faults,
    own: copy,
    async end() {
      await browser.close();
      await ended(server, "SIGINT");
      await rm(folder, { recursive: true, force: true });
    },
    // The server dies in the middle of everything, and comes back at its address after some ms.
    async restart(away) {
      await ended(server, "SIGKILL");
      await new Promise((done) => setTimeout(done, away));
      ({ server } = await serve(new URL(url).port));
    },
    // A page in a context of its own, so in a person's own browser. Console errors and failed loads are collected.
    async page(options = {}) {
      const context = await browser.newContext({ viewport: { width: 1280, height: 800 }, ...options });
      const page = await context.newPage();
      page.setDefaultTimeout(PATIENCE);
      page.on("console", (message) => {
        if (message.type() === "error" || message.type() === "warning") faults.push(`console: ${message.text()}`);
      });
      page.on("pageerror", (error) => faults.push(`error: ${error.message}`));
      page.on("requestfailed", (request) => faults.push(`failed: ${request.url()}`));
      page.on("response", (response) => {
        if (response.status() >= 400) faults.push(`${response.status()}: ${response.url()}`);
      });
      return page;
    },
    // To be called at the end of every test: nothing was complained of.
    quiet() {
      assert.deepEqual(faults.splice(0), [], "the browser's console is quiet");
    },
  };
}

// From the list of exercises to the machine, as a person does it. Gives the station's name.
export async function start(bench, page, exercise, { trainee = "Test", seed = 1 } = {}) {
  await page.goto(seed === null ? `${bench.url}/` : `${bench.url}/?seed=${seed}`);
  await page.check(`#exercises input[value="${exercise}"]`);
  await page.fill("#trainee", trainee);
  await page.click("#begin button[type=submit]");
  await ready(page);
  return new URL(page.url()).searchParams.get("station");
}

// The machine is shown and under this page's control.
export async function ready(page) {
  await page.waitForFunction(() => document.querySelector(".time-value")?.textContent && document.querySelector('[data-act="start"]')?.disabled === false);
}

export const text = (page, selector) => page.locator(selector).first().innerText();
export const state = (page) => text(page, ".state-name");
export const phase = (page) => page.evaluate(() => document.querySelector("#panel").dataset.phase ?? "");
export const seconds = (page) => page.evaluate(() => document.querySelector(".time-value").textContent.split(":").reduce((sum, part) => sum * 60 + Number(part), 0));

export async function pace(page, word) {
  await page.click(`#pace [data-pace="${word}"]`);
  await page.waitForSelector(`#pace [data-pace="${word}"][aria-pressed=true]`);
}

// Waits until the panel shows a state, phase or alarm.
export const untilState = (page, name, timeout = PATIENCE) => page.waitForFunction((wanted) => document.querySelector(".state-name").textContent === wanted, name, { timeout, polling: 20 });
export const untilPhase = (page, name, timeout = PATIENCE) => page.waitForFunction((wanted) => document.querySelector("#panel").dataset.phase === wanted, name, { timeout, polling: 20 });
export const untilAlarm = (page, row, timeout = PATIENCE) => page.waitForSelector(`.alarm[data-row="${row}"]`, { timeout });

// Acts whose parameter is typed or chosen beside the button: the field, and how it is set.
export const FIELDS = {
  "confirm-parts": ["#pieces", "pieces", "fill"],
  "recall-recipe": ["#slot", "slot", "selectOption"],
  "diagnose": ["#diagnosis", "component", "selectOption"],
  "remedy": ["#remedy", "component", "selectOption"],
  "measure-parts": ["#measured-parts", "parts", "fill"],
  "judge-parts": ["#verdict", "verdict", "selectOption"],
  work: ["#tending", "task", "selectOption"],
  "hand-over": ["#statement", "statement", "selectOption"],
};

// Does an act by the page's own controls. `pointer` false leaves the hand on a held control.
export async function act(page, what) {
  const beside = FIELDS[what.act];
  if (beside) {
    const [field, parameter, set] = beside;
    await page[set](field, String(what[parameter]));
    return page.click(`[data-act="${what.act}"]`);
  }
  switch (what.act) {
    case "report-form":
      await page.fill("#form-lower", String(what.lower));
      await page.fill("#form-upper", String(what.upper));
      return page.click('[data-act="report-form"]');
    case "set-mode":
      return page.click(`[data-mode="${what.mode}"]`);
    case "select-move":
      return page.click(`[data-move="${what.movement}"]`);
    case "setup-key": {
      const on = (await page.getAttribute('[data-act="setup-key"]', "aria-pressed")) === "true";
      if (on !== what.on) await page.click('[data-act="setup-key"]');
      return undefined;
    }
    case "hold-to-run":
      if (!what.on) return page.mouse.up();
      await page.hover('[data-act="hold-to-run"]');
      return page.mouse.down();
    case "understood":
      return page.click("#understood");
    default:
      return page.click(`[data-act="${what.act}"]`);
  }
}

// The refusal shown at the group of a control, or "" where there is none.
export async function refusal(page, word) {
  const answer = page.locator(`.group:has([data-act="${word}"]) .answer`);
  return (await answer.isVisible()) ? answer.innerText() : "";
}

// Violations that axe-core finds, in words; none is what is wanted.
export async function axe(page) {
  await page.evaluate(axeSource);
  const [found, open] = await page.evaluate(async () => {
    const { violations, incomplete } = await globalThis.axe.run();
    const open = incomplete.filter((one) => one.id === "color-contrast").flatMap((one) => one.nodes.map((node) => node.target.join(" ")));
    return [violations.map((one) => `${one.id}: ${one.nodes.map((node) => `${node.target.join(" ")} (${node.any[0]?.message ?? node.failureSummary})`).join("; ")}`), open];
  });
  const { weak } = await judge(page, open);
  return [...found, ...weak];
}

// Value below which a share of the samples lies.
export function percentile(samples, share) {
  const sorted = [...samples].sort((a, b) => a - b);
  return sorted[Math.min(sorted.length - 1, Math.ceil(share * sorted.length) - 1)];
}

// Exercises by what the tests need of them.
export const exercises = {
  // Every step explained and waited for.
  guided: "first-cycle",
  // Idle, nothing laid in; an ordinary cycle without a fault.
  loaded: "plain-cycle",
  // A recipe that keeps the plates flat by what is reported of them.
  flat: "plates-out-of-form",
  // The operator measures and judges the parts.
  inspected: "first-piece",
  // What is done at the machine between cycles, and what is said at the end of a shift.
  tended: "worn-slurry",
  handover: "hand-over",
  // A fault, what is expected after it, and what is forbidden while it lasts.
  blocks: "slurry-line-blocks",
  // Drawn unseen, by a seed that nobody chooses; goes by the clock.
  drawn: "assessment",
};

// What a guided step asks for, done as it says: the control that is marked, with the number that stands in the text.
export async function follow(page, press = act) {
  const word = await page.evaluate(() => {
    const meant = document.querySelector(".meant:not(:disabled)");
    return meant ? meant.dataset.act : "";
  });
  if (!word) return false;
  const told = await page.innerText("#task-text");
  const number = (pattern) => Number(told.match(pattern)?.[1]);
  const what = { act: word };
  if (word === "confirm-parts") what.pieces = number(/(\d+) (?:pieces|parts|discs|wafers|rings)/);
  if (word === "recall-recipe") what.slot = number(/slot (\d+)/i);
  await press(page, what);
  return true;
}

export const step = (page) => page.innerText("#task-mark");

// Brings a machine with an ordinary exercise to a phase, as a good operator does it.
export async function cycleTo(page, phase) {
  if ((await state(page)) === "Stopped") await act(page, { act: "reset" });
  await untilState(page, "Idle");
  for (const what of byTheBook) {
    await act(page, what);
    await page.waitForTimeout(150);
  }
  await pace(page, "20x");
  await untilPhase(page, phase, 60000);
  await pace(page, "1x");
}

// Has a page that is open on this server watch a station over so many sockets; each frame goes to its `globalThis.seen`.
export const watch = (page, station, count = 1) => page.evaluate(async ([name, sockets]) => {
  const token = document.querySelector('meta[name="twinplate-token"]').content;
  const { PROTOCOL } = await import("/assets/link.js");
  const join = () => new Promise((resolve, reject) => {
    const socket = new WebSocket(`ws://${location.host}/ws/${name}`);
    socket.onopen = () => socket.send(JSON.stringify({ id: 1, ask: { ask: "join", protocol: PROTOCOL, role: "watcher", token, seat: null, seen: 0 } }));
    socket.onmessage = ({ data }) => {
      const told = JSON.parse(data);
      if (told.tell === "welcome") resolve();
      if (told.tell === "frame") globalThis.seen(told);
    };
    socket.onclose = () => reject(new Error("a watcher was turned away"));
  });
  await Promise.all(Array.from({ length: sockets }, join));
}, [station, count]);

// Ends the attempt from the page; gives its number in the records.
export async function finishAttempt(page) {
  await page.click("#finish");
  await page.waitForSelector("#ended[open]");
  return Number((await page.getAttribute("#to-debrief", "href")).match(/\d+/)[0]);
}

// From an empty machine at rest to a running cycle.
export const byTheBook = [
  { act: "unlock-guard" }, { act: "open-guard" }, { act: "load-carriers" }, { act: "count-parts" }, { act: "close-guard" }, { act: "lock-guard" },
  { act: "check-slurry" }, { act: "recall-recipe", slot: 1 }, { act: "confirm-parts", pieces: 15 }, { act: "start" },
];
