// Every exercise, with a right and with a wrong response, by the page's own controls: the scripts beside the exercises are done by
// hand here, and the debrief must show what the script says that they are worth.

import assert from "node:assert/strict";
import { readFile, readdir } from "node:fs/promises";
import path from "node:path";
import { after, before, test } from "node:test";
import { FIELDS, act, begin, exercises as known, finishAttempt, pace, root, seconds, start } from "./lib.mjs";

const folder = path.join(root, "recipes/exercises/scripts");
// Pages that run at the same time: two cores draw no more.
const TOGETHER = 6;
// Longest wait for a phase, a state or an alarm, ms.
const LONGEST = 300000;

// Parameters of acts that have no field of their own.
const on = (text) => text === "on";
const parameter = { "set-mode": ["mode", String], "select-move": ["movement", String], "setup-key": ["on", on], "hold-to-run": ["on", on] };

// A script's lines, as `twinplate train --headless` reads them.
function parse(text) {
  const script = { expects: {}, steps: [] };
  for (const whole of text.split("\n")) {
    const line = whole.replace(/#.*/, "").trim();
    if (!line) continue;
    const [word, ...rest] = line.split(/\s+/);
    if (word === "exercise") [script.exercise] = rest;
    else if (word === "expect") script.expects[rest[0]] = rest.slice(1).join(" ");
    else if (word === "seed") script.seed = Number(rest[0]);
    else script.steps.push(line);
  }
  return script;
}

// Lets time go on until what a line waits for is shown, and stops it there. Looked for in the page itself, at every change: how late this
// program hears of it on a busy computer does not count as the operator's time.
async function wait(page, line) {
  const at = line.match(/^(\+?)([\d.]+) s$/);
  const [, kind, name] = at ? [] : line.match(/^wait (?:(state|row|step) )?(\S+)/);
  const until = at ? Number(at[2]) + (at[1] ? await seconds(page) : 0) : null;
  // Short waits want fine steps.
  const left = at ? until - (await seconds(page)) : Infinity;
  if (left <= 0) return;
  await page.evaluate(async ({ kind, name, until, word, longest }) => {
    const shown = () => document.querySelector(".time-value").textContent.split(":").reduce((sum, part) => sum * 60 + Number(part), 0);
    const met = () => {
      const { phase, state, step, atWork } = document.querySelector("#panel").dataset;
      if (document.querySelector("#ended[open]")) return true;
      if (until !== null) return shown() >= until;
      if (kind === "step") return phase === "dwell" && step === name;
      if (kind === "state") return state.toLowerCase() === name;
      if (name === "put-right") return atWork === "no";
      if (kind === "row") return document.querySelector(`.alarm[data-name="${name}"]`) !== null;
      return phase === name;
    };
    const pace = (wanted) => document.querySelector(`#pace [data-pace="${wanted}"]`);
    const seen = (test) => new Promise((resolve, reject) => {
      if (test()) return resolve();
      const timer = setTimeout(() => reject(new Error(`waited too long for ${name ?? until}`)), longest);
      const look = new MutationObserver(() => {
        if (!test()) return;
        look.disconnect();
        clearTimeout(timer);
        resolve();
      });
      look.observe(document.body, { subtree: true, childList: true, attributes: true, characterData: true });
      return undefined;
    });
    if (met()) return;
    pace(word).click();
    await seen(met);
    if (document.querySelector("#ended[open]")) return;
    pace("paused").click();
    await seen(() => pace("paused").getAttribute("aria-pressed") === "true");
  }, { kind: kind ?? null, name: name ?? null, until, word: left < 0.5 ? "1x" : left < 3 ? "5x" : "20x", longest: LONGEST });
}

// What is done while time stands acts in the next tick, in its order.
async function play(page, script) {
  for (const line of script.steps) {
    if (/^(\+|[\d.]+ s$|wait )/.test(line)) {
      await wait(page, line);
      continue;
    }
    const [word, value, ...more] = line.split(/\s+/);
    const what = { act: word };
    if (word === "report-form") [what.by, what.lower, what.upper] = [value, ...more.map(Number)];
    if (FIELDS[word]) what[FIELDS[word][1]] = value;
    if (parameter[word]) what[parameter[word][0]] = parameter[word][1](value);
    await act(page, what);
    await page.waitForFunction(() => !document.querySelector("[aria-busy]"), undefined, { polling: 20 });
  }
}

let bench;
before(async () => {
  bench = await begin();
});
after(() => bench.end());

const names = (await readdir(folder)).filter((name) => name.endsWith(".txt")).sort();
const scripts = await Promise.all(names.map(async (name) => ({ name, ...parse(await readFile(path.join(folder, name), "utf8")) })));
// An assessment goes by the clock and draws its own seed: it has a test of its own.
const exercises = [...new Set(scripts.map((script) => script.exercise))].filter((exercise) => exercise !== known.drawn);
const right = (script) => script.expects.lost === "nothing";
// The suite of scripts does them all; here one right and one wrong response of each exercise go through the page. `ALL=1` for all.
const chosen = exercises.flatMap((exercise) => {
  const own = scripts.filter((script) => script.exercise === exercise);
  return process.env.ALL ? own : [own.find((script) => script.name === `${exercise}.txt` && right(script)) ?? own.find(right), own.find((script) => !right(script))];
});

test("every exercise that is offered has a right and a wrong response", async () => {
  const offered = (await readdir(path.join(root, "recipes/exercises"))).filter((name) => name.endsWith(".toml")).map((name) => name.replace(".toml", "")).sort();
  assert.deepEqual([...exercises, known.drawn].sort(), offered);
  assert.equal(chosen.includes(undefined), false, exercises.filter((one) => !scripts.some((script) => script.exercise === one && right(script)) || !scripts.some((script) => script.exercise === one && !right(script))).join());
});

test("by the page's controls each response is worth what its script says", { concurrency: TOGETHER }, async (t) => {
  await Promise.all(chosen.map((script) => t.test(script.name, async () => {
    const page = await bench.page();
    await start(bench, page, script.exercise, { trainee: script.name, seed: script.seed ?? 1 });
    await pace(page, "paused");
    await play(page, script);
    if (!(await page.locator("#ended[open]").count())) await finishAttempt(page);
    await page.click("#to-debrief");
    await page.waitForSelector(".verdict");
    const [points] = (await page.innerText(".verdict-points")).split(" ");
    assert.equal(Number(points), Number(script.expects.points), await page.innerText("#debrief"));
    assert.equal(await page.locator(".verdict.good").count() === 1, script.expects.passed === "yes");
    await page.context().close();
  })));
  bench.quiet();
});
